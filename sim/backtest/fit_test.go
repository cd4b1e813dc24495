package backtest_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/backtest"
	"bankyear/sim/bank"
)

var everything = backtest.Fit{Capacity: true, Resistance: true, Offset: true}

func cold(t float64) float64 { return 8 + 6*math.Sin(2*math.Pi*t/86400) }

func changing(day int) float64 { return []float64{38, 22, 55, 12, 47}[day%5] }

// A log with a known truth gives it back, inside the interval that is told:
// capacity within 1 %, resistance within 3 %, offset within 0.03 A, with 20 mV
// and 0.2 A of noise a row, whatever the step.
func TestRun_FindsTheTruth(t *testing.T) {
	for name, c := range map[string]struct {
		truth
		stepS int
		days  float64
	}{
		"aged, 2 min":      {truth{88, 0.034, 0.3, 0.6, 2}, 120, 4},
		"aged, 10 min":     {truth{88, 0.034, 0.3, 0.6, 2}, 600, 15},
		"as new, 10 min":   {truth{100, 0.025, 0, 0.4, 2}, 600, 15},
		"larger, half h":   {truth{112, 0.019, -0.2, 0.9, 2}, 1800, 20},
		"offset, quarters": {truth{97, 0.025, 0.8, 0.3, 2}, 900, 15},
	} {
		log := c.drive(c.days, c.stepS, 56, sunny(changing), cold)
		noise(log, 7, 0.02, 0.2, 0)
		r := run(t, log, everything)
		got := r.Values
		t.Logf("%s: %.2f [%.2f %.2f], %.5f [%.5f %.5f], %.3f [%.3f %.3f] rms %.4f → %.4f", name, got[0].Value, got[0].Low, got[0].High, got[1].Value, got[1].Low, got[1].High, got[2].Value, got[2].Low, got[2].High, r.Stated[0].RMS, r.Fitted[0].RMS)
		assert.InEpsilon(t, c.capacityAh, got[0].Value, 0.01, name)
		assert.InEpsilon(t, c.resistanceOhm, got[1].Value, 0.03, name)
		assert.InDelta(t, c.offsetA, got[2].Value, 0.03, name)
		for i, truth := range []float64{c.capacityAh, c.resistanceOhm, c.offsetA} {
			assert.Less(t, got[i].Low, truth, name)
			assert.Greater(t, got[i].High, truth, name)
			assert.Greater(t, got[i].FromLog, 0.9, name)
		}
		assert.Less(t, r.Fitted[0].RMS, 1.05*r.Stated[0].RMS, name)
		assert.Less(t, r.Fitted[0].MedianAbs, 0.03, name) // 20 mV of noise are 13 mV at the median
	}
}

// A log of cells with hysteresis gives its truth back where the hysteresis is
// stated; left out, the model's voltages are off by half of its width, and with it
// the values.
func TestRun_Hysteresis(t *testing.T) {
	x, spec := truth{88, 0.034, 0.3, 0.6, 2}, module()
	spec.Module.Hysteresis = &bank.Hysteresis{WidthV: .02, TurnFraction: .03}
	log := x.driveOf(spec.Module, 15, 600, 56, sunny(changing), cold)
	noise(log, 7, 0.02, 0.2, 0)
	stated, err := backtest.Run(log, &spec, nil, everything)
	require.NoError(t, err)
	for i, want := range []float64{88, 0.034, 0.3} {
		assert.Less(t, stated.Values[i].Low, want)
		assert.Greater(t, stated.Values[i].High, want)
	}
	assert.InEpsilon(t, 88, stated.Values[0].Value, 0.01)
	assert.InEpsilon(t, 0.034, stated.Values[1].Value, 0.03)
	assert.Less(t, stated.Fitted[0].MedianAbs, 0.03)
	without := run(t, log, everything)
	t.Logf("stated %v, without %v", stated.Values, without.Values)
	assert.Greater(t, without.Fitted[0].MedianAbs, 2*stated.Fitted[0].MedianAbs)
	assert.Greater(t, math.Abs(without.Values[1].Value-0.034), 2*math.Abs(stated.Values[1].Value-0.034))
}

// A bank that never leaves the middle of its plateau says little of its capacity,
// and the interval says so; the resistance is told by any step of current.
func TestRun_SaysWhatTheLogDoesNot(t *testing.T) {
	x := truth{88, 0.034, 0.3, 0.6, 2}
	swing := func(t float64) float64 { return 15 * math.Copysign(1, math.Sin(2*math.Pi*t/7200)) }
	log := x.drive(2, 300, 56, swing, cold)
	noise(log, 3, 0.02, 0.2, 0.8)
	got := run(t, log, everything).Values
	assert.Less(t, got[0].FromLog, 0.98)
	assert.Greater(t, got[0].High/got[0].Low, 1.2)
	assert.Less(t, got[0].Low, 88.)
	assert.Greater(t, got[0].High, 88.)
	assert.InEpsilon(t, 0.034, got[1].Value, 0.03)
}

// Of logs whose errors go together for an hour, the intervals hold the truth
// about as often as they say: at least 10 of 12 (of a chance of 95 %, 10 or more
// come with 98 %).
func TestRun_IntervalsHold(t *testing.T) {
	x := truth{90, 0.03, 0.2, 0.5, 2}
	clean := x.drive(6, 900, 56, sunny(changing), cold)
	const draws = 12
	var inside [3]int
	for seed := range uint64(draws) {
		log := *clean
		log.V, log.A = append([]float64(nil), clean.V...), append([]float64(nil), clean.A...)
		noise(&log, seed, 0.05, 0, 0.8)
		for i, v := range run(t, &log, everything).Values {
			if truth := []float64{90, 0.03, 0.2}[i]; v.Low <= truth && truth <= v.High {
				inside[i]++
			}
		}
	}
	for i := range inside {
		assert.GreaterOrEqual(t, inside[i], 10, inside)
	}
}

// Gaps part the log; each piece starts where it must. Rows without voltage or
// current are left out and counted.
func TestRun_Gaps(t *testing.T) {
	x := truth{88, 0.034, 0.3, 0.6, 2}
	log := x.drive(12, 600, 56, sunny(changing), cold)
	keep := func(i int) bool { return i%432 < 350 }
	cut := &backtest.Log{}
	for i := range log.Seconds {
		if keep(i) {
			cut.Seconds, cut.V, cut.A, cut.CellC = append(cut.Seconds, log.Seconds[i]), append(cut.V, log.V[i]), append(cut.A, log.A[i]), append(cut.CellC, log.CellC[i])
		}
	}
	cut.V[100], cut.A[200] = math.NaN(), math.NaN()
	r := run(t, cut, everything)
	assert.Equal(t, 3, r.Gaps)
	assert.Equal(t, 2, r.Left)
	assert.Equal(t, len(cut.V)-2, r.Rows)
	assert.InEpsilon(t, 88, r.Values[0].Value, 0.02)
	assert.InDelta(t, 0.3, r.Values[2].Value, 0.05)
}

// Only what may move does.
func TestRun_Fixed(t *testing.T) {
	x := truth{88, 0.034, 0.3, 0.6, 2}
	log := x.drive(4, 900, 56, sunny(changing), cold)
	got := run(t, log, backtest.Fit{Resistance: true}).Values
	assert.Equal(t, backtest.Value{Member: "bank.module.capacity_ah", Unit: "Ah", Stated: 100, Value: 100, Low: 100, High: 100}, got[0])
	assert.True(t, got[1].Fitted)
	assert.Zero(t, got[2].Value)
}

// Samples of a moment and means of intervals give the same.
func TestRun_Instants(t *testing.T) {
	x := truth{88, 0.034, 0.3, 0.6, 2}
	log := x.drive(3, 120, 56, sunny(changing), cold)
	fine := x.drive(3, 10, 56, sunny(changing), cold)
	instants := &backtest.Log{Instants: true}
	for i := 0; i < len(fine.V); i += 12 {
		instants.Seconds, instants.V, instants.A, instants.CellC = append(instants.Seconds, fine.Seconds[i]), append(instants.V, fine.V[i]), append(instants.A, fine.A[i]), append(instants.CellC, fine.CellC[i])
	}
	a, b := run(t, log, everything).Values, run(t, instants, everything).Values
	for i := range a {
		assert.InDelta(t, a[i].Value, b[i].Value, 0.02*math.Max(1, a[i].Value)*[]float64{1, 0.05, 1}[i], a[i].Member)
	}
}

func TestRun_TooShort(t *testing.T) {
	spec := module()
	for _, n := range []int{0, 1, 2, 19} {
		log := &backtest.Log{}
		for i := range n {
			log.Seconds, log.V, log.A = append(log.Seconds, float64(60*i)), append(log.V, 52), append(log.A, 1)
		}
		_, err := backtest.Run(log, &spec, nil, everything)
		require.ErrorIs(t, err, backtest.ErrTooShort)
	}
}
