package bank_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/bank"
)

// lfp16 is a bank of generic modules: 16 cells, 100 Ah.
func lfp16(modules int) *bank.Spec {
	return &bank.Spec{Modules: modules, Operation: "voltage_only", Module: bank.Module{
		Chemistry: "lfp", CellsInSeries: 16, CapacityAh: 100, VoltageOnlyA: 40, WorstShare: 1.1, CoulombicFraction: .998,
		Linked:     bank.LinkedLimits{FullV: 55.8, FullA: 2.5, FullHoldS: 60},
		Protection: bank.Protection{OverV: 58.4, OverSpreadV: .03},
	}}
}

// What is programmed for 16 cells: absorb 56.0 V at most 60 min, tail 5 A a
// module for 3 min, float 54.0 V, restart 53.0 V for 120 s, compensation off;
// cut-off 49.6 V, fast 46 V, return 52.0 V (common practice, no source).
func TestSettingsOfSixteenCells(t *testing.T) {
	s := lfp16(4)
	got := s.DeriveSettings()
	assert.InDelta(t, 40*4/1.1, got.ChargeA, 1e-9, "the modules' ceilings less the worst one's share")
	got.ChargeA = 0
	assert.Equal(t, bank.Settings{
		AbsorbV: 56, AbsorbMaxS: 3600, TailA: 20, TailHoldS: 180, TailSeen: "bank", FloatV: 54, RestartV: 53, RestartHoldS: 120,
	}, got)
	cut, fast, back := s.Module.LowEndV()
	assert.Equal(t, []float64{49.6, 46, 52}, []float64{cut, fast, back})
}

// Absorption of an LFP cell is 3.45–3.55 V, float 3.35–3.40 V, tail C/20–C/50
// (common practice, no source), for any number of cells in series.
func TestSettingsWithinTheTradesWindows(t *testing.T) {
	for _, cells := range []int{4, 8, 15, 16} {
		s := lfp16(2)
		s.Module.CellsInSeries = cells
		got, n := s.DeriveSettings(), float64(cells)
		assert.InDelta(t, 3.50, got.AbsorbV/n, .05, "%d cells", cells)
		assert.InDelta(t, 3.375, got.FloatV/n, .025, "%d cells", cells)
		assert.GreaterOrEqual(t, 200/got.TailA, 20., "tail of 200 Ah")
		assert.LessOrEqual(t, 200/got.TailA, 50., "tail of 200 Ah")
		cut, fast, back := s.Module.LowEndV()
		assert.Less(t, fast, cut)
		assert.Less(t, cut, back)
	}
}

// What a charger holds from the factory for lead-acid of the same system
// voltage: six cells of 2 V for every 12 V, −4 mV a cell and kelvin, so that
// 57.6 V of 24 cells becomes 60 V at 0 °C; tail 4 % (common practice, no
// source).
func TestFactorySettings(t *testing.T) {
	for _, c := range []struct {
		lfp, leadAcid int
		absorbV       float64
	}{{16, 24, 57.6}, {15, 24, 57.6}, {8, 12, 28.8}, {4, 6, 14.4}} {
		s := lfp16(1)
		s.Module.CellsInSeries = c.lfp
		got := s.FactorySettings()
		assert.InDelta(t, c.absorbV, got.AbsorbV, 1e-9, "%d cells", c.lfp)
		assert.InDelta(t, c.absorbV*60/57.6, got.AbsorbV+got.CompensationV*(0-25), 1e-9, "%d cells at 0 °C", c.lfp)
		assert.InDelta(t, -.004*float64(c.leadAcid), got.CompensationV, 1e-12, "%d cells", c.lfp)
		assert.InDelta(t, 4, got.TailA, 1e-9)
		assert.Greater(t, got.AbsorbV, got.FloatV)
		assert.Greater(t, got.FloatV, got.RestartV)
	}
}

// 3.65 V a cell less a spread of 30 mV: the mean at which the highest cell
// passes its limit (common practice, no source).
func TestOverVoltageCountsTheSpread(t *testing.T) {
	assert.InDelta(t, 16*(3.65-.03), lfp16(1).Module.OverVoltageV(), 1e-9)
}

// 0.6·n^−0.63 K/W (common practice, no source): n modules shed more heat than
// one, but less than n times as much.
func TestSurface(t *testing.T) {
	s := lfp16(1)
	assert.InDelta(t, .6, s.SurfaceCPerW(), 1e-12)
	s.Modules = 4
	assert.InDelta(t, .6/2.3950, s.SurfaceCPerW(), 1e-4)
	s.Enclosure.SurfaceCPerW = .2
	assert.Equal(t, .2, s.SurfaceCPerW())
}

// A cupboard of 1 K/W is one for four modules; sixteen, whose BMS draw 48 W,
// would stand 48 K above the air in it, and half of that in one of their size.
func TestCupboardGrowsWithWhatIsInIt(t *testing.T) {
	s := lfp16(4)
	assert.Zero(t, s.InsulationCPerW(), "no cupboard")
	s.Enclosure.Kind = "insulated_cupboard"
	assert.Equal(t, 1., s.InsulationCPerW())
	s.Modules = 2
	assert.Equal(t, 1., s.InsulationCPerW())
	s.Modules = 16
	assert.InDelta(t, 1/2.3950, s.InsulationCPerW(), 1e-4)
	s.Enclosure.InsulationCPerW = .7
	assert.Equal(t, .7, s.InsulationCPerW())
}
