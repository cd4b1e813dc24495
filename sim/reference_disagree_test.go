package sim_test

import "fmt"

// refPair is two solar chargers, on a cable with a drop that is seen, each with more
// members, and what else the system has.
func refPair(bank, south, wall, more string) string {
	return fmt.Sprintf(`{"bank": {"cable_ohm": 0.01, %s}, "array": {
		"planes": {"roof": {"rated_kw": 4, "charger": "south"}, "wall": {"rated_kw": 5, "tilt_deg": 30, "azimuth_deg": 0, "charger": "wall"}},
		"chargers": {"south": {%s}, "wall": {"key": "solar_charger_60a", %s}}}%s}`, bank, south, wall, more)
}

// refRuns is a generator that charges most evenings.
const refRuns = `"generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null, "start_soc_fraction": 0.5, "stop_soc_fraction": 0.95}}`

const atBank = `"voltage_sensed_at": "bank"`

// refDisagree are the systems of the comparison whose chargers do not hold the voltage
// that they are set to, or hold it at the bank.
var refDisagree = []refCase{
	{name: "offsets", days: 6, sunWM2: []float64{800, 500}, meanC: []float64{18}, swingC: []float64{4},
		patch: refPair(`"modules": 3, "operation": "voltage_only"`, `"set_offset_v": 0.3`, `"set_offset_v": -0.2`, ``), load: evening(250, 900)},
	{name: "offsets_linked", days: 6, sunWM2: []float64{900, 500}, meanC: []float64{18}, swingC: []float64{4},
		patch: refPair(`"modules": 3, "operation": "data_linked"`, `"set_offset_v": -0.5`, `"set_offset_v": 0.1`, ``), load: evening(250, 900)},
	{name: "offsets_and_generator", days: 6, sunWM2: []float64{300, 700}, meanC: []float64{18}, swingC: []float64{4},
		patch: refPair(`"modules": 3, "operation": "voltage_only", "initial_soc_fraction": 0.6`, `"set_offset_v": -0.3`, `"set_offset_v": 0.15`, `, "inverter": {"charger_a": 60, "charger_set_offset_v": 0.3}, `+refRuns), load: evening(400, 1300)},
	{name: "sensed_by_all", days: 6, sunWM2: []float64{900, 600}, meanC: []float64{18}, swingC: []float64{4},
		patch: refPair(`"modules": 3, "operation": "voltage_only"`, atBank, atBank, ``), load: evening(250, 900)},
	{name: "sensed_by_one", days: 6, sunWM2: []float64{900, 600}, meanC: []float64{18}, swingC: []float64{4},
		patch: refPair(`"modules": 2, "operation": "voltage_only"`, atBank, `"set_offset_v": 0.4`, ``), load: evening(250, 900)},
	{name: "sensed_by_ac_charger", days: 6, sunWM2: []float64{300, 700}, meanC: []float64{18}, swingC: []float64{4},
		patch: refPair(`"modules": 3, "operation": "data_linked", "initial_soc_fraction": 0.6`, `"set_offset_v": 0`, `"set_offset_v": -0.2`, `, "inverter": {"charger_a": 60, "charger_voltage_sensed_at": "bank"}, `+refRuns), load: evening(400, 1300)},
	{name: "sensed_and_not_heard", days: 6, sunWM2: []float64{800, 500}, meanC: []float64{10}, swingC: []float64{4},
		patch: refPair(`"modules": 3, "operation": "data_linked"`, `"set_offset_v": 0.1`, `"hears_link": false, `+atBank, ``), load: evening(250, 900)},
	{name: "sensed_near_the_trip", days: 6, sunWM2: []float64{1000, 700}, meanC: []float64{18}, swingC: []float64{4},
		patch: refPair(`"modules": 3, "operation": "voltage_only", "module": {"key": "lfp_16s_100ah_one_switch"}, "settings": {"absorb_v": 57.2, "float_v": 54, "restart_charge_v": 53, "tail_a": 10, "charge_a": 72.72}`,
			atBank+`, "set_offset_v": 0.4`, atBank, ``), load: evening(150, 600)},
	{name: "offset_past_the_trip", days: 6, outageS: 31, // the trip is released by what the modules draw, which takes minutes for a second of charge
		sunWM2: []float64{900, 500}, meanC: []float64{18}, swingC: []float64{4},
		patch: refPair(`"modules": 3, "operation": "voltage_only", "module": {"key": "lfp_16s_100ah_one_switch"}, "settings": {"absorb_v": 57.2, "absorb_max_s": 86400, "float_v": 54, "restart_charge_v": 53, "tail_a": 10, "charge_a": 72.72}`,
			`"set_offset_v": 0.9`, `"set_offset_v": 0`, ``), load: evening(150, 600)},
	{name: "sensed_lead_acid", days: 6, sunWM2: []float64{800, 500}, meanC: []float64{18}, swingC: []float64{4},
		patch: refPair(`"operation": "voltage_only", "modules": 1, "initial_soc_fraction": 0.7, "module": {"key": "lead_acid_vented_24s_400ah"}`, atBank, `"set_offset_v": -0.3`, ``), load: evening(150, 400)},
	{name: "bus_held_at_an_offset", days: 5, sunWM2: []float64{900}, meanC: []float64{-4}, swingC: []float64{5},
		patch: refPair(`"modules": 2, "operation": "voltage_only", "initial_soc_fraction": 0.9`, atBank+`, "set_offset_v": 0.3`, `"set_offset_v": -0.3`, `, "controls": {"chargers_hold_bus": true}`), load: evening(300, 900)},
}
