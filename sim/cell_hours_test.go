package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Cells at fixed temperatures spend the year in one window of the module's
// charge table: none below 0 °C, all from 15 to 40 °C, less up to 50 °C (common
// practice); the windows add up to the year.
func TestCellHours(t *testing.T) {
	for window, celsius := range map[string]float64{"no_charge_cold": -5, "less_charge_cold": 7, "full_charge": 25, "less_charge_hot": 44, "no_charge_hot": 60} {
		w := year(3600, always(0), always(celsius))
		y := run(t, w, dc(w, 0), ideal, patch(`{"bank":{"enclosure":{"fixed_c":%g},"module":{"data_linked":{"charge_a_by_c":[[0,0],[0,10],[15,10],[15,50],[40,50],[45,25],[50,0]]}}}}`, celsius))
		assert.InDelta(t, 8760, y.Figures.CellHByWindow[window], 1e-6, window)
	}
	y := plan(t, `{"bank":{"enclosure":{"kind":"outdoor","heater_w_per_module":0}}}`).Run(false)
	sum := 0.
	for _, h := range y.Figures.CellHByWindow {
		sum += h
	}
	assert.InDelta(t, 8760, sum, 1e-6)
	assert.Greater(t, y.Figures.CellHByWindow["no_charge_cold"], 500.)
}
