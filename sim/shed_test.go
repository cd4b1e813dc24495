package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim"
)

// Flexible load is shed at a reported SoC of .30 and returns at .50; essential
// load stays on, and none of it is downtime (common practice). By hand: 5.12
// kWh, 300 W essential and 200 W flexible, then 1 kW of sun.
func TestShedAndReturn(t *testing.T) {
	w := dayThen(8, 0, 100)
	for name, l := range map[string]*sim.Load{
		"AC": {ACEssentialW: column(8760, always(300)), ACFlexibleW: column(8760, always(200))},
		"DC": {DCEssentialW: column(8760, always(300)), DCFlexibleW: column(8760, always(200))},
	} {
		y := run(t, w, l, ideal, topped)
		shed := .699 * 5120 / 500 // h
		low := .3 - (8-shed)*300/5120
		back := 8 + (.5-low)*5120/700
		assert.InDelta(t, .2*(back-shed), y.Figures.ShedKWh, 1e-4, name)
		assert.InDelta(t, y.Figures.ShedKWh, y.Figures.UnservedKWh, 1e-9, name)
		assert.Zero(t, y.Figures.DowntimeH)
		assert.InDelta(t, low, y.Figures.LowestSoC, 1e-4)
	}
	y := run(t, w, &sim.Load{ACFlexibleW: column(8760, always(500))}, ideal, `{"controls":{"shed_soc_fraction":0,"return_soc_fraction":0.01},"bank":{"initial_soc_fraction":0.1}}`)
	assert.Positive(t, y.Figures.UnservedKWh)
	assert.Zero(t, y.Figures.DowntimeH, "downtime is counted on essential load")
}
