package bank_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"bankyear/sim/bank"
)

// leadAcid is a bank of 24 cells of 100 Ah (20 h) and its two wells, c 0.4 and
// k 1/h.
func leadAcid(chemistry string) (*bank.Spec, bank.TwoWell, bank.AcidVoltage) {
	s := &bank.Spec{Modules: 1, Module: bank.Module{
		Chemistry: chemistry, CellsInSeries: 24, CapacityAh: 100, VoltageOnlyA: 20, WorstShare: 1,
		ResistanceOhm: bank.AcidResistanceOhm(24, 100), SelfDischargeFraction: .04,
	}}
	b := hourly
	b.CapacityAs *= 100 * 3600 / hourly.DeliveredAs(20*3600)
	return s, b, bank.NewAcidVoltage(s)
}

// Specific gravity of the acid at 25 °C against state of charge, and the rule
// that a cell rests at its gravity + 0.84 V (Vinal, Storage Batteries; from
// memory): vented cells of 1.265 nominal. The rests of a battery of six cells
// that the trade reads are beside them (common practice, no source).
func TestRestsFollowTheAcid(t *testing.T) {
	_, _, a := leadAcid("lead_acid_vented")
	for _, row := range []struct{ soc, gravity, sixCellsV float64 }{
		{1, 1.265, 12.7}, {.75, 1.225, 12.45}, {.5, 1.190, 12.24}, {.25, 1.155, 12.05}, {0, 1.120, 11.85},
	} {
		assert.InDelta(t, row.gravity+.84, a.RestV(row.soc)/24, .016, "SoC %g, acid", row.soc)
		assert.InDelta(t, row.sixCellsV/6, a.RestV(row.soc)/24, .016, "SoC %g, trade", row.soc)
	}
	// sealed cells hold stronger acid, 1.30 full (from memory)
	_, _, a = leadAcid("lead_acid_sealed")
	assert.InDelta(t, 1.30+.84, a.RestV(1)/24, 1e-9)
}

// On a long discharge the level runs ahead of the state of charge by
// I(1−c)/(k·c·Q). With that lag the terminals lie below the rest of the same
// state of charge by what the modified Shepherd law of Schiffer et al. 2007, J.
// Power Sources 168, 66, gives (from memory): 0.699 Ω·Ah times current over
// capacity, within a tenth.
func TestDischargeLagIsShepherds(t *testing.T) {
	_, b, a := leadAcid("lead_acid_vented")
	for _, hours := range []float64{5, 10, 20} {
		i := -100 / hours
		c := b.Course(bank.Rested(1), i, 0)
		w := c.At(.6 * hours * 3600)
		drop := (a.RestV(b.SoC(w)) - a.TerminalV(w.Level, i)) / 24
		assert.InEpsilon(t, .699/hours, drop, .1, "%g h", hours)
	}
}

// Schiffer et al. 2007 (from memory): a vented cell of 100 Ah gasses 20 mA at
// 2.23 V and 25 °C, by 11 per V and 0.06 per K. The law here starts from the
// self-discharge instead, 3 to 5 % a month (common practice, no source), and
// comes out there.
func TestGassing(t *testing.T) {
	_, _, a := leadAcid("lead_acid_vented")
	assert.InEpsilon(t, .020, a.GassingA(24*2.23, 25), .15)
	assert.InDelta(t, 100*.04/730, a.GassingA(a.RestV(1), 25), 1e-12, "at rest, the self-discharge")
	assert.InEpsilon(t, math.Exp(1.1), a.GassingA(24*2.33, 25)/a.GassingA(24*2.23, 25), 1e-9)
	assert.InEpsilon(t, math.Exp(.6), a.GassingA(24*2.23, 35)/a.GassingA(24*2.23, 25), 1e-9)
}

// At float a full battery settles where what it takes is what it gasses: some
// tens of mA per 100 Ah at 2.25 V a cell (common practice, no source), full
// within 1 %.
func TestFloat(t *testing.T) {
	_, b, a := leadAcid("lead_acid_vented")
	v, w := 24*2.25, bank.Rested(1)
	w, _, _ = followed(b, w, 100*86400, 1e9, a.Held(v, 25))
	takes := a.HeldA(w.Level, v)
	assert.InEpsilon(t, a.GassingA(v, 25), takes, 1e-2)
	assert.True(t, .01 < takes && takes < .06, "takes %g A", takes)
	assert.Greater(t, b.SoC(w), .99)
}

// Levels, voltages and currents are one relation, solved for each.
func TestVoltageSolved(t *testing.T) {
	_, _, a := leadAcid("lead_acid_sealed")
	a.CableOhm = .002
	rapid.Check(t, func(t *rapid.T) {
		h := rapid.Float64Range(0, 1).Draw(t, "level")
		i := rapid.Float64Range(-60, 30).Draw(t, "A")
		v := a.TerminalV(h, i)
		if math.Abs(i) > 1e-9 && math.Abs(a.LevelAtV(v, i)-h) > 1e-9 {
			t.Fatalf("level %g comes back as %g", h, a.LevelAtV(v, i))
		}
		if math.Abs(a.HeldA(h, v)-i) > 1e-9 {
			t.Fatalf("current %g comes back as %g", i, a.HeldA(h, v))
		}
		if v < a.RestV(h)/2 { // beyond the greatest power
			return
		}
		if got, ok := a.PowerA(h, v*i, 0); !ok || math.Abs(got-i) > 1e-9*(1+math.Abs(i)) {
			t.Fatalf("current %g comes back as %g by power", i, got)
		}
	})
	assert.Less(t, a.LevelAtV(40, 10), 0., "never as low as that while charging")
	assert.Greater(t, a.LevelAtV(70, 0), 1., "never as high as that at rest")
	i, ok := a.PowerA(1.001, 500, 0)
	assert.True(t, ok)
	assert.Zero(t, i, "nothing more to convert")
}

func TestOnlyLeadAcidHasItsVoltage(t *testing.T) {
	assert.Panics(t, func() { bank.NewAcidVoltage(lfp16(1)) })
	assert.Panics(t, func() { bank.AcidCyclesByDepth("lfp") })
}
