package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim"
)

// A grid that is always there carries the load and keeps the bank full; its
// tariff prices what it gives: by hand 1 kW all day, of which nine hours at the
// night's price.
func TestGridCarriesTheLoad(t *testing.T) {
	w := steady(0)
	y := run(t, w, ac(w, 1000), ideal, topped, `{"grid":{"limit_w":3000,"tariff":{"price_per_kwh":0.4,"bands":[{"hours":"22-07","price_per_kwh":0.1}]}}}`)
	f, b := y.Figures, y.Books
	assert.InDelta(t, 8760, f.GridH, .01)
	assert.InDelta(t, 8760, f.GridKWh, .01)
	assert.InDelta(t, 365*(15*.4+9*.1), f.GridCost, .01)
	assert.InDelta(t, 8760, b.LoadFromGridKWh, .01)
	assert.Zero(t, f.DowntimeH)
	assert.Zero(t, f.GridDownH)
	assert.Zero(t, f.GeneratorH)
	assert.Zero(t, f.FuelL)
	assert.Zero(t, b.GeneratorKWh)
	assert.InDelta(t, 1, f.LowestSoC, 2e-3)
}

// In its outages the bank carries the load for its 5.12 kWh, and is charged again
// with what the connection leaves.
func TestGridOutages(t *testing.T) {
	w := steady(0)
	const site = `{"grid":{"limit_w":3000,"outages":{"listed":[{"start":"2025-02-01T06:00","hours":4},{"start":"2025-03-01T06:00","hours":9.12}]}}}`
	y := run(t, w, ac(w, 1000), ideal, topped, site)
	f := y.Figures
	assert.InDelta(t, 13.12, f.GridDownH, 1e-9)
	assert.InDelta(t, 4, f.DowntimeH, .01)
	assert.InDelta(t, 4, f.DowntimeByCauseH["empty"], .01)
	assert.Equal(t, 1, f.Outages)
	assert.InDelta(t, 8760-13.12, f.GridH, .01)
	assert.InDelta(t, 8760-13.12+4+5.12, f.GridKWh, .02, "the load, and what the bank gave")
	more := run(t, w, ac(w, 1000), ideal, topped, site, `{"bank":{"modules":2}}`)
	assert.Zero(t, more.Figures.DowntimeH)
}

// A site that uses its sun first stays on the grid while it would be dark without: a
// load of 1 kW that the cut-off stopped, by a sag of 4 V, and that the voltage at rest
// does not bring back. It is dark for the second that the grid takes, once.
func TestGridWhileDark(t *testing.T) {
	w := steady(0)
	y := run(t, w, ac(w, 1000), ideal, sagging, `{"bank":{"initial_soc_fraction":0.6},"controls":{"low_end":{"return_v":52}},
	  "grid":{"limit_w":3000,"use":"self_use","charges_bank":false}}`)
	f := y.Figures
	assert.Equal(t, []int{0, 1}, []int{f.Outages, f.ShortOutages})
	assert.InDelta(t, 1./3600, f.DowntimeH, 1e-6)
	assert.InDelta(t, 8760-31./3600, f.GridH, 1e-3)
	assert.InDelta(t, .6, f.LowestSoC, .01)
}

// Random outages have the length and the distance that was asked for, and are
// the same again with the same seed.
func TestGridRandomOutages(t *testing.T) {
	w := steady(0)
	down := func(seed int) float64 {
		return run(t, w, &sim.Load{}, ideal, topped, patch(`{"grid":{"limit_w":3000,"outages":{"mean_hours_between":90,"mean_h":10,"seed":%d}}}`, seed)).Figures.GridDownH
	}
	sum := 0.0
	for seed := range 20 {
		sum += down(seed)
	}
	// 87.6 outages of 10 h a year; the mean of 20 years within three of its errors, √(2·87.6/20)·10 h.
	assert.InDelta(t, 876, sum/20, 90)
	assert.Equal(t, down(3), down(3))
	assert.NotEqual(t, down(3), down(4))
}

// On self-use the bank goes up and down between the two states of charge, and the
// sun's energy is used first: with more sun less is bought.
func TestGridSelfUse(t *testing.T) {
	const site = `{"bank":{"initial_soc_fraction":0.4},"grid":{"limit_w":3000,"use":"self_use","connect_soc_fraction":0.2,"disconnect_soc_fraction":0.4}}`
	w := steady(0)
	y := run(t, w, ac(w, 1000), ideal, topped, site)
	// By hand: 1.024 kWh last 1.024 h; 2 kW above the load bring them back in half of that.
	assert.InDelta(t, 8760/3., y.Figures.GridH, 8760/3.*.01)
	assert.InDelta(t, 8760, y.Figures.GridKWh, 5)
	assert.InDelta(t, .2, y.Figures.LowestSoC, .001)
	assert.Zero(t, y.Figures.DowntimeH)
	last := y.Figures.GridKWh
	for _, sun := range []float64{30, 60, 110} {
		w := steady(sun)
		now := run(t, w, ac(w, 1000), ideal, topped, site).Figures.GridKWh
		assert.Less(t, now, last, "%g W/m²", sun)
		last = now
	}
	assert.Zero(t, last)
	pass := run(t, w, ac(w, 1000), ideal, topped, site, `{"grid":{"charges_bank":false}}`)
	assert.Zero(t, pass.Books.GridToBankKWh)
	assert.InDelta(t, 8760-1.024, pass.Books.GridToACKWh, 1)
}

// A generator stands by for the grid: it runs in its outages alone, and gives way
// as soon as the grid is back.
func TestGridAndGenerator(t *testing.T) {
	w := steady(0)
	y := run(t, w, ac(w, 1000), ideal, topped, diesel, `{"generators":{"main":{"start_soc_fraction":0.5,"stop_soc_fraction":0.95,"start_delay_s":1,"warm_up_s":0,"cool_down_s":300,"min_run_s":7200}},
	  "grid":{"limit_w":3000,"outages":{"listed":[{"start":"2025-02-01T06:00","hours":4}]}}}`)
	f := y.Figures
	assert.Zero(t, f.DowntimeH)
	assert.Equal(t, 1, f.GeneratorStarts)
	// By hand: 2.56 kWh to half, then until 10:00 and its cool-down.
	assert.InDelta(t, 4-2.56+300./3600, f.GeneratorH, .01)
	assert.InDelta(t, 8760-4, f.GridH, .01)
}
