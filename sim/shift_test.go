package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim"
)

// pumping is a load that may shift from 8 to 18 and owes 3 kWh in it.
func pumping(dc bool) *sim.Load {
	return &sim.Load{ACEssentialW: column(8760, always(.001)), Shifts: []sim.Shift{{Appliance: "pump", DC: dc, W: 1000, MeanFraction: .3,
		On: column(8760, func(row int) float64 {
			if h := row % 24; h >= 8 && h < 18 {
				return 1
			}
			return 0
		})}}}
}

// With a full bank the energy is taken while the sun would be curtailed, without
// sun as late as it can, and with too little of either the bank gives it.
func TestShiftsToTheSun(t *testing.T) {
	for name, c := range map[string]struct {
		sun          func(row int) float64
		patch        string
		shifted      float64 // kWh a day
		first, hours int     // in which it is served
	}{
		"sun at noon": {func(row int) float64 { return 400 * pulse(row, 11, 15) }, `{}`, 3, 11, 3},
		// 4 kWh of sun: what the bank gave the evening before is brought back first,
		// which leaves the last quarter of the hour.
		"an hour of sun":  {func(row int) float64 { return 400 * pulse(row, 11, 12) }, `{}`, .25, 11, 0},
		"too little sun":  {func(row int) float64 { return 50 * pulse(row, 9, 18) }, `{}`, 0, 15, 3},
		"no sun":          {always(0), `{"bank":{"module":{"capacity_ah":10000},"modules":4}}`, 0, 15, 3},
		"sun before that": {func(row int) float64 { return 400 * pulse(row, 4, 8) }, `{}`, 0, 15, 3},
	} {
		for _, dc := range []bool{false, true} {
			y := run(t, year(3600, c.sun, always(25)), pumping(dc), ideal, topped, `{"bank":{"modules":2}}`, c.patch)
			assert.InDelta(t, 365*c.shifted, y.Figures.ShiftedKWh, 3, "%s, dc %t", name, dc)
			assert.InDelta(t, 365*3, y.Books.LoadKWh, 12, name)
			assert.InDelta(t, 0, y.Figures.UnservedKWh, 1e-6, name)
			if c.hours == 0 {
				continue
			}
			served := values(t, y, "served_w")
			for day := 20; day < 30; day++ {
				kwh := 0.
				for h := c.first; h < c.first+c.hours; h++ {
					kwh += float64(served[day*24+h]) / 1000
				}
				assert.InDelta(t, 3, kwh, .01, "%s, dc %t, day %d", name, dc, day)
			}
		}
	}
}

// pulse is 1 in some hours of each day.
func pulse(row, from, to int) float64 {
	if h := row % 24; h >= from && h < to {
		return 1
	}
	return 0
}

// What the window leaves is unserved: none of it is taken while flexible load is
// shed.
func TestShiftIsShed(t *testing.T) {
	y := run(t, steady(0), pumping(false), ideal, `{"bank":{"initial_soc_fraction":0.2}}`)
	assert.InDelta(t, 365*3, y.Figures.UnservedKWh, 1e-6)
	assert.InDelta(t, 365*3, y.Figures.ShedKWh, 1e-6)
	assert.Zero(t, y.Figures.DowntimeH)
}

// At the field station, shifting the borehole's energy into the day takes less
// from the bank, and what it takes is what was asked.
func TestShiftAtTheStation(t *testing.T) {
	const hours = `{"load":{"scale_to_kwh_per_day":null,"appliances":{"borehole_pump":{"hours":"08-18","duty_fraction":0.2,"inrush_multiple":null,"inrush_s":null,"starts_per_h":null%s}}}}`
	fixed := plan(t, patch(hours, "")).Run(false)
	shifts := plan(t, patch(hours, `,"shifts":true`)).Run(false)
	assert.InDelta(t, fixed.Books.LoadKWh, shifts.Books.LoadKWh, 1e-6*fixed.Books.LoadKWh)
	assert.Greater(t, shifts.Figures.ShiftedKWh, 50.)
	assert.Less(t, shifts.Figures.CurtailedKWh, fixed.Figures.CurtailedKWh)
}
