package advice

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestFit_Operation(t *testing.T) {
	linkedOnly := `{"bank": {"module": {"operations_possible": ["data_linked"]}}}`
	runFitCases(t, between(-27.8, 37.2), []fitCase{
		{"four of sixteen", nil, "parallel_limit", Pass, nil, nil},
		{"too many", []string{`{"bank": {"modules": 17}}`}, "parallel_limit", Fail, nil, []string{"17 modules"}},
		{"both", nil, "operation_possible", Pass, nil, nil},
		{"falls back to what is not allowed", []string{linkedOnly}, "operation_possible", Fail, nil, []string{"its maker does not allow"}},
		{"stops instead", []string{linkedOnly, `{"bank": {"on_link_loss": "charge_stops"}}`}, "operation_possible", Pass, nil, nil},
		{"not possible", []string{linkedOnly, voltageOnly}, "operation_possible", Fail, nil, []string{"data-linked only"}},
		{"who must hear", nil, "link_spoken", Caution, nil, []string{"solar charger south, the AC charger and the inverter"}},
		{"no link", []string{voltageOnly}, "link_spoken", Pass, nil, nil},
		{"hand set", nil, "link_loss", Pass, nil, []string{"absorption 56 V"}},
		{"opens", []string{`{"bank": {"on_link_loss": "bank_opens"}}`}, "link_loss", Caution, nil, []string{"After 1 min of silence the bank leaves the bus"}},
		{"all stops", []string{`{"bank": {"on_link_loss": "all_stop"}}`}, "link_loss", Caution, nil, []string{"inverter and chargers stop"}},
		{"charge stops", []string{`{"bank": {"on_link_loss": "charge_stops"}}`}, "link_loss", Caution, nil, []string{"the load is carried"}},
		{"waits for the morning", []string{`{"bank": {"on_link_return": "next_morning"}}`}, "link_loss", Caution, nil, []string{"with the next sun"}},
		{"waits for somebody", []string{`{"bank": {"on_link_return": "until_reset"}}`}, "link_loss", Caution, nil, []string{"until somebody resets it"}},
		{"pushed kept", []string{`{"bank": {"link": {"after_loss": "pushed_kept"}}}`}, "link_loss", Caution, nil, []string{"keep the 56 V", "nothing holds their sum"}},
		// 24 lead-acid cells: 57.6 V, −96 mV/K, 60 V at 0 °C (common practice, no source).
		{"factory", []string{`{"bank": {"link": {"after_loss": "factory_lead_acid"}}}`}, "link_loss", Caution, nil, []string{"absorption 57.6 V", "60 V at 0 °C"}},
		{"factory", []string{`{"bank": {"link": {"after_loss": "factory_lead_acid"}}}`}, "temperature_compensation", Fail, map[string]float64{"absorb_at_0_c_v": 60}, []string{"After a link loss"}},
	})
}

func TestFit_Cold(t *testing.T) {
	const oneSwitch = `{"bank": {"module": {"key": "lfp_16s_100ah_one_switch"}}}`
	const sensed = `{"array": {"chargers": {"south": {"temperature_sensor": true}}}, "generators": null}`
	const stops = `{"bank": {"on_link_loss": "charge_stops"}}`
	const noStop = `{"bank": {"module": {"protection": {"charge_cold_c": -30, "charge_cold_release_c": -28}}}}`
	runFitCases(t, between(-27.8, 37.2), []fitCase{
		// Lag of four modules in a cupboard: 180 kJ/K · (.6 · 4^−.63 + 1) K/W = 180e3 · 1.2505 s = 62.5 h.
		{"blind", []string{voltageOnly}, "temperature_sensor", Caution, map[string]float64{"lowest_air_c": -27.8}, []string{"falls to −27.8 °C", "62.5 h of lag", "solar charger south and the AC charger"}},
		{"sensed", []string{voltageOnly, sensed}, "temperature_sensor", Pass, nil, nil},
		{"the AC charger is blind", []string{voltageOnly, `{"array": {"chargers": {"south": {"temperature_sensor": true}}}}`}, "temperature_sensor", Caution, nil, []string{"(the AC charger)"}},
		{"the BMS stops them", []string{stops}, "temperature_sensor", Pass, nil, nil},
		{"after a loss", nil, "temperature_sensor", Caution, nil, nil},
		{"directional", []string{voltageOnly}, "disconnect", Pass, nil, nil},
		{"one switch", []string{voltageOnly, oneSwitch}, "disconnect", Caution, nil, []string{"takes the load down"}},
		{"one switch, sensed", []string{voltageOnly, oneSwitch, sensed}, "disconnect", Pass, nil, nil},
		{"one switch, linked, charge stops", []string{oneSwitch, stops}, "disconnect", Pass, nil, nil},
		// At 0 °C the table allows 10 A a module, 36.4 A of four; the chargers push 60.5 A into the worst.
		{"damage", []string{voltageOnly}, "charged_too_cold", Caution, map[string]float64{"cell_c": 0, "allowed_a": 10, "worst_module_a": 60.5}, []string{"at most 36.4 A"}},
		{"slow enough", []string{voltageOnly, `{"generators": null, "array": {"planes": {"roof": {"rated_kw": 1.5}}}}`}, "charged_too_cold", Pass, map[string]float64{"worst_module_a": 1.5e3 * .97 / 49.6 * 1.1 / 4}, nil},
		{"trips with the cells", nil, "charge_cold_trip", Pass, map[string]float64{"charge_cold_c": 0, "cells_take_charge_from_c": 0}, nil},
		{"no stop in the cold", []string{noStop}, "charge_cold_trip", Fail, map[string]float64{"charge_cold_c": -30}, []string{"below −30 °C only, and the cells take none below 0 °C"}},
		{"no stop in the cold", []string{voltageOnly, noStop}, "charged_too_cold", Caution, map[string]float64{"allowed_a": 0}, []string{"that is damage, not a gain."}},
		{"below −20", nil, "discharge_window", Caution, nil, []string{"−20 °C to 55 °C"}},
	})
	runFitCases(t, between(3, 30), []fitCase{
		{"no stop, no frost", []string{noStop}, "charge_cold_trip", Caution, nil, nil},
	})
	for _, site := range []Extremes{between(-27.8, 37.2), {}} { // a stated room needs no site
		runFitCases(t, site, []fitCase{
			{"indoors", []string{voltageOnly, oneSwitch, `{"bank": {"enclosure": {"kind": "fixed", "fixed_c": 20}}}`}, "disconnect", Pass, nil, []string{"stays between 20 °C and 20 °C"}},
			{"indoors", []string{voltageOnly, `{"bank": {"enclosure": {"kind": "fixed", "fixed_c": 20}}}`}, "temperature_sensor", Pass, nil, nil},
			{"seasonal", []string{voltageOnly, `{"bank": {"enclosure": {"kind": "seasonal", "fixed_c": 8, "seasonal_swing_c": 10}}}`}, "temperature_sensor", Caution, map[string]float64{"lowest_air_c": -2, "highest_air_c": 18}, nil},
			{"indoors", []string{`{"bank": {"enclosure": {"kind": "fixed", "fixed_c": 20}}}`}, "discharge_window", Pass, nil, nil},
		})
	}
	runFitCases(t, between(-1, 54), []fitCase{
		{"a room 3 K warmer", []string{voltageOnly, `{"bank": {"enclosure": {"kind": "ventilated_room"}}}`}, "temperature_sensor", Caution, map[string]float64{"lowest_air_c": 2, "highest_air_c": 57}, []string{"rises to 57 °C, above the 55 °C"}},
		{"a room 3 K warmer", []string{`{"bank": {"enclosure": {"kind": "ventilated_room"}}}`}, "discharge_window", Caution, nil, []string{"rises to 57 °C"}},
	})
	runFitCases(t, Extremes{}, []fitCase{
		{"not known", []string{voltageOnly}, "temperature_sensor", Caution, nil, []string{"not stated"}},
		{"not known", nil, "discharge_window", Caution, nil, []string{"not stated"}},
	})
}

// Open-circuit voltages at rest from the published table (Sunil, Pattipati &
// Balasingam 2025): 51.2 V at 10 %, 52.0 V at 23 %, 52.8 V at 51 %; 49.6 V at
// 5.76 %, 44.8 V at 1.64 %.
func TestFit_Reserves(t *testing.T) {
	runFitCases(t, between(-27.8, 37.2), []fitCase{
		{"defaults are fair", nil, "reserve", Pass, map[string]float64{"voltage_only_reserve_fraction": .0576, "voltage_only_reserve_ah": 23.04, "data_linked_reserve_fraction": .06, "data_linked_reserve_ah": 24, "cold_locked_fraction": .26}, nil},
		{"a high cut-off", []string{`{"controls": {"low_end": {"cut_off_v": 51.2}}}`}, "reserve", Caution, map[string]float64{"voltage_only_reserve_fraction": .1031}, []string{"Voltage-only keeps 4.3 points more back"}},
		{"a high stop", []string{`{"controls": {"low_end": {"stop_soc_fraction": 0.1}}}`}, "reserve", Caution, nil, []string{"Data-linked keeps 4.2 points more back"}},
		{"one operation only", []string{voltageOnly, `{"controls": {"low_end": {"cut_off_v": 51.2}}, "bank": {"module": {"operations_possible": ["voltage_only"]}}}`}, "reserve", Pass, nil, nil},
		// 15 + 8 + 2 + 4 · 3 = 37 W. 400 Ah · ∫E from 1.641 to 6 % = 833.56 Wh (midpoint sum of 200,000 parts): 22.53 h.
		{"linked", nil, "draw_after_cut_off", Caution, map[string]float64{"draw_w": 37, "left_wh": 833.562, "until_modules_open_h": 22.529}, []string{"needs 72 h"}},
		{"by voltage", []string{voltageOnly}, "draw_after_cut_off", Caution, map[string]float64{"left_wh": 785.868}, nil},
		{"somebody near", []string{`{"controls": {"visit_response_h": 12}}`}, "draw_after_cut_off", Pass, nil, nil},
		{"no draw", []string{`{"controls": {"housekeeping_w": 0}, "inverter": {"off_draw_w": 0}, "array": {"chargers": {"south": {"night_draw_w": 0}}}, "bank": {"module": {"bms_draw_w": 0}}}`}, "draw_after_cut_off", Pass, nil, nil},
	})
}

// Derated 8 · (1 − .002 · 12.2) = 7.8048 kW at 37.2 °C; 80 % of it 6243.84 W; the
// charger takes 100 · 56 / .93 = 6021.5 W (common practice, no source).
func TestFit_Generator(t *testing.T) {
	rungs := `{"generators": {"main": {"start_below": [{"v": 52.8, "hold_s": 900}, {"v": 52, "hold_s": 120}, {"v": 49.6, "hold_s": 30}]}}}`
	runFitCases(t, between(-27.8, 37.2), []fitCase{
		{"kVA", nil, "generator_rating", Caution, map[string]float64{"rated_kw": 8, "derated_kw": 7.8048, "if_kva_kw": 6.4}, nil},
		{"80 %", nil, "ac_input", Pass, map[string]float64{"ac_input_w": 6243.84, "charger_w": 6021.505}, []string{"222 W are left"}},
		// 2000 m: 8 · (1 − .01 · 18.5) · .9756 = 6.3609 kW; 5088.7 W · .93 / 56 V = 84.5 A.
		{"high", []string{`{"site": {"elevation_m": 2000}}`}, "ac_input", Caution, map[string]float64{"derated_kw": 6.360912, "ac_input_w": 5088.73}, []string{"held to 84.5 A"}},
		{"given too high", []string{`{"inverter": {"ac_input_w": 7000}}`}, "ac_input", Caution, nil, []string{"may stall"}},
		{"given lower", []string{`{"inverter": {"ac_input_w": 6100}}`}, "ac_input", Pass, nil, nil},
		// Least 30 % of 8 kW; four modules at 0 °C take 36.36 A: 36.36 · 56 / .93 = 2189.6 W.
		{"cold", nil, "generator_minimum_load", Caution, map[string]float64{"min_load_w": 2400, "coldest_charger_w": 2189.64}, nil},
		{"by voltage", []string{voltageOnly}, "generator_minimum_load", Pass, nil, nil},
		{"a large set", []string{voltageOnly, `{"generators": {"main": {"key": "diesel_20kw", "min_load_fraction": 0.4}}}`}, "generator_minimum_load", Caution, map[string]float64{"min_load_w": 8000}, []string{"runs too light"}},
		{"no top-up", nil, "generator_start", Caution, nil, []string{"20-08", "dark night"}},
		{"topped up", []string{`{"generators": {"main": {"before_no_start": {"at": "18:00"}}}}`}, "generator_start", Pass, nil, nil},
		{"too late", []string{`{"controls": {"low_end": {"stop_soc_fraction": 0.3, "resume_soc_fraction": 0.4}}}`}, "generator_start", Fail, nil, []string{"too late"}},
		{"nothing starts it", []string{voltageOnly, `{"bank": {"estimate": {"kind": "none"}}, "generators": {"main": {"start_below": null}}}`}, "generator_start", Fail, nil, nil},
		{"defaults", nil, "generator_voltage_ladder", Pass, map[string]float64{"rung_1_rest_soc_fraction": .1031, "rung_3_rest_soc_fraction": .0576}, nil},
		{"high and late rungs", []string{voltageOnly, rungs}, "generator_voltage_ladder", Caution, map[string]float64{"rung_1_rest_soc_fraction": .5089, "rung_2_rest_soc_fraction": .2288}, []string{"above the 50 % at which all load is back", "the load stops before it (49.6 V for 30 s)"}},
		{"needs a bank", nil, "generator_without_bank", Caution, nil, nil},
		{"passes", []string{`{"inverter": {"passes_through_without_bank": true}}`}, "generator_without_bank", Pass, nil, nil},
	})
}

func TestFit_Hazards(t *testing.T) {
	runFitCases(t, between(-27.8, 37.2), []fitCase{
		// 4 · 56 / .025 = 8960 A; warm cells ÷ .8 = 11200 A.
		{"four modules", nil, "short_circuit", Caution, map[string]float64{"short_circuit_a": 8960, "short_circuit_warm_a": 11200}, []string{"the other 3 drive"}},
		{"linked", nil, "bus_over_voltage", Caution, map[string]float64{"set_point_v": 56, "inverter_max_v": 64}, []string{"there are 8 V"}},
		{"held", []string{`{"controls": {"chargers_hold_bus": true}}`}, "bus_over_voltage", Pass, nil, nil},
		// −125 mV/K · (−27.8 − 25) = +6.6 V on 57.6 V.
		{"compensated past it", []string{`{"bank": {"operation": "voltage_only", "settings": {"absorb_v": 57.6, "float_v": 54, "restart_charge_v": 53, "tail_a": 20, "charge_a": 100, "compensation_v_per_c": -0.125}}}`},
			"bus_over_voltage", Fail, map[string]float64{"set_point_v": 64.2}, []string{"it stops there, and is back below 62 V"}},
		{"not stated", nil, "transport_certificate", Caution, nil, []string{"UN 38.3"}},
		{"not stated", nil, "cell_safety_certificate", Caution, nil, []string{"IEC 62619"}},
		// 0.3 %/K · 52.8 K (common practice, no source).
		{"cold strings", nil, "string_voltage", Caution, map[string]float64{"open_circuit_factor": 1.1584}, []string{"Not checked"}},
	})
	runFitCases(t, Extremes{}, []fitCase{{"site not known", nil, "string_voltage", Caution, nil, []string{"about 0.3 % more"}}})
}

// The sun stands in the south at noon north of the tropics and in the north south of
// them; in between it stands on both sides, and a flat plane faces neither.
func TestFit_Facing(t *testing.T) {
	at := func(latitude, azimuth, tilt float64) string {
		return fmt.Sprintf(`{"site": {"latitude_deg": %g}, "array": {"planes": {"roof": {"azimuth_deg": %g, "tilt_deg": %g}}}}`, latitude, azimuth, tilt)
	}
	runFitCases(t, between(-27.8, 37.2), []fitCase{
		{"south in the north", nil, "planes_facing", Pass, nil, nil},
		{"north in the north", []string{at(44, 350, 60)}, "planes_facing", Fail, nil, []string{"At 44° north the sun stands in the south at noon, and plane roof (350°) faces away from it."}},
		{"south in the south", []string{at(-42, 180, 50)}, "planes_facing", Fail, nil, []string{"At 42° south the sun stands in the north at noon, and plane roof (180°)"}},
		{"north in the south", []string{at(-42, 10, 50)}, "planes_facing", Pass, nil, nil},
		{"west", []string{at(-42, 270, 50)}, "planes_facing", Pass, nil, nil},
		{"nearly flat", []string{at(-42, 180, 5)}, "planes_facing", Pass, nil, nil},
		{"the other half of a roof", []string{at(44, 0, 30), `{"array": {"planes": {"front": {"rated_kw": 3, "tilt_deg": 30, "azimuth_deg": 180, "charger": "south"}}}}`}, "planes_facing", Caution, nil, []string{"plane roof (0°)"}},
	})
	for _, f := range Fit(station(t, at(-17, 180, 20)), Extremes{}) {
		assert.NotEqual(t, "planes_facing", f.Check, "in the tropics")
	}
}
