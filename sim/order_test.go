package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// smooth has nothing in it that makes an order of systems false in single years:
// no generator, no shedding, an exact counter, equal low ends, nobody who visits.
const smooth = `{"generators":null,"load":{"appliances":{"borehole_pump":null}},"bank":{"modules":2,"estimate":{"kind":"exact"},"link_faults":null,"module":{"protection":{"asleep_after_h":8784}}},
	"controls":{"low_end":{"resume_soc_fraction":0.0601,"lock_out_count":100}}}`

// darkOf is the mean downtime over loads of 1 ± 1e-3 times the base.
func darkOf(t *testing.T, patches ...string) float64 {
	sum := 0.
	const members = 6
	for i := range members {
		part := 1 + 1e-3*(2*float64(i)/(members-1)-1)
		sum += plan(t, append(append([]string{smooth}, patches...), patch(`{"load":{"scale_to_kwh_per_day":%g}}`, 9*part))...).Run(false).Figures.DowntimeH
	}
	return sum / members
}

// As laws of the kernel allow them, over an ensemble and with hysteresis and
// fall-back off: a perfect link is never worse than a faulty one, a directional
// disconnect never darker than one switch, wider windows never darker; within half an
// hour, the tolerance of such means.
func TestOrders(t *testing.T) {
	const least = .5
	perfect := darkOf(t)
	for _, loss := range []string{"charge_stops", "all_stop", "bank_opens"} {
		faulty := darkOf(t, `{"bank":{"on_link_loss":"`+loss+`","link_faults":{"mean_hours_between":600,"mean_repair_h":30}}}`)
		assert.LessOrEqual(t, perfect, faulty+least, loss)
	}
	// over-voltage trips of compensation left on; in the cold one switch, which loses
	// its charge voltage as it opens, closes again and takes what it must not
	outdoors := `{"bank":{"operation":"voltage_only","enclosure":{"kind":"outdoor","heater_w_per_module":0},"module":{"protection":{"charge_cold_c":-59,"charge_cold_release_c":-50,"discharge_cold_c":-79,"discharge_cold_release_c":-70,"over_voltage_latch_count":100}},
		"settings":{"absorb_v":57.6,"float_v":54,"restart_charge_v":50.4,"tail_a":16,"charge_a":100,"compensation_v_per_c":-0.096}}}`
	directional, switched := darkOf(t, outdoors), darkOf(t, outdoors, oneSwitch)
	assert.LessOrEqual(t, directional, switched+least)
	cold := `{"bank":{"enclosure":{"kind":"outdoor","heater_w_per_module":0}}}`
	narrow, wide := darkOf(t, cold), darkOf(t, cold, `{"bank":{"module":{"data_linked":{"charge_a_by_c":[[-20,0],[-20,10],[0,20],[10,50],[40,50],[50,0]]},
		"protection":{"charge_cold_c":-25,"charge_cold_release_c":-22,"discharge_cold_c":-40,"discharge_cold_release_c":-38}}}}`)
	assert.LessOrEqual(t, wide, narrow+least)
	assert.Greater(t, math.Max(narrow, switched), 10., "something is dark at all")
}

// An estimate that reads high never has fewer sudden stops than an exact one: means
// over an ensemble.
func TestReadsHigh(t *testing.T) {
	stops := func(estimate string) (n int) {
		for i := range 6 {
			n += plan(t, `{"generators":null,"bank":{"modules":2,"operation":"voltage_only","link_faults":null}}`, estimate,
				patch(`{"load":{"scale_to_kwh_per_day":%g}}`, 9*(1+2e-3*float64(i)))).Run(false).Figures.SuddenStops
		}
		return n
	}
	exact := stops(`{"bank":{"estimate":{"kind":"exact"}}}`)
	for _, offset := range []float64{.05, .3} {
		assert.GreaterOrEqual(t, stops(patch(`{"bank":{"estimate":{"kind":"shunt","gain_fraction":0.005,"offset_a":%g}}}`, offset)), exact)
	}
}
