package sim_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim"
)

// blocked is a bank, half full, that takes no charge beside a diesel that is
// never satisfied: once asked for, it runs to the year's end, so that its hours
// tell when it was started.
const blocked = `{"bank":{"modules":2,"initial_soc_fraction":0.5,"module":{"data_linked":{"charge_a_by_c":[[25,0]]}}},
  "generators":{"main":{"start_soc_fraction":0.25,"stop_soc_fraction":0.8}}}`

// running is when the generator began to run, s after the year's start.
func running(y *sim.Year) float64 { return (8760 - y.Figures.GeneratorH) * 3600 }

// A start is asked for at an SoC, and not in the hours in which none may be
// (common practice). By hand: 2.56 kWh to 25 %.
func TestStartOnSoC(t *testing.T) {
	w := steady(0)
	const delay = 30.
	for name, c := range map[string]struct {
		watts float64
		patch string
		at    float64
	}{
		"at once":             {2560. / 5, `{}`, 5*3600 + delay},
		"in the quiet hours":  {2560. / 5, `{"generators":{"main":{"no_start_hours":"04-07"}}}`, 7*3600 + delay},
		"over midnight":       {2560. / 5, `{"generators":{"main":{"no_start_hours":"22:30-06:15"}}}`, 6.25*3600 + delay},
		"two spans":           {2560. / 5, `{"generators":{"main":{"no_start_hours":"04-07,7:30-9"}}}`, 7*3600 + delay},
		"before them":         {2560. / 5, `{"generators":{"main":{"no_start_hours":"05:01-23"}}}`, 5*3600 + delay},
		"dark, not overruled": {2560. / 2, `{"generators":{"main":{"no_start_hours":"00-12"}}}`, 12*3600 + delay},
		"dark, overruled":     {2560. / 2, `{"generators":{"main":{"no_start_hours":"00-12","override_when_dark":true}}}`, 4*3600 + delay},
	} {
		y := run(t, w, ac(w, c.watts), ideal, diesel, blocked, c.patch)
		assert.InDelta(t, c.at, running(y), .5, name)
		assert.Equal(t, 1, y.Figures.GeneratorStarts, name)
	}
}

// Rungs of voltage held for a time: 2 kW and R 0.1 Ω take a bank of 51.2 V to
// 46.9 V, 1 kW to 49.1 V (common practice).
func TestStartOnVoltage(t *testing.T) {
	w := year(600, always(0), always(25))
	ladder := `{"bank":{"modules":1,"module":{"resistance_ohm":0.1},"initial_soc_fraction":1,"estimate":{"kind":"exact"}},
	  "generators":{"main":{"start_soc_fraction":0,"stop_soc_fraction":0,"start_below":[{"v":50,"hold_s":900},{"v":48,"hold_s":120}]}},
	  "controls":{"low_end":{"cut_off_v":45.5,"fast_cut_off_v":45}}}`
	quiet := `{"generators":{"main":{"no_start_hours":"00-01"}}}`
	for name, c := range map[string]struct {
		watts func(row int) float64
		patch string
		at    float64 // 0: never
	}{
		"first rung":              {always(1000), `{}`, 900 + 30},
		"second rung":             {always(2000), `{}`, 120 + 30},
		"second after first":      {func(row int) float64 { return 1000 + 1000*float64(min(row, 1)) }, `{}`, 600 + 120 + 30},
		"not held":                {func(row int) float64 { return 1000 * float64((row+1)%2) }, `{}`, 0},
		"second rung, pulsed":     {func(row int) float64 { return 2000 * float64((row+1)%2) }, `{}`, 120 + 30},
		"still low when it may":   {always(1000), quiet, 3600 + 30},
		"recovered before it may": {func(row int) float64 { return 1000 * float64(1-min(row/3, 1)) }, quiet, 0},
	} {
		l := &sim.Load{DCEssentialW: column(w.Len(), func(row int) float64 {
			if row >= 12 {
				return 0
			}
			return c.watts(row)
		})}
		y := run(t, w, l, ideal, diesel, blocked, ladder, c.patch)
		if c.at == 0 {
			assert.Zero(t, y.Figures.GeneratorH, name)
			continue
		}
		assert.InDelta(t, c.at, running(y), .01, name)
		assert.Zero(t, y.Figures.DowntimeH, name)
	}
}

// Before the hours in which it may not start the set tops a bank up that is not
// full enough, to an SoC of its own (common practice).
func TestTopUp(t *testing.T) {
	w := steady(0)
	for _, c := range []struct {
		soc  float64
		runs bool
	}{{.49, true}, {.51, false}} {
		y := run(t, w, &sim.Load{}, ideal, diesel, patch(`{"bank":{"initial_soc_fraction":%g},"generators":{"main":{"start_soc_fraction":0.1,"stop_soc_fraction":0.95,
			"no_start_hours":"20-08","before_no_start":{"at":"19:00","if_soc_below_fraction":0.5,"run_to_soc_fraction":0.8}}}}`, c.soc))
		hours, watts := 0., values(t, y, "generator_w")
		if c.runs { // 6.4 kW after the warm-up, and the cool-down
			hours = 180/3600. + (.8-c.soc)*5120/6400 + 300/3600.
			assert.Zero(t, watts[18])
			assert.Positive(t, watts[19])
		}
		assert.InDelta(t, hours, y.Figures.GeneratorH, 1e-3, "from %g", c.soc)
	}
}

// A stop wish inside the minimum run keeps charging until it ends; a run ends
// at its longest, whatever is wished (common practice).
func TestMinimumAndLongestRun(t *testing.T) {
	w := steady(0)
	const warm, cool = 180., 300.
	for _, least := range []float64{300, 600, 3600} {
		y := run(t, w, &sim.Load{}, ideal, diesel, patch(`{"bank":{"initial_soc_fraction":0.2,"modules":2},"generators":{"main":{
			"start_soc_fraction":0.21,"stop_soc_fraction":0.3,"min_run_s":%g}}}`, least))
		loaded := max(least, .1*2*5120/6400*3600) // 10 % of two modules take 576 s
		assert.InDelta(t, warm+loaded+cool, y.Figures.GeneratorH*3600, .5, "minimum run %g s", least)
		assert.InDelta(t, .2+loaded/3600*6400/10240, values(t, y, "soc_fraction")[8], 1e-3)
	}
	y := run(t, w, &sim.Load{}, ideal, diesel, blocked, `{"bank":{"initial_soc_fraction":0.2},"generators":{"main":{"max_run_h":2}}}`)
	period := 30 + warm + 2*3600 + cool
	assert.InDelta(t, 8760*3600/period, y.Figures.GeneratorStarts, 1)
	assert.InDelta(t, 8760*(period-30)/period, y.Figures.GeneratorH, 2)
}

// Starts that fail are tried again after a wait, three times, then somebody is
// called out for 48 h (common practice); the chance is that of the input.
func TestFailedStarts(t *testing.T) {
	w := steady(0)
	y := run(t, w, &sim.Load{}, ideal, diesel, blocked, `{"bank":{"initial_soc_fraction":0.2},"generators":{"main":{"failed_start_fraction":1}}}`)
	period := 3*30 + 2*60 + 48*3600.
	assert.Equal(t, 3*int(math.Ceil(8760*3600/period)), y.Figures.GeneratorFailures)
	assert.Zero(t, y.Figures.GeneratorStarts)
	assert.Zero(t, y.Figures.FuelL)

	failures := map[int]int{}
	for _, seed := range []int{1, 1, 2} {
		y = run(t, w, &sim.Load{}, ideal, diesel, blocked, `{"bank":{"initial_soc_fraction":0.2}}`,
			patch(`{"generators":{"main":{"failed_start_fraction":0.3,"start_tries":20,"max_run_h":0.5,"seed":%d}}}`, seed))
		tries := float64(y.Figures.GeneratorStarts + y.Figures.GeneratorFailures)
		assert.Greater(t, tries, 10000.)
		assert.InDelta(t, .3, float64(y.Figures.GeneratorFailures)/tries, 4*math.Sqrt(.3*.7/tries))
		if n, ran := failures[seed]; ran {
			assert.Equal(t, n, y.Figures.GeneratorFailures, "the same seed")
		}
		failures[seed] = y.Figures.GeneratorFailures
	}
	assert.NotEqual(t, failures[1], failures[2], "another seed")
}

// A store of 100 l at 1.29 l an hour (3 kW): by hand.
func TestFuelStoreRunsOut(t *testing.T) {
	w := steady(0)
	y := run(t, w, ac(w, 3000), ideal, diesel, blocked, `{"bank":{"initial_soc_fraction":0.2},"generators":{"main":{"fuel_store_l":100}}}`)
	warm := .05 * .06 * 8
	hours := .05 + (100-warm)/(.06*8+.27*3)
	assert.InDelta(t, 100, y.Figures.FuelL, 1e-9)
	assert.InDelta(t, hours, y.Figures.GeneratorH, 1e-6, "no cool-down without fuel")
	lit := .2*2*5120/3000 + hours - .05
	assert.InDelta(t, 8760-lit, y.Figures.DowntimeH, .01)
	assert.InDelta(t, y.Figures.DowntimeH, y.Figures.DowntimeByCauseH["empty"], 1e-9)
}

// What the set may give falls with height and heat: 8 kW at 1150 m and 35 °C
// are 8·.90·.98 kW, of which the AC input takes 80 % (common practice).
func TestGeneratorDerates(t *testing.T) {
	w := year(3600, always(0), always(35))
	y := run(t, w, &sim.Load{}, ideal, diesel, `{"site":{"elevation_m":1150},"bank":{"initial_soc_fraction":0.2,"modules":4},
	  "generators":{"main":{"start_soc_fraction":0.21,"stop_soc_fraction":0.9}}}`)
	assert.InDelta(t, 8000*.90*.98*.8, values(t, y, "generator_w")[1], .1)
}

// A rung that adds what the load makes the bus sag goes by the cells and not by the
// load: with 0.1 Ω told to its controller it starts the set where they are at 51 V at
// rest, whatever is drawn; one that does not starts it where the terminals are. By
// hand, in steps of a second: 48 to 57.6 V over 100 Ah behind 0.1 Ω, P = V·I.
func TestLoadCorrectedRung(t *testing.T) {
	const holdS, leadS = 120, 31 + 180 // hold; start delay, and warm-up
	for _, watts := range []float64{150, 600, 1500} {
		for _, corrected := range []bool{false, true} {
			q, low, at := .5, 0, 0
			for ; low <= holdS; at++ {
				e := 48 + 9.6*q
				i := 2 * watts / (e + math.Sqrt(e*e-4*.1*watts))
				v := e - .1*i
				if corrected {
					v += .1 * i
				}
				if low++; v >= 51 {
					low = 0
				}
				q -= i / 360000
			}
			w := year(600, always(0), always(25))
			y := run(t, w, &sim.Load{DCEssentialW: column(w.Len(), always(watts))}, ideal, shedsByVoltage, quickSet, patch(`{"controls":{"shed_below_v":null,"return_above_v":null},
			  "generators":{"main":{"start_soc_fraction":null,"stop_soc_fraction":0.9,"start_delay_s":30,"warm_up_s":180,"start_below":[{"v":51,"hold_s":120,"load_corrected":%v}]}}}`, corrected))
			made := values(t, y, "generator_w")
			first := slices.IndexFunc(made, func(w float32) bool { return w > 0 })
			assert.InDelta(t, float64(at+leadS)/600, float64(first)+.5, .55, "%g W, corrected %v", watts, corrected)
		}
	}
}
