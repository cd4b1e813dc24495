package bank_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/bank"
)

// Windows of the trade for a cell at 25 °C (common practice, no source):
// absorption and float, compensation in mV/K, cut-off.
func TestCellSettingsWithinTheTradesWindows(t *testing.T) {
	type window [2]float64
	for chemistry, w := range map[string]struct{ absorb, float, cutOff, tail, compensation window }{
		"lfp":              {window{3.45, 3.55}, window{3.35, 3.40}, window{2.9, 3.2}, window{.02, .05}, window{0, 0}},
		"nmc":              {window{4.05, 4.15}, window{3.95, 4.05}, window{3.2, 3.5}, window{.02, .05}, window{0, 0}},
		"lead_acid_vented": {window{2.40, 2.47}, window{2.20, 2.25}, window{1.85, 2.0}, window{.01, .04}, window{-5, -4}},
		"lead_acid_sealed": {window{2.35, 2.40}, window{2.25, 2.30}, window{1.85, 2.0}, window{.01, .04}, window{-5, -3}},
	} {
		c := bank.CellSettingsOf(chemistry)
		in := func(name string, w window, x float64) {
			assert.True(t, w[0]-1e-9 <= x && x <= w[1]+1e-9, "%s %s: %g", chemistry, name, x)
		}
		in("absorption", w.absorb, c.AbsorbV)
		in("float", w.float, c.FloatV)
		in("cut-off", w.cutOff, c.CutOffV)
		in("tail", w.tail, c.TailFraction)
		in("compensation", w.compensation, c.CompensationV*1000)
		assert.Less(t, c.RestartV, c.FloatV)
		assert.Less(t, c.FastCutV, c.CutOffV)
		assert.Less(t, c.CutOffV, c.ReturnV)
		assert.Less(t, c.CountFullV, c.AbsorbV, "%s: the counter's full is met in absorption", chemistry)
	}
	// vented cells are equalised every one to three months at 2.50 to 2.60 V for
	// one to three hours; sealed ones never
	v, s := bank.CellSettingsOf("lead_acid_vented"), bank.CellSettingsOf("lead_acid_sealed")
	assert.True(t, 2.5 <= v.EqualiseV && v.EqualiseV <= 2.6 && 3600 <= v.EqualiseS && v.EqualiseS <= 3*3600 && 28 <= v.EqualiseDays && v.EqualiseDays <= 92)
	assert.Zero(t, s.EqualiseV+s.EqualiseS+s.EqualiseDays)
	assert.Equal(t, .5, v.UsableDepthFraction)
	// a shunt's full is near absorption: cells at 45 °C still pass it
	assert.Less(t, v.CountFullV, v.AbsorbV+20*v.CompensationV+1e-9)
	assert.Less(t, s.CountFullV, s.AbsorbV+20*s.CompensationV+1e-9)
}

// The settings of LFP are the same by both ways.
func TestCellSettingsOfLFP(t *testing.T) {
	s := lfp16(3)
	c := bank.CellSettingsOf("lfp")
	assert.Equal(t, s.DeriveSettings(), c.Settings(s))
	cut, fast, back := c.LowEndV(&s.Module)
	cut2, fast2, back2 := s.Module.LowEndV()
	assert.Equal(t, []float64{cut2, fast2, back2}, []float64{cut, fast, back})
	assert.Equal(t, c, bank.CellSettingsOf("table"), "a caller's own table")
	assert.Equal(t, c, bank.CellSettingsOf("none such"), "a check refuses it later, with all that is wrong")
}

// What is programmed for a bank of 24 vented cells of 400 Ah (common practice,
// no source): 58.8 V, float 53.5 V, −120 mV/K, so that absorption is 61.8 V at
// 0 °C; tail 8 A.
func TestSettingsOfVentedCells(t *testing.T) {
	s, _, _ := leadAcid("lead_acid_vented")
	s.Modules = 4
	set := bank.CellSettingsOf("lead_acid_vented").Settings(s)
	assert.Equal(t, 58.8, set.AbsorbV)
	assert.InDelta(t, 53.5, set.FloatV, .05)
	assert.InDelta(t, 8, set.TailA, 1e-9)
	assert.InDelta(t, 80, set.ChargeA, 1e-9)
	assert.InDelta(t, 61.8, bank.CompensatedV(set.AbsorbV, set.CompensationV, 0), 1e-9)
	assert.InDelta(t, 57, bank.CompensatedV(set.AbsorbV, set.CompensationV, 40), 1e-9)
	assert.Equal(t, set.FloatV, bank.CompensatedV(set.FloatV, set.CompensationV, 25))
}
