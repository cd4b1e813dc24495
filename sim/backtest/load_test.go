package backtest_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/backtest"
	"bankyear/sim/inverter"
)

// The bus balances: a load of which the meter sees nine tenths, behind an inverter
// with the loss of Schmidt & Sauer 1996, P_dc = P_ac + P_r(p0 + k1 x + k2 x²), and
// 35 W that nobody logged are found.
func TestRun_Load(t *testing.T) {
	inv := inverter.Spec{RatedW: 6000, IdleFraction: 0.007, LinearFraction: 0.01, QuadraticFraction: 0.045}
	x := truth{100, 0.025, 0, 0.5, 2}
	log := x.drive(6, 900, 56, sunny(changing), cold)
	dcKWh := 0.
	for i, at := range log.Seconds {
		hour := math.Mod(at/3600, 24)
		ac := 150 + 400*b2f(hour >= 18 && hour < 21) + 50*math.Sin(at/5000)
		share := ac / 6000
		out := ac + 6000*(0.007+0.01*share+0.045*share*share) + 35
		dcKWh += out * 0.25 / 1000
		log.SolarW = append(log.SolarW, log.V[i]*log.A[i]+out)
		log.LoadW = append(log.LoadW, 0.9*ac)
	}
	noise(log, 2, 0, 0.3, 0.5) // of the bank's current: some 16 W
	spec := module()
	r, err := backtest.Run(log, &spec, &inv, backtest.Fit{})
	require.NoError(t, err)
	l := r.Load
	require.NotNil(t, l)
	t.Logf("%+v factor %v unlogged %v", *l, *l.Factor, *l.UnloggedW)
	days := (log.Seconds[len(log.Seconds)-1] - log.Seconds[0] + 900) / 86400
	assert.InEpsilon(t, dcKWh/days, l.KWhPerDay, 0.01)
	assert.InEpsilon(t, 1/0.9, *l.Factor, 0.03)
	assert.InDelta(t, 35, *l.UnloggedW, 10)
	assert.Less(t, l.FactorLow, 1/0.9)
	assert.Greater(t, l.FactorHigh, 1/0.9)
	assert.Less(t, l.UnloggedLow, *l.UnloggedW)
	assert.Greater(t, l.UnloggedHi, *l.UnloggedW)
	require.Len(t, l.MeanByHourW, 24)
	assert.Greater(t, l.MeanByHourW[19], l.MeanByHourW[4]+300)
	power := r.Stated[len(r.Stated)-1]
	assert.Equal(t, "power of the DC bus", power.Quantity)
	assert.Greater(t, power.Bias, 35., "the model serves less than was taken, and has power over")
	assert.InDelta(t, 0, r.Fitted[len(r.Fitted)-1].Bias, 0.1)
	assert.LessOrEqual(t, l.LowKWh, l.KWhPerDay)

	// Without a logged load there is the sum alone; without solar nothing.
	log.LoadW = nil
	r, err = backtest.Run(log, &spec, nil, backtest.Fit{})
	require.NoError(t, err)
	assert.Nil(t, r.Load.Factor)
	assert.InEpsilon(t, dcKWh/days, r.Load.KWhPerDay, 0.01)
	log.SolarW = nil
	r, err = backtest.Run(log, &spec, nil, backtest.Fit{})
	require.NoError(t, err)
	assert.Nil(t, r.Load)
}

// The worst day is the one that is worst, and a reported state of charge is
// followed too.
func TestRun_WorstDay(t *testing.T) {
	x := truth{100, 0.025, 0, 0.5, 2}
	log := x.drive(5, 600, 56, sunny(changing), cold)
	for i := range log.V {
		if backtestDay(log.Seconds[i]) == 3 {
			log.V[i] += 0.3
		}
		log.SoC = append(log.SoC, 0.5)
	}
	r := run(t, log, backtest.Fit{})
	require.Len(t, r.Stated, 2)
	assert.Equal(t, "2025-01-04", r.Stated[0].WorstDay)
	assert.Greater(t, r.Stated[0].WorstRMS, 0.2)
	assert.Equal(t, "state of charge", r.Stated[1].Quantity)
	assert.Less(t, r.Stated[1].RMS, 0.5)
	assert.Greater(t, r.Stated[1].RMS, 0.01)
}

func backtestDay(seconds float64) int { return int((seconds - 1.7356896e9) / 86400) }
