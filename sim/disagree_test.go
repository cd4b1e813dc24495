package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// taperBank is the bank of TestTaperIsExponential, charged by the AC charger alone.
const taperBank = `{"bank":{"initial_soc_fraction":0.2,"module":{"open_circuit_by_soc_v":[[0,3],[1,3.6]],"resistance_ohm":0.1}},"inverter":{"charger_a":50}}`

// A charger whose measurement is off by some voltage charges as one that is set to so
// much more: the taper at V + offset takes ln(50/I)·R/g after 50 A have taken the
// open-circuit voltage to V + offset − 50·R. One that senses at the bank makes the
// drop of 50 A in a cable of 20 mΩ up: constant current goes on to V − 50·R_module, and
// the taper's time constant is that of the modules alone; else it is that of modules and
// cable (closed form).
func TestChargersDisagree(t *testing.T) {
	w := steady(0)
	const v, amperes, soc, tail = 56., 50., .2, 5.
	const g = (3.6 - 3) * 16 / (100 * 3600.) // V/As
	for _, operation := range []string{
		`{"bank":{"module":{"data_linked":{"voltage_v":56,"full_v":56,"full_a":0.001}}}}`,
		`{"bank":{"operation":"voltage_only","settings":{"absorb_v":56,"float_v":55,"restart_charge_v":50,"tail_a":0,"absorb_max_s":86400,"charge_a":1000}}}`,
	} {
		for _, c := range []struct {
			patch     string
			offset, r float64
		}{
			{`{"inverter":{"charger_set_offset_v":0.3}}`, .3, .1},
			{`{"inverter":{"charger_set_offset_v":-0.4}}`, -.4, .1},
			{`{"bank":{"cable_ohm":0.02}}`, 0, .12},
			{`{"bank":{"cable_ohm":0.02},"inverter":{"charger_voltage_sensed_at":"bank"}}`, 0, .1},
			{`{"bank":{"cable_ohm":0.02},"inverter":{"charger_voltage_sensed_at":"bank","charger_set_offset_v":0.2}}`, .2, .1},
		} {
			bulk := (v + c.offset - c.r*amperes - (3+.6*soc)*16) / g / amperes
			y := run(t, w, dc(w, 0), ideal, quickSet, operation, taperBank, patch(`{"generators":{"main":{"stop_tail_a":%g}}}`, tail), c.patch)
			assert.InDelta(t, bulk+math.Log(amperes/tail)*c.r/g, y.Figures.GeneratorH*3600, .01, c.patch)
			assert.Equal(t, 1, y.Figures.GeneratorStarts)
			closeBooks(t, &y.Books)
		}
	}
}
