package bank_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/bank"
)

// Naumann et al. 2018: 13.449 % after ten years at 25 °C and 50 % (computed from
// their equation); 3652.5 days of half a cycle each of 10,000 take 7.305 % more. A
// fifth lost is half as much resistance again (common practice, no source).
func TestAged(t *testing.T) {
	s := catalogued(t, "lfp_16s_100ah")
	assert.Equal(t, 1., s.AgedCapacityFraction())
	assert.Equal(t, *s, s.Aged())
	s.AgeYears = 10
	left := 1 - .13449 - .07305
	assert.InDelta(t, left, s.AgedCapacityFraction(), 2e-4)
	a := s.Aged()
	assert.InDelta(t, 100*left, a.Module.CapacityAh, .02)
	assert.InDelta(t, .025*(1+2.5*(1-left)), a.Module.ResistanceOhm, 2e-5)
	assert.Zero(t, a.Estimate.AssumedAh, "a BMS learns")
	s.Operation, s.Estimate.Kind = "voltage_only", "shunt"
	assert.Equal(t, 400., s.Aged().Estimate.AssumedAh, "a shunt does not")
	s.AgedCapacity, s.AgedResistance = .7, 2
	assert.Equal(t, 70., s.Aged().Module.CapacityAh)
	assert.Equal(t, .05, s.Aged().Module.ResistanceOhm)

	acid := catalogued(t, "lead_acid_vented_24s_400ah")
	acid.AgeYears = 3 // the warranty
	assert.InDelta(t, .8, acid.AgedCapacityFraction(), 1e-12)
	assert.InDelta(t, 2, acid.AgedResistanceFactor(), 1e-12)
	spent := acid.Aged()
	b, ok := spent.Module.TwoWell(1)
	fresh, _ := acid.Module.TwoWell(1)
	assert.True(t, ok)
	assert.InEpsilon(t, .8*fresh.CapacityAs, b.CapacityAs, 1e-9)
	assert.InEpsilon(t, fresh.RatePerS, b.RatePerS, 1e-9)
	assert.Equal(t, 400., acid.Module.CapacitiesAh[2][1], "the bank itself stays")
}

// From an age on the loss goes on along its curve: the years left are those of a
// new bank less the age, and each year's loss adds up to it.
func TestYearsLeft(t *testing.T) {
	const square, cycles = 18.09, .3
	whole := bank.YearsTo(20, square, cycles)
	for _, age := range []float64{0, 1, 5.5} {
		lost := math.Sqrt(square*age) + cycles*age
		assert.InDelta(t, whole-age, bank.YearsLeft(20, lost, age, square, cycles), 1e-9)
		assert.InDelta(t, math.Sqrt(square*(age+1))+cycles*(age+1), lost+bank.LossInYear(age, square, cycles), 1e-12)
	}
	assert.Zero(t, bank.YearsLeft(20, 20, 5, square, cycles))
	assert.True(t, math.IsInf(bank.YearsLeft(20, 0, 0, 0, 0), 1))
}
