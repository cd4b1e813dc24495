package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// still is a bank, half full, that takes no charge and loses none, beside the
// diesel, so that only the rules of a test start it.
const still = `{"bank":{"modules":2,"initial_soc_fraction":0.5,"module":{"data_linked":{"charge_a_by_c":[[25,0]]}}}}`

// Twenty minutes on load every thirty days at ten, exempt from the minimum run
// (common practice): by hand 12 runs of 20 min, 3 min of warm-up and 5 of
// cool-down, the first on day 30.
func TestExercise(t *testing.T) {
	w := steady(0)
	y := run(t, w, ac(w, .01), ideal, diesel, still, `{"generators":{"main":{"min_run_s":3600,"start_soc_fraction":0.01,"exercise":{"every_days":30,"run_s":1200,"at":"10:00"}}}}`)
	assert.Equal(t, 12, y.Figures.GeneratorStarts)
	assert.InDelta(t, 12*(1200+180+300)/3600., y.Figures.GeneratorH, 1e-6)
	// .06·8 l/h without load, and the fuel of the least load, 2.4 kW, on load.
	assert.InDelta(t, 12*(.48*480+(.48+.27*2.4)*1200)/3600, y.Figures.FuelL, 1e-6)
	assert.InDelta(t, 12*1200/3600., y.Figures.GeneratorLowLoadH, 1e-6, "all of it below the least load")
	months := 0
	for _, m := range y.Months() {
		if m.GeneratorH > 0 {
			months++
		}
	}
	assert.GreaterOrEqual(t, months, 11)
	none := run(t, w, ac(w, .01), ideal, diesel, still, `{"generators":{"main":{"no_start_hours":"09-11","start_soc_fraction":0.01,"exercise":{"every_days":30,"run_s":1200,"at":"10:00"}}}}`)
	assert.Equal(t, 12, none.Figures.GeneratorStarts, "after its no-start hours")
}

// A set whose rule never lets go of it runs its cap each day, from midnight on
// (common practice).
func TestDailyCap(t *testing.T) {
	w := steady(0)
	for _, cap := range []float64{.5, 5, 23} {
		y := run(t, w, ac(w, .01), ideal, diesel, still, patch(`{"generators":{"main":{"start_soc_fraction":0.6,"stop_soc_fraction":0.9,"start_delay_s":1,"warm_up_s":0,"cool_down_s":0,"daily_cap_h":%g}}}`, cap))
		assert.InDelta(t, 365*cap, y.Figures.GeneratorH, .01, "cap %g h", cap)
		assert.Equal(t, 365, y.Figures.GeneratorStarts)
	}
}

// A load of 3 kW from 12 to 15 starts a set by its rule after a minute, and a
// load of 1 kW, below 80 % of 2.5, lets it stop once the minimum run is over.
func TestStartOnLoad(t *testing.T) {
	w := steady(700)
	load := func(high, low float64) *sim.Load {
		return &sim.Load{ACEssentialW: column(8760, func(row int) float64 {
			if h := row % 24; h >= 12 && h < 15 {
				return high
			}
			return low
		})}
	}
	const set = `{"bank":{"module":{"capacity_ah":1000}},"generators":{"main":{"start_soc_fraction":0.001,"start_load_w":2500,"start_load_hold_s":60,"start_delay_s":30,"warm_up_s":0,"cool_down_s":0}}}`
	for name, c := range map[string]struct {
		load  *sim.Load
		patch string
		hours float64
	}{
		"as it is":          {load(3000, 1000), `{}`, 3 - 90./3600},
		"at its value":      {load(2500, 1000), `{}`, 0},
		"held too short":    {load(3000, 1000), `{"generators":{"main":{"start_load_hold_s":10900}}}`, 0},
		"minimum run":       {load(3000, 1000), `{"generators":{"main":{"min_run_s":14400}}}`, 4},
		"never below":       {load(3000, 2100), `{"generators":{"main":{"max_run_h":8784}}}`, (8760 - 12 - 90./3600) / 365},
		"stops lower":       {load(3000, 1000), `{"generators":{"main":{"stop_load_w":900,"max_run_h":8784}}}`, (8760 - 12 - 90./3600) / 365},
		"in quiet hours":    {load(3000, 1000), `{"generators":{"main":{"no_start_hours":"11-14"}}}`, 1 - 30./3600},
		"longest run":       {load(3000, 1000), `{"generators":{"main":{"max_run_h":1.2}}}`, 0},
		"starts by no load": {load(3000, 1000), `{"generators":{"main":{"start_load_w":3001}}}`, 0},
	} {
		y := run(t, w, c.load, ideal, diesel, set, c.patch)
		if name == "longest run" { // 1.2 h, and again after the hold and the delay
			assert.Equal(t, 3*365, y.Figures.GeneratorStarts, name)
			continue
		}
		assert.InDelta(t, 365*c.hours, y.Figures.GeneratorH, .01, name)
	}
}

// A set that charges a bank which refuses all charge stops after the time, once
// no rule asks for it; below its start it goes on and carries the load (common
// practice).
func TestStopsWhenChargeIsRefused(t *testing.T) {
	w := steady(0)
	const set = `{"generators":{"main":{"min_run_s":600,"start_delay_s":1,"warm_up_s":0,"cool_down_s":0,"no_start_hours":"22-18","start_soc_fraction":0.01,
		"before_no_start":{"at":"19:00","if_soc_below_fraction":0.9,"run_to_soc_fraction":0.95},"max_run_h":2}}}`
	for after, want := range map[float64]float64{0: 7200, 900: 900, 300: 600} {
		y := run(t, w, ac(w, .01), ideal, diesel, still, set, patch(`{"generators":{"main":{"stop_refused_s":%g}}}`, after))
		assert.InDelta(t, 365*want/3600, y.Figures.GeneratorH, .01, "after %g s", after)
	}
	y := run(t, w, ac(w, .01), ideal, diesel, still, set, `{"generators":{"main":{"stop_refused_s":300,"start_soc_fraction":0.6,"stop_soc_fraction":0.8,"no_start_hours":"22-18"}}}`)
	assert.Greater(t, y.Figures.GeneratorH, 365*2., "a rule asks for it")
	load := &sim.Load{ACEssentialW: column(8760, func(row int) float64 {
		if h := row % 24; h == 19 || h == 20 {
			return 6500
		}
		return .01
	})}
	heavy := run(t, w, load, ideal, diesel, still, set, `{"bank":{"module":{"capacity_ah":10000}},"generators":{"main":{"stop_refused_s":300}}}`)
	assert.InDelta(t, 365*2, heavy.Figures.GeneratorH, .01, "the inverter could not carry the load")
}

// Fuel that is brought: 10 l last 10/.48 h without load beside the bank's; by
// hand at 2.4 kW of least load 1.128 l/h.
func TestFuelDeliveries(t *testing.T) {
	w := steady(0)
	const set = `{"generators":{"main":{"start_soc_fraction":0.6,"stop_soc_fraction":0.9,"start_delay_s":1,"warm_up_s":0,"cool_down_s":0,"fuel_store_l":10}}}`
	const hours = 10 / 1.128
	for name, c := range map[string]struct {
		patch      string
		fills      float64
		deliveries int
	}{
		"none":               {`{}`, 1, 0},
		"on dates":           {`{"generators":{"main":{"fuel_deliveries":{"on":["03-01","10-20"]}}}}`, 3, 2},
		"every 30 days":      {`{"generators":{"main":{"fuel_deliveries":{"every_days":30}}}}`, 13, 12},
		"less than it holds": {`{"generators":{"main":{"fuel_deliveries":{"every_days":30,"l":5}}}}`, 7, 12},
		"more than it holds": {`{"generators":{"main":{"fuel_deliveries":{"every_days":30,"l":50}}}}`, 13, 12},
		// Empty some hours into a day, and full again 7 days later at noon.
		"ordered": {`{"generators":{"main":{"fuel_deliveries":{"order_below_l":4}}}}`, 53, 52},
	} {
		y := run(t, w, ac(w, .01), ideal, diesel, still, set, c.patch)
		assert.InDelta(t, c.fills*10, y.Figures.FuelL, 1e-6, name)
		assert.InDelta(t, c.fills*hours, y.Figures.GeneratorH, .05, name)
		require.Len(t, y.Generators, 1)
		g := y.Generators[0]
		assert.Equal(t, c.deliveries, g.Deliveries, name)
		assert.InDelta(t, c.fills*10, g.DeliveredL+10, 1e-6, name)
		assert.Zero(t, *g.FuelLeftL, name)
		assert.InDelta(t, y.Figures.FuelL, g.FuelL, 1e-9, name)
		assert.InDelta(t, y.Figures.GeneratorH, g.Hours, 1e-9, name)
	}
}

// Services fall due by running hours: 8,760 h at 250 h are 35.
func TestServices(t *testing.T) {
	w := steady(0)
	y := run(t, w, ac(w, .01), ideal, diesel, still, `{"generators":{"main":{"start_soc_fraction":0.6,"stop_soc_fraction":0.9,"service_every_h":250}}}`)
	assert.InDelta(t, 8760, y.Figures.GeneratorH, .1)
	assert.Equal(t, 35, y.Figures.GeneratorServices)
}

// The spare runs while the lead cannot: in its no-start hours, after its fuel is
// spent, while it is broken.
func TestSpareSet(t *testing.T) {
	w := steady(0)
	const sets = `{"generators":{"main":{"start_soc_fraction":0.6,"stop_soc_fraction":0.9,"start_delay_s":1,"warm_up_s":0,"cool_down_s":0,"max_run_h":1},
		"apart":{"key":"diesel_8kw","lead_order":2,"failed_start_fraction":0,"min_run_s":0,"exercise":{"run_s":0},"stop_refused_s":0,
		  "start_soc_fraction":0.6,"stop_soc_fraction":0.9,"start_delay_s":1,"warm_up_s":0,"cool_down_s":0,"max_run_h":1}}}`
	of := func(patch string) (lead, spare sim.GeneratorYear) {
		y := run(t, w, ac(w, .01), ideal, diesel, still, sets, patch)
		require.Len(t, y.Generators, 2)
		assert.Equal(t, "main", y.Generators[0].Name)
		assert.InDelta(t, y.Figures.GeneratorH, y.Generators[0].Hours+y.Generators[1].Hours, 1e-6)
		return y.Generators[0], y.Generators[1]
	}
	lead, spare := of(`{}`)
	assert.InDelta(t, 8760*3600/3601., lead.Hours, .1)
	assert.Zero(t, spare.Hours)
	lead, spare = of(`{"generators":{"main":{"no_start_hours":"12-24"}}}`)
	assert.InDelta(t, 8760/2., lead.Hours, 365.*.6, "a run may go on into them")
	assert.InDelta(t, 8760*3600/3601., lead.Hours+spare.Hours, .1)
	lead, spare = of(`{"generators":{"main":{"fuel_store_l":11.28}}}`)
	assert.InDelta(t, 10, lead.Hours, .01)
	assert.InDelta(t, 8750*3600/3601., spare.Hours, .1)
	lead, spare = of(`{"generators":{"main":{"failed_start_fraction":1,"start_tries":3,"call_out_h":48}}}`)
	assert.Zero(t, lead.Hours)
	assert.InDelta(t, 3*8760/48.5, float64(lead.FailedStarts), 10, "tried again after each repair")
	assert.Greater(t, spare.Hours, .98*8760)
	y := run(t, w, ac(w, .01), ideal, diesel, still, sets, `{"generators":{"main":{"lead_order":3}}}`)
	assert.Equal(t, "apart", y.Generators[0].Name)
	assert.Zero(t, y.Generators[1].Hours)
}
