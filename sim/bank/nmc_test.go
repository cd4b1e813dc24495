package bank_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/bank"
)

// An NMC bank is charged, cut off and counted by its own cell voltages, not by
// LFP's: 57.4 V for 14 cells, which rests at 90 % of the charge or more; the low
// end above 5 % (common practice, no source; open circuit of Chen et al. 2020).
func TestNMCModules(t *testing.T) {
	for _, key := range []string{"nmc_13s_100ah", "nmc_14s_100ah"} {
		s := catalogued(t, key)
		s.Operation, s.Estimate.Kind = "voltage_only", "shunt"
		cells, table := float64(s.Module.CellsInSeries), s.Module.OpenCircuitV()
		set := s.DeriveSettings()
		assert.InDelta(t, 4.10*cells, set.AbsorbV, 1e-9)
		assert.Greater(t, set.AbsorbV, bank.At(table, .9))
		assert.Less(t, set.AbsorbV, s.Module.Linked.VoltageV, "the link charges higher")
		assert.Greater(t, s.Module.OverVoltageV(), set.AbsorbV)
		cut, fast, back := s.Module.LowEndV()
		assert.Greater(t, cut, bank.At(table, .05))
		assert.Greater(t, back, cut)
		assert.Greater(t, cut, fast)
		assert.Greater(t, s.Module.Protection.UnderReleaseV, s.Module.Protection.UnderV)
		assert.Greater(t, cut, s.Module.Protection.UnderV, "the cut-off comes before the trip")
		c := s.Counter()
		assert.Greater(t, c.FullV, bank.At(table, .8), "no false full at any dawn")
		assert.Less(t, c.FullV, set.AbsorbV)
		s.Estimate.Kind = "bms"
		assert.InDelta(t, .05, socAt(table, s.Counter().LowKneeV), .02, "the knee says 5 %%")
	}
}

// socAt is the SoC at which a module rests at a voltage.
func socAt(table [][2]float64, volts float64) float64 {
	for i := 1; ; i++ {
		if a, b := table[i-1], table[i]; volts <= b[1] {
			return a[0] + (b[0]-a[0])*(volts-a[1])/(b[1]-a[1])
		}
	}
}

// A charger's factory lead-acid values are for the system voltage: 24 cells for
// 13 or 14 NMC cells as for 16 LFP cells.
func TestFactorySettingsOfNMC(t *testing.T) {
	for _, key := range []string{"nmc_13s_100ah", "nmc_14s_100ah", "lfp_16s_100ah"} {
		assert.InDelta(t, 57.6, catalogued(t, key).FactorySettings().AbsorbV, 1e-9, key)
	}
}
