package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bankyear/sim"
	"bankyear/weather"
)

// starter is one motor that is on in the given hours of every day.
func starter(w *weather.Year, s sim.Start, on func(row int) bool) *sim.Load {
	s.Appliance, s.Count, s.MeanFraction = "motor", max(1, s.Count), 0
	s.On = make([]bool, w.Len())
	for i := range s.On {
		s.On[i] = on(i)
	}
	return &sim.Load{ACEssentialW: make([]float64, w.Len()), Starts: []sim.Start{s}}
}

func atNine(row int) bool { return row%24 == 9 }

// stiff is the ideal bank with 10 mΩ of its own, 100 A of which for 3 s are its
// peak, and 45 V that may not be undercut.
const stiff = `{"bank":{"cable_ohm":0.002,"module":{"resistance_ohm":0.01,"resistance_to_5_s_factor":0.5,"discharge_a":50,"discharge_peaks_a_s":[[100,3]],"peak_rest_s":30}},
  "inverter":{"rated_w":6000,"short_ratings_w_s":[[9000,60],[12000,5]],"min_v":45,"altitude_fraction_per_100_m":0,"derate_fraction_per_c":0}}`

// By hand: a bank of 51.2 V gives 100 A at 51.2 − 100·(.005 + .002) = 50.5 V,
// 5050 W, for 3 s, 50 A beyond that; the inverter 12 kVA for 5 s, 9 for a minute.
func TestInrushMargin(t *testing.T) {
	w := steady(0)
	for name, c := range map[string]struct {
		start   sim.Start
		patch   string
		weakest string
		margin  float64
	}{
		"peak current": {sim.Start{RunningW: 500, PowerFactor: 1, InrushMultiple: 5, InrushS: 1}, `{}`, "bank_peak_current", 5050./2500 - 1},
		"longer than the peak": {sim.Start{RunningW: 500, PowerFactor: 1, InrushMultiple: 5, InrushS: 4}, `{}`, "bank_peak_current",
			50*(51.2-50*.007)/2500 - 1},
		"longer than the short resistance": {sim.Start{RunningW: 500, PowerFactor: 1, InrushMultiple: 5, InrushS: 6}, `{}`, "bank_peak_current",
			50*(51.2-50*.012)/2500 - 1},
		"no rest between": {sim.Start{RunningW: 500, PowerFactor: 1, InrushMultiple: 5, InrushS: 1, StartsPerH: 120}, `{}`, "bank_peak_current",
			50*(51.2-50*.007)/2500 - 1},
		"sag": {sim.Start{RunningW: 500, PowerFactor: 1, InrushMultiple: 5, InrushS: 1}, `{"inverter":{"min_v":49.4,"rated_w":60000,"short_ratings_w_s":[]},"bank":{"module":{"discharge_a":400}}}`,
			"voltage_sag", 49.4*1.8/.007/2500 - 1},
		"on the DC bus": {sim.Start{RunningW: 500, PowerFactor: 1, InrushMultiple: 5, InrushS: 1, DC: true}, `{"inverter":{"rated_w":100,"short_ratings_w_s":[]}}`,
			"bank_peak_current", 5050./2500 - 1},
		"power factor": {sim.Start{RunningW: 900, PowerFactor: .5, InrushMultiple: 5, InrushS: 1}, `{"bank":{"module":{"discharge_peaks_a_s":[[400,3]]}}}`, "inverter",
			12000./9000 - 1},
		"for ten seconds": {sim.Start{RunningW: 900, PowerFactor: .5, InrushMultiple: 5, InrushS: 10}, `{"bank":{"module":{"discharge_a":400}}}`, "inverter", 0},
		"in thin air": {sim.Start{RunningW: 900, PowerFactor: .5, InrushMultiple: 5, InrushS: 1},
			`{"site":{"elevation_m":2500},"inverter":{"altitude_fraction_per_100_m":-0.01},"bank":{"module":{"discharge_a":400}}}`, "inverter", .9*12000./9000 - 1},
	} {
		y := run(t, w, starter(w, c.start, atNine), ideal, stiff, c.patch)
		require.NotNil(t, y.Inrush, name)
		assert.Equal(t, c.weakest, y.Inrush.Weakest, name)
		assert.InDelta(t, c.margin, y.Inrush.MarginFraction, 1e-9, name)
		assert.Equal(t, y.Inrush.MarginFraction, y.Figures.InrushMargin, name)
		assert.Equal(t, "motor", y.Inrush.Appliance, name)
		assert.Zero(t, y.Inrush.Failed, name)
		assert.Zero(t, y.Figures.DowntimeH, name)
		want := 365
		if c.start.StartsPerH > 0 {
			want *= int(c.start.StartsPerH)
		}
		assert.Equal(t, want, y.Inrush.Starts, name)
	}
}

// What a motor takes on the mean is in the interval's load, and what it takes while it
// starts is not beside that: 80 W of others and 6 · 250 W, whether it starts once or
// again and again.
func TestInrushBesideTheLoad(t *testing.T) {
	w := steady(0)
	for name, perH := range map[string]float64{"once": 0, "twice an hour": 2} {
		l := starter(w, sim.Start{RunningW: 250, PowerFactor: 1, InrushMultiple: 6, InrushS: 1, StartsPerH: perH}, atNine)
		l.Starts[0].MeanFraction = .4
		l.ACEssentialW = column(w.Len(), func(row int) float64 {
			if atNine(row) {
				return 80 + .4*250
			}
			return 80
		})
		y := run(t, w, l, ideal, stiff)
		require.NotNil(t, y.Inrush, name)
		assert.InDelta(t, 80+6*250, y.Inrush.ACW, 1e-9, name)
		assert.InDelta(t, 80+6*250, y.Inrush.ACVA, 1e-9, name)
	}
}

// A start that fails is an outage of the inverter's restart time by `inrush`,
// once each time that it is tried.
func TestFailedStart(t *testing.T) {
	w := steady(0)
	for name, c := range map[string]struct {
		start  sim.Start
		patch  string
		failed int
	}{
		"once a day":            {sim.Start{RunningW: 1200, PowerFactor: 1, InrushMultiple: 5, InrushS: 1}, `{}`, 365},
		"three times an hour":   {sim.Start{RunningW: 1200, PowerFactor: 1, InrushMultiple: 5, InrushS: 1, StartsPerH: 3}, `{}`, 3 * 365},
		"two of them":           {sim.Start{RunningW: 1200, PowerFactor: 1, InrushMultiple: 5, InrushS: 1, StartsPerH: 3, Count: 2}, `{}`, 6 * 365},
		"every second hour":     {sim.Start{RunningW: 1200, PowerFactor: 1, InrushMultiple: 5, InrushS: 1, StartsPerH: .5}, `{}`, 183},
		"with two modules":      {sim.Start{RunningW: 1200, PowerFactor: 1, InrushMultiple: 5, InrushS: 1}, `{"bank":{"modules":2}}`, 0},
		"shed, so never tried":  {sim.Start{RunningW: 1200, PowerFactor: 1, InrushMultiple: 5, InrushS: 1, Flexible: true}, `{"bank":{"initial_soc_fraction":0.2}}`, 0},
		"too much for inverter": {sim.Start{RunningW: 3000, PowerFactor: 1, InrushMultiple: 5, InrushS: 1}, `{"bank":{"modules":8}}`, 365},
	} {
		l := starter(w, c.start, atNine)
		for i := range l.ACEssentialW {
			l.ACEssentialW[i] = .001
		}
		y := run(t, w, l, ideal, stiff, `{"inverter":{"restart_s":45}}`, c.patch)
		assert.Equal(t, c.failed, y.Figures.FailedMotorStarts, name)
		assert.Equal(t, c.failed, y.Figures.ShortOutages, name)
		assert.Equal(t, c.failed, y.Figures.Restarts, name)
		assert.InDelta(t, float64(c.failed)*45/3600, y.Figures.DowntimeByCauseH["inrush"], 1e-6, name)
		assert.InDelta(t, y.Figures.DowntimeH, y.Figures.DowntimeByCauseH["inrush"], 1e-9, name)
		if c.failed > 0 {
			assert.Less(t, y.Inrush.MarginFraction, 0., name)
			assert.Equal(t, sim.Inrush, y.Outages[0].Cause, name)
		}
	}
}

// The table of margins is what simulations of banks of other sizes say, where
// the worst start meets a bank that is full; and it names the least that pass.
func TestInrushByModules(t *testing.T) {
	w := steady(0)
	l := starter(w, sim.Start{RunningW: 1700, PowerFactor: 1, InrushMultiple: 6, InrushS: 1}, func(row int) bool { return row == 1 })
	of := func(modules int) *sim.InrushAnswer {
		return run(t, w, l, ideal, stiff, patch(`{"bank":{"modules":%d}}`, modules)).Inrush
	}
	two := of(2)
	require.Len(t, two.ByModules, 4)
	for _, row := range two.ByModules {
		y := of(row.Modules)
		assert.InDelta(t, y.MarginFraction, row.MarginFraction, 1e-9, row.Modules)
		assert.Equal(t, y.Weakest, row.Weakest, row.Modules)
		if y.ModulesToPass != nil {
			assert.Equal(t, row.Modules >= *y.ModulesToPass, row.MarginFraction >= 0, row.Modules)
		}
	}
	// By hand: 10.2 kW; two modules give 200 A at 51.2 − 200·(.0025 + .002) = 50.3 V,
	// 10.06 kW, one 5.05 kW, three more than the inverter's 12 kVA.
	assert.InDelta(t, 10060./10200-1, two.MarginFraction, 1e-9)
	assert.InDelta(t, 5050./10200-1, *two.OneModuleOut, 1e-9)
	assert.Equal(t, 3, *two.ModulesToPass)
	assert.Equal(t, "inverter", two.ByModules[2].Weakest)
	assert.Nil(t, of(1).OneModuleOut)
	strong := starter(w, sim.Start{RunningW: 2500, PowerFactor: 1, InrushMultiple: 6, InrushS: 1}, func(row int) bool { return row == 1 })
	assert.Nil(t, run(t, w, strong, ideal, stiff).Inrush.ModulesToPass, "no number of modules helps the inverter")
}

// More starting current, a colder bank or a smaller one never widens the
// margin, and a margin above 0 is no outage.
func TestInrushMarginFalls(t *testing.T) {
	w, base := steady(0), system(t, ideal, stiff)
	rapid.Check(t, func(r *rapid.T) {
		multiple := rapid.Float64Range(1.1, 8).Draw(r, "multiple")
		modules := rapid.IntRange(1, 6).Draw(r, "modules")
		seconds := rapid.Float64Range(.1, 20).Draw(r, "seconds")
		of := func(multiple float64, modules int, seconds float64) *sim.InrushAnswer {
			l := starter(w, sim.Start{RunningW: 800, PowerFactor: .8, InrushMultiple: multiple, InrushS: seconds}, func(row int) bool { return row == 1 })
			s := base.System
			s.Bank.Modules = modules
			return sim.Compile(&s, w, l).Run(false).Inrush
		}
		one := of(multiple, modules, seconds)
		for _, worse := range []*sim.InrushAnswer{of(multiple*1.1, modules, seconds), of(multiple, max(1, modules-1), seconds), of(multiple, modules, seconds*1.3)} {
			if worse.MarginFraction > one.MarginFraction+1e-12 {
				r.Fatalf("margin rises from %g to %g", one.MarginFraction, worse.MarginFraction)
			}
		}
		if failed := one.Failed > 0; failed != (one.MarginFraction < 0) || math.IsNaN(one.MarginFraction) {
			r.Fatalf("margin %g, failed %d", one.MarginFraction, one.Failed)
		}
	})
}
