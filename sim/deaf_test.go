package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A charger that is stated to hear the link is what one is that states nothing;
// one that does not hear it pushes what the BMS forbids into cold cells, and trips
// the disconnect, which it never does while all hear (common practice, no source).
func TestChargersThatDoNotHear(t *testing.T) {
	cold := `{"bank":{"enclosure":{"kind":"outdoor","heater_w_per_module":0},"link_faults":null},"generators":null}`
	all := plan(t, cold).Run(false)
	assert.Equal(t, all, plan(t, cold, `{"array":{"chargers":{"south":{"hears_link":true}}},"inverter":{"charger_hears_link":true}}`).Run(false))
	deaf := plan(t, cold, `{"array":{"chargers":{"south":{"hears_link":false}}}}`).Run(false)
	assert.Zero(t, all.Figures.ChargedTooColdH)
	assert.Zero(t, all.Figures.TripsByKind["charge_too_cold"])
	assert.Greater(t, deaf.Figures.ChargedTooColdH, 5.)
	assert.Positive(t, deaf.Figures.TripsByKind["charge_too_cold"])
	closeBooks(t, &deaf.Books)

	// voltage-only there is nothing to hear
	assert.Equal(t, plan(t, voltageOnly).Run(false), plan(t, voltageOnly, `{"array":{"chargers":{"south":{"hears_link":false}}}}`).Run(false))
	// a gateway of 5 W takes 43.8 kWh a year
	with := plan(t, cold, `{"bank":{"link":{"gateway":{"draw_w":5}}}}`).Run(false)
	assert.InDelta(t, 43.8*(1-all.Figures.DowntimeH/8760), with.Books.OwnDrawKWh-all.Books.OwnDrawKWh, 1.5)
	assert.Equal(t, plan(t, voltageOnly).Run(false), plan(t, voltageOnly, `{"bank":{"link":{"gateway":{"draw_w":50}}}}`).Run(false), "without a link there is none")
}
