package backtest_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/backtest"
)

// A workshop's charge of a bank of constant resistance, 40 A to 54.4 V, gives
// back its ceiling, its voltage limit, its resistance and its taper, which is an
// exponential in closed form: between the knots at SoC .9833 and .9950 the slope
// of the open-circuit voltage is 16·(3.4180 − 3.3511)/(.0117·Q) and the time
// constant R/(g·η).
func TestRun_ChargeCurve(t *testing.T) {
	spec := module()
	spec.Module.ResistanceBySoC = [][2]float64{{0.5, 1}}
	spec.Module.ResistanceByC = [][2]float64{{25, 1}}
	x := truth{88, 0.034, 0, 0.3, 2}
	log := x.driveOf(spec.Module, 0.3, 10, 54.4, func(t float64) float64 { return 40 * b2f(t > 1800) }, func(float64) float64 { return 25 })
	for i := range log.A { // it is taken off the charger at 2 A
		if log.A[i] < 2 && log.Seconds[i]-log.Seconds[0] > 7200 {
			log.Seconds, log.V, log.A, log.CellC = log.Seconds[:i], log.V[:i], log.A[:i], log.CellC[:i]
			break
		}
	}
	noise(log, 5, 0.002, 0.01, 0)
	r, err := backtest.Run(log, &spec, nil, backtest.Fit{Capacity: true, Resistance: true})
	require.NoError(t, err)
	c := r.Charge
	require.NotNil(t, c)
	t.Logf("%+v taper %v model %v", *c, *c.TaperH, *c.ModelTaperH)
	g := 16 * (3.4180 - 3.3511) / (.0117 * 176)
	taper := (0.034/2 + 0.002) / (g * 0.998)
	assert.InEpsilon(t, taper, *c.TaperH, 0.04)
	assert.InEpsilon(t, taper, *c.ModelTaperH, 0.06)
	assert.InDelta(t, 40, c.CeilingA, 0.1)
	assert.InDelta(t, 20, c.PerModuleA, 0.05)
	assert.InDelta(t, 54.4, c.LimitV, 0.01)
	assert.True(t, c.EndedFull)
	assert.InDelta(t, 1, c.FullA, 0.05)
	assert.InDelta(t, 54.4, c.FullV, 0.01)
	assert.InDelta(t, 0.3, c.FromSoC, 0.01)
	// E at the end is 54.4 − R·2 A, on the same straight line.
	end := .9833 + (54.4-0.019*2-16*3.3511)/(16*(3.4180-3.3511))*.0117
	assert.InDelta(t, end, c.ToSoC, 0.002)
	assert.InEpsilon(t, (end-0.3)*176/0.998, c.TakenAh, 0.01)
	assert.InEpsilon(t, 88, r.Values[0].Value, 0.02)
	assert.InEpsilon(t, 0.034, r.Values[1].Value, 0.02)
	assert.False(t, r.Values[2].Fitted)
	assert.Less(t, c.TaperLowH, *c.TaperH)
	assert.Greater(t, c.TaperHighH, *c.TaperH)
}

// A charge that is cut off at its ceiling has no taper and no full point.
func TestRun_ChargeCutOff(t *testing.T) {
	x := truth{100, 0.025, 0, 0.2, 2}
	log := x.drive(0.1, 60, 56, func(t float64) float64 { return 40 * b2f(t > 1800) }, cold)
	c := run(t, log, backtest.Fit{Resistance: true}).Charge
	require.NotNil(t, c)
	assert.False(t, c.EndedFull)
	assert.Nil(t, c.TaperH)
	assert.Nil(t, c.ModelTaperH)
	assert.InDelta(t, 40, c.CeilingA, 1e-9)
	assert.InDelta(t, 40*(0.1*24-0.5), c.TakenAh, 0.9) // rows of a minute
	// Nothing charged, nothing told.
	idle := x.drive(0.1, 60, 56, func(float64) float64 { return -5 }, cold)
	assert.Nil(t, run(t, idle, backtest.Fit{Resistance: true}).Charge)
}

// What is held is the highest of the least over five minutes: a spike is none.
func TestRun_SpikeIsNoCeiling(t *testing.T) {
	x := truth{100, 0.025, 0, 0.2, 2}
	log := x.drive(0.1, 60, 58, func(t float64) float64 { return 30 + 50*b2f(math.Abs(t-3600) < 60) }, cold)
	assert.InDelta(t, 30, run(t, log, backtest.Fit{Resistance: true}).Charge.CeilingA, 1e-9)
}
