package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A counter that reads 20 % high starts the generator too late and sheds too late
// every time; one without error never; an exact one has none to count.
func TestDecisionsOtherwise(t *testing.T) {
	base := `{"bank":{"modules":2,"operation":"voltage_only","link_faults":null,"estimate":{"gain_fraction":0,"offset_a":0,"dead_band_a":0}}}`
	high := plan(t, base, `{"bank":{"estimate":{"offset_a":0.6}}}`).Run(false).Figures
	right := plan(t, base, `{"bank":{"estimate":{"assumed_draw_a":0.12,"assumed_efficiency_fraction":0.998}}}`).Run(false).Figures
	assert.Greater(t, high.OtherwiseByKind["generator_start"]+high.OtherwiseByKind["shed"], 5)
	assert.Less(t, right.DecisionsOtherwise, high.DecisionsOtherwise)
	sum := 0
	for _, n := range high.OtherwiseByKind {
		sum += n
	}
	assert.Equal(t, high.DecisionsOtherwise, sum)
	exact := plan(t, base, `{"bank":{"estimate":{"kind":"exact"}}}`).Run(false).Figures
	assert.Zero(t, exact.DecisionsOtherwise)
}
