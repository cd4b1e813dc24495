package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim"
)

// smooth has nothing in it that makes an order of systems false in single years:
// no generator, no shedding, an exact counter, equal low ends that lock nothing out,
// nobody who visits.
const smooth = `{"generators":null,"load":{"appliances":{"borehole_pump":null}},"bank":{"modules":2,"estimate":{"kind":"exact"},"link_faults":null,"module":{"protection":{"asleep_after_h":8784}}},
	"controls":{"low_end":{"resume_soc_fraction":0.0601,"lock_out_count":100,"lock_out_s":1}}}`

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
	// over-voltage trips of compensation left on
	outdoors := `{"bank":{"operation":"voltage_only","enclosure":{"kind":"outdoor","heater_w_per_module":0},"module":{"protection":{"charge_cold_c":-59,"charge_cold_release_c":-50,"discharge_cold_c":-79,"discharge_cold_release_c":-70,"over_voltage_latch_count":100}},
		"settings":{"absorb_v":57.6,"float_v":54,"restart_charge_v":50.4,"tail_a":16,"charge_a":100,"compensation_v_per_c":-0.096}}}`
	directional, switched := darkOf(t, outdoors), darkOf(t, outdoors, oneSwitch)
	assert.LessOrEqual(t, directional, switched+least)
	// trips by cold, without those of discharge, which act on a bank that is on the bus
	for _, modules := range []float64{2, 12} {
		cold := patch(`{"bank":{"modules":%g,"operation":"voltage_only","enclosure":{"kind":"outdoor","heater_w_per_module":0},
			"module":{"protection":{"under_v":1,"under_v_release_v":2,"discharge_cold_c":-79,"discharge_cold_release_c":-70}}}}`, modules)
		directional := darkOf(t, cold)
		for _, shut := range []string{stayOpen, rarely} {
			assert.LessOrEqual(t, directional, darkOf(t, cold, oneSwitch, shut)+least, "%g modules, %s", modules, shut)
		}
	}
	cold := `{"bank":{"enclosure":{"kind":"outdoor","heater_w_per_module":0}}}`
	narrow, wide := darkOf(t, cold), darkOf(t, cold, `{"bank":{"module":{"data_linked":{"charge_a_by_c":[[-20,0],[-20,10],[0,20],[10,50],[40,50],[50,0]]},
		"protection":{"charge_cold_c":-25,"charge_cold_release_c":-22,"discharge_cold_c":-40,"discharge_cold_release_c":-38}}}}`)
	assert.LessOrEqual(t, wide, narrow+least)
	assert.Greater(t, math.Max(narrow, switched), 10., "something is dark at all")
}

// What keeps one switch from taking charge that the cold forbids: chargers that hold
// the bus while it is open, so that charge voltage stays and it closes by temperature
// alone; or a disconnect that opens after a second and closes an hour later.
const (
	stayOpen = `{"controls":{"chargers_hold_bus":true}}`
	rarely   = `{"bank":{"module":{"protection":{"temperature_delay_s":1,"reclose_s":3600}}}}`
)

// One switch loses its charge voltage as it opens, closes a minute later, and takes
// all of the sun for 10 s before it opens again: 10 s of every 70 (common practice, no
// source). A directional disconnect takes the first 10 s. Where such a day charges
// more than the load takes, the switched site is lit in the night and the directional
// one is not: no order holds in the cold.
func TestOneSwitchTakesForbiddenCharge(t *testing.T) {
	w := year(3600, func(row int) float64 {
		if row < 7 {
			return 500 // 5 kW
		}
		return 0
	}, always(20))
	night := column(w.Len(), func(row int) float64 {
		if row < 7 {
			return 0
		}
		return 100
	})
	dark := map[string]float64{}
	for name, c := range map[string]struct {
		patch   string
		seconds float64 // of charge
	}{"directional": {`{}`, 10}, "one switch": {oneSwitch, 7 * 3600 / 70 * 10}} {
		y := run(t, w, &sim.Load{DCEssentialW: night}, ideal, voltageOnly, frozen, c.patch, `{"bank":{"module":{"data_linked":{"charge_a_by_c":[[0,0],[0,50],[45,50],[50,0]]}}}}`,
			`{"bank":{"initial_soc_fraction":0.01,"settings":{"absorb_v":56,"float_v":54,"restart_charge_v":50,"tail_a":5,"charge_a":1000}}}`)
		assert.InDelta(t, c.seconds*5000/51.2/3600, y.Figures.ChargedTooColdAh, 1e-2, name)
		dark[name] = y.Figures.DowntimeH
	}
	assert.InDelta(t, 3590*5000/100./3600, dark["directional"]-dark["one switch"], .01, "hours of 100 W")
}

// An estimate that reads high never has fewer sudden stops than an exact one: means
// over an ensemble. A cut-off above the voltage at which exact cells are at the charge
// that announces it makes stops sudden for an exact counter too; one that reads low has
// none of them.
func TestReadsHigh(t *testing.T) {
	stops := func(estimate string) (n int) {
		for i := range 6 {
			n += plan(t, `{"generators":null,"bank":{"modules":2,"operation":"voltage_only","link_faults":null},"controls":{"low_end":{"cut_off_v":51.2,"return_v":52.8,"lock_out_count":100}}}`,
				estimate, patch(`{"load":{"scale_to_kwh_per_day":%g}}`, 9*(1+2e-3*float64(i)))).Run(false).Figures.SuddenStops
		}
		return n
	}
	shunt := func(offsetA float64) int {
		return stops(patch(`{"bank":{"estimate":{"kind":"shunt","gain_fraction":0.005,"offset_a":%g}}}`, offsetA))
	}
	exact := stops(`{"bank":{"estimate":{"kind":"exact"}}}`)
	for _, offset := range []float64{.05, .3} {
		assert.GreaterOrEqual(t, shunt(offset), exact)
	}
	assert.Less(t, shunt(-.3), exact, "the order can fail")
}
