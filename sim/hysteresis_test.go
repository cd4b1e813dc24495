package sim_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A charge at constant current and then at constant voltage, from the branch of a
// discharge: the open-circuit voltage is a straight line with the slope g + 2H/w up
// to the branch of a charge and with g from there, so that the current falls as
// e^(−λt) with the one and then the other λ. Closed forms of each; the branch is
// reached before, in and after the taper, at any internal step.
func TestChargeThroughATurn(t *testing.T) {
	w := steady(0)
	const r, v, amperes, soc, q = .1, 56., 50., .2, 100 * 3600.
	const g, half = (3.6 - 3) * 16 / q, .02 * 16 / 2
	for _, turn := range []float64{.03, .25, .45} {
		k := 2 * half / (turn * q)
		bends := [][2]float64{{0, (3+.6*soc)*16 - half}, {turn * q, (3+.6*soc)*16 + g*turn*q + half}, {q, (3+.6*soc)*16 + g*q + half}}
		for _, tail := range []float64{25, 10, 2} {
			want := 0.
			e := bends[0][1]
			for i, slope := range []float64{g + k, g} {
				if top := min(bends[i+1][1], v-r*amperes); e < top {
					want += (top - e) / slope / amperes
					e = top
				}
				if end := min(bends[i+1][1], v-r*tail); e < end {
					want += math.Log((v-e)/(v-end)) * r / slope
					e = end
				}
			}
			require.InDelta(t, v-r*tail, e, 1e-9, "the tail is on the way")
			for _, stepS := range []float64{3600, 600, 60} {
				y := run(t, w, dc(w, 0), ideal, quickSet, `{"bank":{"operation":"voltage_only","settings":{"absorb_v":56,"float_v":55,"restart_charge_v":50,"tail_a":0,"absorb_max_s":86400,"charge_a":1000}}}`,
					`{"bank":{"initial_soc_fraction":0.2,"module":{"open_circuit_by_soc_v":[[0,3],[1,3.6]],"resistance_ohm":0.1}},"inverter":{"charger_a":50}}`,
					patch(`{"bank":{"module":{"hysteresis":{"width_v":0.02,"turn_fraction":%g}}},"generators":{"main":{"stop_tail_a":%g}},"controls":{"internal_step_s":%g}}`, turn, tail, stepS))
				assert.InDelta(t, want, y.Figures.GeneratorH*3600, .01, "turn %g, tail %g A, step %g s", turn, tail, stepS)
				assert.Equal(t, 1, y.Figures.GeneratorStarts)
			}
		}
	}
}

// A charge ceiling that falls with the state of charge, faster than the voltage limit
// alone would have the current fall but not as fast as it does in a turn: the ceiling
// gives way to the limit. Closed forms of both, x = c₀(e^(c₁t) − 1)/c₁ and e^(−λt).
func TestCeilingMeetsTheLimitInATurn(t *testing.T) {
	w := steady(0)
	const r, v, c0, fall, tail, soc, q = .1, 56.2, 50., .288, 43., .2, 100 * 3600.
	const g, half, turn = (3.25 - 3.2) * 16 / q, .04 * 16 / 2, .45
	const c1, slope = -c0 * fall / q, g + 2*half/(turn*q)
	require.Less(t, g+c1*r, 0.)
	require.Greater(t, slope+c1*r, 0.)
	x := (v - (3.2+.05*soc)*16 + half - c0*r) / (slope + c1*r)
	want := math.Log(1+c1*x/c0)/c1 + math.Log((c0+c1*x)/tail)*r/slope
	for _, stepS := range []float64{3600, 600} {
		y := run(t, w, dc(w, 0), ideal, quickSet, `{"bank":{"initial_soc_fraction":0.2,"module":{"open_circuit_by_soc_v":[[0,3.2],[1,3.25]],"resistance_ohm":0.1,
			"hysteresis":{"width_v":0.04,"turn_fraction":0.45},
			"data_linked":{"voltage_v":56.2,"full_v":56.2,"full_a":0.001,"charge_a_by_c":[[25,50]],"charge_factor_by_soc":[[0.2,1],[1,0.7696]]}}}}`,
			patch(`{"generators":{"main":{"stop_tail_a":43}},"controls":{"internal_step_s":%g}}`, stepS))
		assert.InDelta(t, want, y.Figures.GeneratorH*3600, .01, "step %g s", stepS)
		assert.Equal(t, 1, y.Figures.GeneratorStarts)
	}
}

// loops is a flat bank that a generator fills to 80 % whenever it has fallen to
// 45 %, at constant current both ways.
const loops = `{"bank":{"initial_soc_fraction":0.6,"module":{"hysteresis":{"width_v":0.02}}},"inverter":{"charger_a":40},"generators":{"main":{"stop_soc_fraction":0.8}}}`

// A cycle of the depth D loses the area of its loop, 2H·(D − w), and heats the
// cells with it; the voltage is half the width from the table's after each way.
func TestLoopLosesItsArea(t *testing.T) {
	w := steady(0)
	const q, half, turn = 100 * 3600., .02 * 16 / 2, .03
	for _, operation := range []string{`{}`, `{"bank":{"operation":"voltage_only","settings":{"absorb_v":56,"float_v":55,"restart_charge_v":50,"tail_a":0,"charge_a":1000}}}`} {
		var ways []float64 // from one reversal to the next
		at, heatC := math.NaN(), 0.
		p := compile(t, w, dc(w, 500), ideal, quickSet, operation, loops)
		y := p.Walk(1, func(seconds, charge, cellC float64) {
			if step := charge - at; step != 0 && !math.IsNaN(step) {
				if n := len(ways); n > 0 && ways[n-1] > 0 == (step > 0) {
					ways[n-1] += step
				} else {
					ways = append(ways, step)
				}
			}
			at = charge
			heatC += (cellC - 25) * seconds
		})
		require.Greater(t, len(ways), 160)
		want := -half * ways[0] // on the branch of a discharge from the start
		for _, way := range ways[1:] {
			want += half * max(0, math.Abs(way)-turn*q)
		}
		assert.InEpsilon(t, want/3.6e6, y.Books.BankHysteresisKWh, 1e-9)
		assert.InEpsilon(t, float64(len(ways)/2)*2*half*(.35-turn)*q/3.6e6, y.Books.BankHysteresisKWh, .01)
		// What is lost goes out through the thermal resistance, Σ(T − T_air)·t/R.
		const surface = .6
		assert.InEpsilon(t, (want+y.Books.BankResistiveKWh*3.6e6)*surface, heatC, .02)
		closeBooks(t, &y.Books)
		volts := values(t, p.Run(true), "bank_v")
		assert.InDelta(t, 51.2+half, slices.Max(volts), 1e-3)
		assert.InDelta(t, 51.2-half, slices.Min(volts), 1e-3)
	}
}

// Cycles of less than a turn lose nothing but what the first second draws on the
// branch before the generator gives: what they put in comes back.
func TestWithinATurnNothingIsLost(t *testing.T) {
	w := steady(0)
	y := run(t, w, dc(w, 500), ideal, quickSet, loops, `{"bank":{"initial_soc_fraction":0.45,"module":{"hysteresis":{"turn_fraction":0.4}}}}`)
	require.Greater(t, y.Figures.GeneratorStarts, 80)
	assert.InDelta(t, 0, y.Books.BankHysteresisKWh, 1e-6)
	closeBooks(t, &y.Books)
}
