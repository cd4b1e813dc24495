package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// quickSet is a set that starts at once, charges as soon as it runs, and stops
// at a tail current.
const quickSet = `{"generators": {"main": {"key": "diesel_8kw", "exercise": {"run_s": 0}, "stop_refused_s": 0, "rated_kw": 50, "min_load_fraction": 0, "failed_start_fraction": 0,
  "start_delay_s": 0, "warm_up_s": 0, "cool_down_s": 0, "min_run_s": 0, "max_run_h": 8784,
  "start_soc_fraction": 0.45, "stop_soc_fraction": 0}}}`

// At a voltage limit the current falls as e^(−λt), λ = g/R: from the charger's
// 50 A to a tail I it takes ln(50/I)/λ, after 50 A have taken the open-circuit
// voltage to V − 50·R. The generator stops at the tail, so that its hours are
// the time.
func TestTaperIsExponential(t *testing.T) {
	w := steady(0)
	const r, v, amperes, soc = .1, 56., 50., .2
	const g = (3.6 - 3) * 16 / (100 * 3600.) // V/As
	bulk := (v - r*amperes - (3+.6*soc)*16) / g / amperes
	for _, operation := range []string{
		`{"bank":{"module":{"data_linked":{"voltage_v":56,"full_v":56,"full_a":0.001}}}}`,
		`{"bank":{"operation":"voltage_only","settings":{"absorb_v":56,"float_v":55,"restart_charge_v":50,"tail_a":0,"absorb_max_s":86400,"charge_a":1000}}}`,
	} {
		for _, tail := range []float64{25, 10, 2} {
			y := run(t, w, dc(w, 0), ideal, quickSet, operation,
				`{"bank":{"initial_soc_fraction":0.2,"module":{"open_circuit_by_soc_v":[[0,3],[1,3.6]],"resistance_ohm":0.1}},"inverter":{"charger_a":50}}`,
				patch(`{"generators":{"main":{"stop_tail_a":%g}}}`, tail))
			assert.InDelta(t, bulk+math.Log(amperes/tail)*r/g, y.Figures.GeneratorH*3600, .01, "tail %g A", tail)
			assert.Equal(t, 1, y.Figures.GeneratorStarts)
		}
	}
}

// Along the published open-circuit table of LFP (Sunil, Pattipati &
// Balasingam 2025) the taper is one exponential between each two break points.
func TestTaperAlongTheCells(t *testing.T) {
	w := steady(0)
	cells := [][2]float64{{.2972, 3.2772}, {.9833, 3.3511}, {.9950, 3.4180}, {1, 3.5981}}
	const r, v, amperes, soc = .05, 56., 80., .4
	for _, tail := range []float64{60, 20, 5} {
		want, i := 0., amperes
		at := soc
		for k := 1; k < len(cells); k++ {
			lo, hi := cells[k-1], cells[k]
			g := (hi[1] - lo[1]) * 16 / ((hi[0] - lo[0]) * 360000)
			e := lo[1]*16 + g*(at-lo[0])*360000
			if top := min(hi[1]*16, v-r*amperes); e < top { // constant current
				want += (top - e) / g / amperes
				e = top
			}
			if end := min(hi[1]*16, v-r*tail); e < end { // constant voltage
				want += math.Log((v-e)/(v-end)) * r / g
				i = (v - end) / r
			}
			at = hi[0]
		}
		assert.InDelta(t, tail, i, 1e-9, "the tail is on the way")
		y := run(t, w, dc(w, 0), ideal, quickSet, `{"bank":{"initial_soc_fraction":0.4,"module":{"chemistry":"lfp","open_circuit_by_soc_v":null,
			"resistance_ohm":0.05,"data_linked":{"full_v":56,"full_a":0.001}}},"inverter":{"charger_a":80}}`,
			patch(`{"generators":{"main":{"stop_tail_a":%g}}}`, tail))
		assert.InDelta(t, want, y.Figures.GeneratorH*3600, .01, "tail %g A", tail)
	}
}
