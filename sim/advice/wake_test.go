package advice

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The station as it is: its generator is started by the inverter, which the dead bus
// does not feed; its solar charger does not start without a bank; its BMS is woken by
// a visit (common practice). With a signal and a charger that need no bank, the
// generator's chain breaks at the BMS, and with that put right nowhere.
func TestWakeWords(t *testing.T) {
	first := func(patches ...string) string { return WakeWords(station(t, patches...).WakeChains())[0] }
	words := WakeWords(station(t).WakeChains())
	assert.Equal(t, []string{
		"By generator main: not possible, the first link that does not hold is that the signal is fed while the DC bus is dead (signal_fed_from is bank).",
		"By the sun: not possible, the first link that does not hold is that a solar charger puts voltage on a dead bus (starts_without_bank is false).",
		"By a visit: possible, every link of the chain holds.",
	}, words)
	fed := `{"inverter":{"charger_starts_without_bank":true},"generators":{"main":{"signal_fed_from":"own_battery"}}}`
	assert.Contains(t, first(fed), "that the BMS closes on it (woken_by does not hold generator)")
	assert.Contains(t, first(fed, `{"bank":{"woken_by":["generator","visit"]}}`), "possible, every link")
	grid := WakeWords(station(t, `{"generators":null,"grid":{"limit_w":4000}}`).WakeChains())
	assert.Contains(t, grid[0], "By the grid: not possible, the first link that does not hold is that the AC charger puts voltage")
	lead := station(t, ventedBank).WakeChains()
	assert.NotNil(t, lead)
	assert.Empty(t, WakeWords(lead), "it does not sleep")
	assert.Empty(t, WakeText(lead))
}

// Every link is in the text, with what decides it.
func TestWakeText(t *testing.T) {
	chains := station(t).WakeChains()
	text := WakeText(chains)
	for _, c := range chains {
		for _, l := range c.Links {
			assert.Contains(t, text, l.Link)
			assert.Contains(t, text, l.Why)
		}
	}
}
