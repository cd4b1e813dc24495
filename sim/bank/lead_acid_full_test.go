package bank_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/bank"
)

// The state of charge is of the rated 20 hours: 400 Ah drawn of 436 leave 0, and a
// full bank is 1 by either measure. By hand: half of 436 Ah drawn leave 1 − 218/400.
func TestRatedSoC(t *testing.T) {
	b := bank.TwoWell{AvailableFraction: .43, RatePerS: .73 / 3600, CapacityAs: 436 * 3600}
	const rated = 400 * 3600
	assert.InDelta(t, 1, b.RatedSoC(bank.Rested(1), rated), 1e-12)
	assert.InDelta(t, 1-218./400, b.RatedSoC(bank.Rested(.5), rated), 1e-12)
	assert.InDelta(t, -36./400, b.RatedSoC(bank.Rested(0), rated), 1e-12)
	for _, soc := range []float64{0, .2, .8, 1} {
		assert.InDelta(t, soc, b.RatedSoC(b.RestedAt(soc, rated), rated), 1e-12)
	}
	// a discharge at the rate that the capacity is stated for ends at 0
	for _, key := range []string{"lead_acid_vented_24s_400ah", "lead_acid_sealed_24s_200ah"} {
		m := catalogued(t, key).Module
		b, ok := m.TwoWell(1)
		assert.True(t, ok)
		rated := m.CapacityAh * 3600
		course := b.Course(bank.Rested(1), -m.CapacityAh/20, 0)
		left := course.At(20 * 3600)
		assert.InDelta(t, 0, left.Level, 1e-4, key)
		assert.InDelta(t, 0, b.RatedSoC(left, rated), 1e-4, key)
	}
}

// What a counter goes by has to fit the cells: a constant current that the vented
// bank of 400 Ah takes is at 2.20 V a cell, where shunts come from the factory, long
// before it is full, and at the values that are set here near the end. Each voltage
// is held against the course of the two wells under that current, step by step from
// half charge.
func TestCounterFull_FitsTheCells(t *testing.T) {
	for _, key := range []string{"lead_acid_vented_24s_400ah", "lead_acid_sealed_24s_200ah"} {
		s := catalogued(t, key)
		s.Modules = 2
		n, m := 2., &s.Module
		b, _ := m.TwoWell(n)
		v := bank.NewAcidVoltage(s)
		full := bank.CellSettingsOf(m.Chemistry)
		for _, c := range []struct{ cellV, part, least, most float64 }{
			{2.20, .04, .6, .8}, {full.CountFullV, full.CountFullA, .92, 1}, {full.AbsorbV, full.TailFraction, .93, 1},
		} {
			volts, current := 24*c.cellV, c.part*m.CapacityAh*n
			const dt = 5.
			h1, h2 := .5, .5
			for v.TerminalV(h1, current) < volts {
				into := current - v.GassingA(v.TerminalV(h1, current), 25)
				down := b.RatePerS * b.AvailableFraction * (1 - b.AvailableFraction) * b.CapacityAs * (h1 - h2)
				h1 += dt * (into - down) / (b.AvailableFraction * b.CapacityAs)
				h2 += dt * down / ((1 - b.AvailableFraction) * b.CapacityAs)
			}
			soc := 1 - (1-b.AvailableFraction*h1-(1-b.AvailableFraction)*h2)*b.CapacityAs/(m.CapacityAh*n*3600)
			assert.InDelta(t, soc, s.AcidSoCAt(volts, current), .012, "%s at %g V a cell", key, c.cellV)
			assert.True(t, c.least <= soc && soc <= c.most, "%s: %g V a cell and %g of the capacity at %.3f", key, c.cellV, c.part, soc)
		}
		assert.LessOrEqual(t, full.TailFraction, full.CountFullA, "seen before the absorption ends")
	}
}
