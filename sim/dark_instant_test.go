package sim_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// onlyDark is the one outage of a year that ends dark, and when it begins, in
// seconds after the year's start.
func onlyDark(t *testing.T, y *sim.Year) (sim.Outage, float64) {
	t.Helper()
	require.Len(t, y.Outages, 1)
	text, err := time.Parse("2006-01-02T15:04:05", y.Outages[0].Start)
	require.NoError(t, err)
	at := (8760 - y.Outages[0].Hours) * 3600
	require.InDelta(t, text.Sub(time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)).Seconds(), at, 1)
	return y.Outages[0], at
}

// Without sun an ideal bank of energy E carries a constant load P for E/P: to a
// second, whatever the grid.
func TestDarkAfterEnergyOverPower(t *testing.T) {
	const wh = 51.2 * 100
	for name, c := range map[string]struct {
		stepS   int
		patch   string
		ac, dc  float64 // load, W
		wh, own float64 // what the bank gives, and draws beside the load, W
	}{
		"one module":                 {3600, `{}`, 0, 500, wh, 0},
		"three modules":              {3600, `{"bank":{"modules":3}}`, 0, 777, 3 * wh, 0},
		"half-hours":                 {1800, `{}`, 0, 500, wh, 0},
		"minutes":                    {60, `{}`, 0, 500, wh, 0},
		"minutes inside":             {3600, `{"controls":{"internal_step_s":60}}`, 0, 500, wh, 0},
		"from 70 %":                  {3600, `{"bank":{"initial_soc_fraction":0.7}}`, 0, 500, .7 * wh, 0},
		"to 10 %":                    {3600, `{"controls":{"low_end":{"stop_soc_fraction":0.1,"resume_soc_fraction":0.2}}}`, 0, 500, .9 * wh, 0},
		"behind the inverter":        {3600, `{}`, 500, 0, wh, 0},
		"inverter's idle loss once":  {3600, `{"inverter":{"idle_fraction":0.007}}`, 500, 0, wh, 42},
		"inverter's whole loss":      {3600, `{"inverter":{"idle_fraction":0.007,"linear_loss_fraction":0.01,"quadratic_loss_fraction":0.045}}`, 600, 0, wh, 6000 * (.007 + .01*.1 + .045*.01)},
		"housekeeping":               {3600, `{"controls":{"housekeeping_w":15}}`, 0, 485, wh, 15},
		"chargers at night":          {3600, `{"array":{"chargers":{"south":{"night_draw_w":4}}}}`, 0, 496, wh, 4},
		"draw inside the modules":    {3600, `{"bank":{"module":{"bms_draw_w":3},"modules":2}}`, 0, 494, 2 * wh, 6},
		"cold cells lock 14 percent": {3600, `{"bank":{"module":{"capacity_factor_by_c":[[-10,0.86],[25,1]]},"enclosure":{"fixed_c":-10}}}`, 0, 500, .86 * wh, 0},
	} {
		t.Run(name, func(t *testing.T) {
			w := year(c.stepS, always(0), always(25))
			l := &sim.Load{ACEssentialW: column(w.Len(), always(c.ac)), DCEssentialW: column(w.Len(), always(c.dc))}
			y := run(t, w, l, ideal, c.patch)
			only, at := onlyDark(t, y)
			assert.InDelta(t, c.wh/(c.ac+c.dc+c.own)*3600, at, 1)
			assert.Equal(t, sim.Empty, only.Cause)
			assert.InDelta(t, 8760-at/3600, y.Figures.DowntimeH, 1e-9)
		})
	}
}

// discharge is the time, s, in which a constant power p (W) takes a bank down
// from open-circuit voltage a to b with resistance r (Ω) and slope g (V/As):
// between the currents there, t = [P/(2I²) + R·ln I]/g, from E = P/I + R·I.
func discharge(p, a, b, r, g float64) float64 {
	i := func(e float64) float64 { return (e - math.Sqrt(e*e-4*r*p)) / (2 * r) }
	f := func(i float64) float64 { return p/(2*i*i) + r*math.Log(i) }
	return (f(i(a)) - f(i(b))) / g
}

// With resistance and a sloping open-circuit voltage the current rises as the
// voltage falls, and the time between two currents is known in closed form. The
// kernel follows a constant power to second order in its step.
func TestDarkBehindResistance(t *testing.T) {
	w := steady(0)
	const q, load = 100 * 3600, 1500
	for _, stop := range []float64{.5, .1} {
		want := discharge(load, 3.6*16, 16*(3+.6*stop), .05, (3.6-3)*16/q)
		for _, step := range []struct{ stepS, within float64 }{{3600, 3}, {600, .2}, {60, .01}} {
			y := run(t, w, dc(w, load), ideal, `{"bank":{"module":{"open_circuit_by_soc_v":[[0,3],[1,3.6]],"resistance_ohm":0.05}}}`,
				patch(`{"controls":{"internal_step_s":%g,"low_end":{"stop_soc_fraction":%g,"resume_soc_fraction":0.9}}}`, step.stepS, stop))
			_, at := onlyDark(t, y)
			assert.InDelta(t, want, at, step.within, "to SoC %g in steps of %g s", stop, step.stepS)
		}
	}
}

// Voltage-only the load stops once the terminals have been below the cut-off
// for its delay: at E* = V + R·P/V, along the published open-circuit table of
// LFP (Sunil, Pattipati & Balasingam 2025).
func TestDarkAtCutOffVoltage(t *testing.T) {
	w := steady(0)
	cells := [][2]float64{{0, 2.0102}, {.0033, 2.4177}, {.0117, 2.7405}, {.0267, 2.9299}, {.0534, 3.0872},
		{.0885, 3.1942}, {.2972, 3.2772}, {.9833, 3.3511}, {.9950, 3.4180}, {1, 3.5981}}
	for _, c := range []struct{ load, ohm, cutV float64 }{{500, .025, 49.6}, {2000, .025, 49.6}, {500, .1, 50.4}, {100, .025, 48}} {
		y := run(t, w, dc(w, c.load), ideal, `{"bank":{"operation":"voltage_only","module":{"chemistry":"lfp","open_circuit_by_soc_v":null}}}`,
			patch(`{"bank":{"module":{"resistance_ohm":%g}},"controls":{"low_end":{"cut_off_v":%g,"cut_off_delay_s":30}}}`, c.ohm, c.cutV))
		end := c.cutV + c.ohm*c.load/c.cutV
		want := 30.
		for i := len(cells) - 1; i > 0; i-- {
			hi, lo := cells[i][1]*16, cells[i-1][1]*16
			if hi > end {
				g := (hi - lo) / ((cells[i][0] - cells[i-1][0]) * 100 * 3600)
				want += discharge(c.load, hi, max(lo, end), c.ohm, g)
			}
		}
		_, at := onlyDark(t, y)
		assert.InDelta(t, want, at, 2, "%+v", c)
	}
}

// What is served of a dark hour is 0 exactly, and of a lit one all, whatever the
// digits of the load; what is taken of the sun is 0 or more than a rounding.
func TestDark_ServesNothing(t *testing.T) {
	load := func(i int) float64 { return 300 + 100*math.Sin(float64(i*i)) }
	sun := func(i int) float64 { return max(0, 60*math.Sin(float64(i)*math.Pi/12)-1) }
	w := year(3600, sun, always(25))
	l := &sim.Load{ACEssentialW: column(w.Len(), load)}
	y := run(t, w, l, ideal, `{"controls":{"visit_response_h":8784}}`)
	served, asked, down := values(t, y, "served_w"), values(t, y, "load_w"), values(t, y, "downtime_fraction")
	used := values(t, y, "solar_used_w")
	dark, lit := 0, 0
	for i := range served {
		switch down[i] {
		case 0:
			lit++
			assert.InEpsilon(t, asked[i], served[i], 1e-6)
		case 1:
			dark++
			assert.Zero(t, served[i], "hour %d", i)
			assert.False(t, used[i] > 0 && used[i] < 1e-6, "hour %d: %g W", i, used[i])
		}
	}
	assert.Greater(t, dark, 1000)
	assert.Greater(t, lit, 100)
}
