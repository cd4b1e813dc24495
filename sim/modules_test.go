package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// plain has everything off by which another module could do harm: generator,
// shedding, hysteresis of the low end and of full, delays, draws after a stop,
// draw and self-discharge of each module, heater, and what temperature changes.
const plain = `{
  "generators": null,
  "load": {"appliances": {"borehole_pump": {"tier": "essential"}}},
  "bank": {"link_faults": null, "link": {"gateway": {"draw_w": 0}}, "estimate": {"kind": "exact"}, "enclosure": {"kind": "fixed", "fixed_c": 25, "surface_c_per_w": 0.001, "heater_w_per_module": 0},
    "module": {"bms_draw_w": 0, "self_discharge_per_month_fraction": 0, "discharge_a": 1000, "discharge_peaks_a_s": [], "data_linked": {"resume_below_soc_fraction": 0.999},
      "resistance_factor_by_c": [[25, 1]], "capacity_factor_by_c": [[25, 1]]}},
  "array": {"chargers": {"south": {"night_draw_w": 0}}},
  "inverter": {"restart_s": 1, "off_draw_w": 0},
  "controls": {"housekeeping_w": 0, "low_end": {"stop_soc_fraction": 0.06, "resume_soc_fraction": 0.061, "return_v": 49.61}}
}`

// More modules never add downtime where nothing works against them. (A stop by
// voltage cannot be without hysteresis: data-linked only.)
func TestMoreModulesNeverDarker(t *testing.T) {
	station := rapid.Custom(func(r *rapid.T) string {
		return patch(`{"load":{"scale_to_kwh_per_day":%g},"array":{"planes":{"roof":{"rated_kw":%g}}},"bank":{"module":{"capacity_ah":%g,"resistance_ohm":%g}}}`,
			rapid.Float64Range(5, 25).Draw(r, "load"), rapid.Float64Range(2, 9).Draw(r, "array"),
			rapid.Float64Range(50, 200).Draw(r, "capacity"), rapid.Float64Range(.005, .03).Draw(r, "resistance"))
	})
	for seed := range 6 {
		s, before := station.Example(seed), math.Inf(1)
		for _, n := range []int{1, 2, 3, 5, 9} {
			hours := plan(t, plain, s, patch(`{"bank":{"modules":%d}}`, n)).Run(false).Figures.DowntimeH
			assert.LessOrEqual(t, hours, before*1.002+.1, "%d modules: %s", n, s) // as far as steps agree
			before = hours
		}
	}
}

// It is not so as soon as each module brings a draw of its own: the property
// above says something.
func TestDrawOfModulesMayBeDarker(t *testing.T) {
	hours := func(modules int) float64 {
		return plan(t, plain, `{"bank":{"module":{"bms_draw_w":20}},"array":{"planes":{"roof":{"rated_kw":3}}}}`, patch(`{"bank":{"modules":%d}}`, modules)).Run(false).Figures.DowntimeH
	}
	assert.Greater(t, hours(16), hours(8))
}
