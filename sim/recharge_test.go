package sim_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// generic is a bank of the catalogue's module at 25 °C, charged from 20 % by a
// set that has more than any ceiling, until a reported SoC without error;
// nothing draws.
const generic = `{
  "load": null, "array": {"planes": {"roof": {"rated_kw": 0}}, "chargers": {"south": {"night_draw_w": 0}}},
  "bank": {"operation": "data_linked", "link_faults": null, "estimate": {"kind": "exact"}, "initial_soc_fraction": 0.2,
    "module": {"bms_draw_w": 0, "self_discharge_per_month_fraction": 0},
    "enclosure": {"kind": "fixed", "fixed_c": 25, "surface_c_per_w": 0.01, "heater_w_per_module": 0}},
  "inverter": {"idle_fraction": 0, "off_draw_w": 0, "charger_a": 1000, "charger_efficiency_fraction": 1, "ac_input_w": 100000},
  "controls": {"settle_days": 0, "housekeeping_w": 0}
}`

// recharge is the time from 20 % to a SoC, h.
func recharge(t *testing.T, to float64, patches ...string) float64 {
	t.Helper()
	w := steady(0)
	patches = append([]string{generic, `{"generators":null}`, quickSet, patch(`{"generators":{"main":{"start_soc_fraction":0.21,"stop_soc_fraction":%g}}}`, to)}, patches...)
	y := run(t, w, &sim.Load{}, patches...)
	require.Equal(t, 1, y.Figures.GeneratorStarts)
	return y.Figures.GeneratorH
}

const voltageOnly = `{"bank":{"operation":"voltage_only"}}`

// Where the ceiling holds charging back, the part at constant current takes as
// the ratio of the ceilings, data-linked and voltage-only, one module at a
// time: three modules that differ in nothing else.
func TestRechargeAsTheRatioOfTheCeilings(t *testing.T) {
	for _, module := range []struct{ linked, alone float64 }{{50, 40}, {40, 40}, {30, 12}} {
		spec := patch(`{"bank":{"module":{"data_linked":{"charge_a_by_c":[[25,%g]]},"voltage_only_charge_a":%g}}}`, module.linked, module.alone)
		linked, alone := recharge(t, .9, spec), recharge(t, .9, spec, voltageOnly)
		assert.InEpsilon(t, module.linked/module.alone, alone/linked, 1e-9, "%+v", module)
		// by hand: 70 Ah of a module that gets its ceiling over the worst one's share
		assert.InEpsilon(t, 70/.998*1.1/module.linked, linked, 1e-9, "%+v", module)
	}
}

// The default module takes about a quarter longer voltage-only from 20 to 95 %
// where its ceiling is what holds it back (common practice, no source).
func TestRechargeAQuarterLonger(t *testing.T) {
	ratio := recharge(t, .95, voltageOnly) / recharge(t, .95)
	assert.InDelta(t, 1.25, ratio, .06)
}
