package sim_test

import "bankyear/sim"

// refFlatTable is a bank of cells that rest at 3.40 V when full, as they do hours after a
// charge.
func refFlatTable(bank string) string {
	return `{"bank": {` + bank + `, "initial_soc_fraction": 0.8, "module": {"chemistry": "table",
		"open_circuit_by_soc_v": [[0, 2.5], [0.05, 3.0], [0.1, 3.2], [0.3, 3.25], [0.5, 3.29], [0.9, 3.33], [0.99, 3.35], [1, 3.40]]}}}`
}

// refCases are the systems of the comparison: both operations, both switches,
// every automaton at work in some of them.
var refCases = []refCase{
	{name: "linked_plain", days: 8, sunWM2: []float64{500, 250, 150, 600}, meanC: []float64{18}, swingC: []float64{4},
		patch: `{"bank": {"operation": "data_linked"}}`, load: evening(180, 700)},
	{name: "linked_cool", days: 8, sunWM2: []float64{800}, meanC: []float64{6}, swingC: []float64{9},
		patch: `{"bank": {"operation": "data_linked", "enclosure": {"kind": "outdoor"}}}`, load: evening(250, 900)},
	{name: "linked_cold_charge", days: 6, outageS: 4, // the ceiling steps by 18 A where the cells pass 0 °C
		sunWM2: []float64{800}, meanC: []float64{-4, -6, -2}, swingC: []float64{5},
		patch: `{"bank": {"operation": "data_linked", "initial_soc_fraction": 0.9}}`, load: evening(150, 500)},
	{name: "linked_hot", days: 6, sunWM2: []float64{900}, meanC: []float64{45}, swingC: []float64{7},
		patch: `{"bank": {"operation": "data_linked"}}`, load: evening(250, 900)},
	{name: "linked_too_hot", days: 6, sunWM2: []float64{700}, meanC: []float64{47}, swingC: []float64{13},
		patch: `{"bank": {"operation": "data_linked", "enclosure": {"surface_c_per_w": 0.05}}}`, load: evening(200, 600)},
	{name: "linked_too_cold", days: 6, sunWM2: []float64{300}, meanC: []float64{-15}, swingC: []float64{9},
		patch: `{"bank": {"operation": "data_linked", "initial_soc_fraction": 0.95, "enclosure": {"surface_c_per_w": 0.05}}}`, load: evening(60, 120)},
	{name: "linked_full", days: 8, sunWM2: []float64{900}, meanC: []float64{20}, swingC: []float64{5},
		patch: `{"bank": {"operation": "data_linked"}}`, load: evening(150, 500)},
	// Their own draw, which no counter sees, empties modules that nobody uses.
	{name: "linked_full_again_by_voltage", days: 10, sunWM2: []float64{900}, meanC: []float64{20}, swingC: []float64{5},
		patch: `{"bank": {"operation": "data_linked", "modules": 1, "initial_soc_fraction": 0.95, "module": {"chemistry": "table", "open_circuit_by_soc_v": [[0, 3], [1, 3.48]], "bms_draw_w": 25, "data_linked": {"resume_below_v": 54, "resume_below_soc_fraction": 0.5}}}, "controls": {"housekeeping_w": 0}}`, load: evening(0, 0)},
	// Set-points above what full cells rest at: a table that ends at 3.40 V a cell.
	{name: "linked_beyond_full", days: 5, sunWM2: []float64{800}, meanC: []float64{20}, swingC: []float64{5},
		patch: refFlatTable(`"operation": "data_linked"`), load: evening(150, 500)},
	{name: "voltage_beyond_full", days: 5, sunWM2: []float64{800}, meanC: []float64{20}, swingC: []float64{5},
		patch: refFlatTable(`"operation": "voltage_only"`), load: evening(150, 500)},
	{name: "voltage_beyond_full_trips", days: 4, sunWM2: []float64{700}, meanC: []float64{20}, swingC: []float64{4},
		patch: refFlatTable(`"operation": "voltage_only", "settings": {"absorb_v": 58.2, "absorb_max_s": 3600, "tail_a": 5, "float_v": 54, "restart_charge_v": 53, "charge_a": 60}`), load: evening(150, 600)},
	{name: "linked_two_chargers", days: 6, sunWM2: []float64{1000}, meanC: []float64{25}, swingC: []float64{6},
		patch: `{"bank": {"operation": "data_linked", "modules": 4}, "array": {
			"planes": {"roof": {"rated_kw": 5, "charger": "south"}, "wall": {"rated_kw": 9, "tilt_deg": 30, "azimuth_deg": 0, "charger": "wall"}},
			"chargers": {"wall": {"key": "solar_charger_60a"}}}}`, load: evening(900, 2500)},

	// Data-linked with generator, heater, floor of cold cells.
	{name: "linked_generator", days: 6, sunWM2: []float64{200, 100}, meanC: []float64{22}, swingC: []float64{4},
		patch: refDiesel, load: evening(500, 1500)},
	{name: "linked_ladder_top_up", days: 8, sunWM2: []float64{250, 100, 50}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"inverter": {"charger_a": 40}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": "20-08", "start_soc_fraction": 0, "stop_soc_fraction": 0,
			"start_below": [{"v": 51.6, "hold_s": 900}, {"v": 50.4, "hold_s": 120}, {"v": 49.6, "hold_s": 15}],
			"before_no_start": {"at": "19:00", "if_soc_below_fraction": 0.5, "run_to_soc_fraction": 0.8}, "max_run_h": 2.5, "min_run_s": 1800}}}`,
		load: evening(450, 1100)},
	{name: "linked_override", days: 6, sunWM2: []float64{100}, meanC: []float64{22}, swingC: []float64{3},
		outageS: 7, // charged at 30 A, discharged at 10 A, twice a day
		patch: `{"inverter": {"charger_a": 30}, "bank": {"initial_soc_fraction": 0.3}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": "15-10", "override_when_dark": true, "start_below": null,
			"start_soc_fraction": 0.2, "stop_soc_fraction": 0.5, "min_run_s": 600}}}`, load: evening(500, 1300)},
	{name: "linked_call_out", days: 6, sunWM2: []float64{300}, meanC: []float64{12}, swingC: []float64{3},
		patch: `{"generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 1, "no_start_hours": null, "start_below": null}}}`, load: evening(300, 900)},
	{name: "linked_heater", days: 8, sunWM2: []float64{500, 300, 700}, meanC: []float64{-8}, swingC: []float64{5},
		patch: `{"bank": {"initial_soc_fraction": 0.9, "enclosure": {"kind": "insulated_cupboard", "heater_w_per_module": 80}}}`, load: evening(120, 350)},
	{name: "linked_heater_from_bank", days: 8, sunWM2: []float64{600}, meanC: []float64{-6}, swingC: []float64{5},
		patch: `{"bank": {"initial_soc_fraction": 0.9, "enclosure": {"kind": "insulated_cupboard", "heater_w_per_module": 80, "heater_from": "sources_and_bank"}}}`, load: evening(120, 350)},
	{name: "linked_floor", days: 8, sunWM2: []float64{400}, meanC: []float64{-9, -5}, swingC: []float64{6},
		patch: `{"bank": {"initial_soc_fraction": 0.6, "estimate": {"gain_fraction": 0.05}}}`, load: evening(100, 300)},
	{name: "linked_one_switch_over_voltage", days: 5, sunWM2: []float64{800}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"module": {"key": "lfp_16s_100ah_one_switch", "protection": {"over_v": 56.2, "over_v_release_v": 53.4}}}}`, load: evening(150, 600)},

	// The discharge ceiling that the BMS reports.
	{name: "discharge_ceiling_cold", days: 6, sunWM2: []float64{700}, meanC: []float64{-5, -8, -2}, swingC: []float64{6},
		patch: `{"bank": {"initial_soc_fraction": 0.95, "enclosure": {"surface_c_per_w": 0.1}, "module": {"data_linked": {"charge_a_by_c": [[-12, 0], [0, 20]], "discharge_a_by_c": [[-20, 0], [-10, 2], [0, 14], [10, 100]]}, "protection": {"charge_cold_c": -20, "charge_cold_release_c": -19}}}}`,
		load: func(_, hour int) refLoad {
			if hour >= 17 && hour < 23 {
				return refLoad{ac: 500, acFlexible: 300}
			}
			return refLoad{ac: 120, acFlexible: 60, dc: 30}
		}},
	{name: "discharge_ceiling_low", days: 8, sunWM2: []float64{400, 250}, meanC: []float64{22}, swingC: []float64{4},
		outageS: 2.5, // charged at 20 A, discharged at 8 A
		patch:   `{"bank": {"initial_soc_fraction": 0.6, "module": {"data_linked": {"discharge_factor_by_soc": [[0.1, 0], [0.35, 0.2], [0.5, 1]]}}}, "controls": {"shed_soc_fraction": 0.1, "return_soc_fraction": 0.2}}`,
		load: func(_, hour int) refLoad {
			if hour >= 17 && hour < 22 {
				return refLoad{ac: 900, acFlexible: 500, dc: 100}
			}
			return refLoad{ac: 150, dcFlexible: 80}
		}},
	{name: "discharge_ceiling_high_load", days: 4, sunWM2: []float64{700}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"initial_soc_fraction": 0.9, "module": {"data_linked": {"discharge_a_by_c": [[25, 30]]}}}}`,
		load: func(day, hour int) refLoad {
			switch hour {
			case 2:
				return refLoad{ac: 1500, acFlexible: 1800}
			case 12:
				return refLoad{ac: 4200, dc: 100}
			case 19, 20:
				return refLoad{ac: 3300}
			}
			return refLoad{ac: 150}
		}},
	{name: "discharge_ceiling_hot_and_generator", days: 4, sunWM2: []float64{500}, meanC: []float64{44}, swingC: []float64{6},
		patch: `{"inverter": {"charger_a": 30}, "bank": {"initial_soc_fraction": 0.7, "module": {"data_linked": {"discharge_a_by_c": [[40, 50], [50, 8]], "discharge_factor_by_soc": [[0, 0.3], [0.4, 1]]}}, "link_faults": {"listed": [{"start": "2025-01-03T20:10", "hours": 3}]}},
			"generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null, "start_soc_fraction": 0.3, "stop_soc_fraction": 0.6}}}`, load: evening(400, 1400)},

	// Lost links.
	{name: "link_bank_opens", days: 5, sunWM2: []float64{500}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"on_link_loss": "bank_opens", "link_faults": {"listed": [{"start": "2025-01-01T09:10", "hours": 1.5}, {"start": "2025-01-02T20:00", "hours": 3.25}, {"start": "2025-01-04T12:30", "hours": 0.01}, {"start": "2025-01-04T13:30", "hours": 4}]}}}`, load: evening(250, 700)},
	{name: "link_all_stop", days: 5, sunWM2: []float64{500}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"on_link_loss": "all_stop", "link_faults": {"listed": [{"start": "2025-01-01T09:10", "hours": 1.5}, {"start": "2025-01-02T20:00", "hours": 3.25}, {"start": "2025-01-04T13:30", "hours": 4}]}}}`, load: evening(250, 700)},
	{name: "link_charge_stops", days: 5, sunWM2: []float64{700}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"on_link_loss": "charge_stops", "link_faults": {"listed": [{"start": "2025-01-01T09:10", "hours": 3}, {"start": "2025-01-03T08:00", "hours": 13}]}}}`, load: evening(250, 700)},
	{name: "link_fall_back", days: 7, sunWM2: []float64{700, 300}, meanC: []float64{8}, swingC: []float64{8},
		patch: `{"bank": {"on_link_loss": "fall_back", "link_faults": {"listed": [{"start": "2025-01-01T09:10", "hours": 3}, {"start": "2025-01-03T08:00", "hours": 60}]}}}`, load: evening(250, 900)},
	{name: "link_factory_settings", days: 7, sunWM2: []float64{800}, meanC: []float64{4}, swingC: []float64{8},
		patch: `{"bank": {"on_link_loss": "fall_back", "link": {"after_loss": "factory_lead_acid"}, "link_faults": {"listed": [{"start": "2025-01-02T09:10", "hours": 90}]}}}`, load: evening(250, 600)},

	{name: "gateway_fails", days: 5, sunWM2: []float64{800}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"modules": 4, "on_link_loss": "charge_stops", "link": {"gateway": {"draw_w": 20, "faults": {"listed": [{"start": "2025-01-03T07:00", "hours": 20}]}}}, "link_faults": {"listed": [{"start": "2025-01-02T09:10", "hours": 3}, {"start": "2025-01-03T20:00", "hours": 16}]}}, "array": {
			"planes": {"roof": {"rated_kw": 4, "charger": "south"}, "wall": {"rated_kw": 5, "tilt_deg": 30, "azimuth_deg": 0, "charger": "wall"}},
			"chargers": {"wall": {"key": "solar_charger_60a", "hears_link": false}}}}`, load: evening(400, 1200)},

	// Links that are back and not followed yet.
	{name: "return_next_morning", days: 5, sunWM2: []float64{700}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"on_link_loss": "charge_stops", "on_link_return": "next_morning", "link_faults": {"listed": [{"start": "2025-01-01T09:10", "hours": 2}, {"start": "2025-01-03T22:00", "hours": 3}, {"start": "2025-01-04T08:00", "hours": 2}, {"start": "2025-01-04T20:00", "hours": 11}]}}}`, load: evening(250, 700)},
	{name: "return_by_operator", days: 6, sunWM2: []float64{700, 300}, meanC: []float64{8}, swingC: []float64{8},
		patch: `{"bank": {"on_link_return": "until_reset", "link_faults": {"listed": [{"start": "2025-01-01T09:10", "hours": 3}, {"start": "2025-01-03T08:00", "hours": 14}]}}, "controls": {"operator": {"on_site": "always", "response_h": 1.5}}}`, load: evening(250, 900)},
	{name: "return_by_visit", days: 7, sunWM2: []float64{400}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"on_link_loss": "charge_stops", "on_link_return": "until_reset", "link_faults": {"listed": [{"start": "2025-01-01T09:10", "hours": 3}]}}, "controls": {"visit_response_h": 20}}`, load: evening(250, 900)},
	{name: "return_seen_from_afar", days: 5, sunWM2: []float64{500}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"on_link_loss": "bank_opens", "on_link_return": "until_reset", "link_faults": {"listed": [{"start": "2025-01-01T09:10", "hours": 5}, {"start": "2025-01-03T09:10", "hours": 1}]}}, "controls": {"remote_view": true, "remote_visit_h": 7}}`, load: evening(250, 700)},

	// By hand.
	{name: "bypass_all_stop", days: 4, sunWM2: []float64{400}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"on_link_loss": "all_stop", "initial_soc_fraction": 0.7, "link_faults": {"listed": [{"start": "2025-01-01T09:10", "hours": 30}, {"start": "2025-01-03T20:00", "hours": 6}]}},
			"generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null, "start_soc_fraction": 0.1, "stop_soc_fraction": 0.4, "max_run_h": 5, "fuel_store_l": 60}},
			"controls": {"operator": {"on_site": "always", "does": ["start_generator", "reset", "bypass_inverter"]}}}`, load: evening(250, 900)},
	{name: "bypass_one_who_may_not", days: 2, sunWM2: []float64{400}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"on_link_loss": "all_stop", "initial_soc_fraction": 0.7, "link_faults": {"listed": [{"start": "2025-01-01T09:10", "hours": 20}]}},
			"generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null, "start_soc_fraction": 0.1, "stop_soc_fraction": 0.4, "max_run_h": 5}},
			"controls": {"operator": {"on_site": "always", "does": ["start_generator", "reset"]}, "visit_response_h": 15}}`, load: evening(250, 900)},
	{name: "nothing_to_serve", days: 3, sunWM2: []float64{400}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"on_link_loss": "bank_opens", "initial_soc_fraction": 0.9, "link_faults": {"listed": [{"start": "2025-01-01T09:10", "hours": 30}]}},
			"generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null, "start_signal": "by_hand", "start_soc_fraction": 0.1, "stop_soc_fraction": 0.4, "max_run_h": 5}},
			"controls": {"operator": {"on_site": "always", "does": ["start_generator", "reset"]}}}`, load: evening(250, 900)},
	// A run that somebody starts does the exercise that a dead bus kept from its hour.
	{name: "exercise_done_by_hand", days: 3, sunWM2: []float64{300}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"inverter": {"charger_a": 5}, "bank": {"initial_soc_fraction": 0.7, "on_link_loss": "all_stop", "link_faults": {"listed": [{"start": "2025-01-02T09:10", "hours": 6}]}},
			"generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null, "start_soc_fraction": 0.1, "stop_soc_fraction": 0.4, "max_run_h": 2, "exercise": {"every_days": 1, "run_s": 2400, "at": "09:30"}}},
			"controls": {"operator": {"on_site": "always", "does": ["start_generator", "reset", "bypass_inverter"]}}}`, load: evening(250, 900)},
	{name: "lives_on_the_set", days: 3, sunWM2: []float64{400}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"on_link_loss": "bank_opens", "initial_soc_fraction": 0.9, "link_faults": {"listed": [{"start": "2025-01-01T09:10", "hours": 30}]}}, "inverter": {"passes_through_without_bank": true},
			"generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null, "start_signal": "by_hand", "start_soc_fraction": 0.1, "stop_soc_fraction": 0.4, "max_run_h": 5}},
			"controls": {"operator": {"on_site": "always", "does": ["start_generator", "reset"]}}}`, load: evening(250, 900)},
	{name: "bypass_bank_opens", days: 5, sunWM2: []float64{500}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"on_link_loss": "bank_opens", "on_link_return": "until_reset", "link_faults": {"listed": [{"start": "2025-01-01T09:10", "hours": 40}]}}, "inverter": {"charger_starts_without_bank": true},
			"generators": {"main": {"key": "petrol_3kw", "failed_start_fraction": 0, "start_soc_fraction": 0.1, "stop_soc_fraction": 0.4, "max_run_h": 9, "signal_fed_from": "own_battery", "start_signal": "own_controller"}},
			"controls": {"visit_response_h": 7}}`,
		load: func(_, hour int) refLoad { // more than the small set gives, by hours; and DC that it does not reach
			switch {
			case hour >= 17 && hour < 22:
				return refLoad{ac: 3400, acFlexible: 200}
			case hour >= 11 && hour < 13:
				return refLoad{ac: 300, dc: 60}
			}
			return refLoad{ac: 300}
		}},
	{name: "bypass_overload", days: 3, sunWM2: []float64{500}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"modules": 4, "initial_soc_fraction": 0.9}, "inverter": {"ac_input_w": 1500},
			"generators": {"main": {"key": "diesel_12kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null, "start_soc_fraction": 0.1, "stop_soc_fraction": 0.3}},
			"controls": {"operator": {"on_site": "always", "response_h": 0.5, "does": ["start_generator", "bypass_inverter"]}}}`,
		load: func(_, hour int) refLoad {
			if hour >= 9 && hour < 13 {
				return refLoad{ac: 9500}
			}
			return refLoad{ac: 300}
		}},
	{name: "bypass_to_the_grid", days: 3, sunWM2: []float64{500}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"generators": {"main": null}, "bank": {"on_link_loss": "bank_opens", "link_faults": {"listed": [{"start": "2025-01-01T12:10", "hours": 30}]}},
			"grid": {"limit_w": 3000, "outages": {"listed": [{"start": "2025-01-01T23:00", "hours": 2}]}},
			"controls": {"operator": {"on_site": "always", "does": ["bypass_inverter"]}}}`, load: evening(250, 900)},
	// For two hours the load takes all that the set passes on: its charger's absorption goes on.
	{name: "absorbs_beside_a_load", days: 3, sunWM2: []float64{100}, meanC: []float64{18}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "initial_soc_fraction": 0.45, "settings": {"absorb_v": 55.2, "absorb_max_s": 18000, "tail_a": 0.1, "float_v": 54, "restart_charge_v": 50, "charge_a": 60}}, "inverter": {"charger_a": 60},
			"generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null, "start_soc_fraction": 0.5, "stop_soc_fraction": 0, "max_run_h": 24}}}`,
		load: func(_, hour int) refLoad {
			if hour == 4 || hour == 5 {
				return refLoad{ac: 6500}
			}
			return refLoad{ac: 500}
		}},
	// Somebody closes a bank that over-voltage has latched open: its chargers begin anew.
	{name: "begins_anew_after_a_latch", days: 4, sunWM2: []float64{800, 500}, meanC: []float64{8}, swingC: []float64{4},
		patch: `{"bank": {"module": {"key": "lfp_16s_100ah_one_switch", "protection": {"over_voltage_latch_count": 1, "over_v_release_v": 57.5}}, "operation": "voltage_only", "settings": {"absorb_v": 56.3, "float_v": 54, "restart_charge_v": 53, "absorb_max_s": 3600, "tail_a": 10, "charge_a": 72.72, "compensation_v_per_c": -0.096}},
			"controls": {"visit_response_h": 2}}`, load: evening(200, 600)},
	// At sunrise the grid's charger holds the float that the solar chargers leave.
	{name: "floats_at_sunrise", days: 4, sunWM2: []float64{100, 300}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"generators": {"main": null}, "bank": {"operation": "voltage_only", "modules": 4, "initial_soc_fraction": 0.9}, "grid": {"limit_w": 3000}}`, load: evening(250, 900)},
	{name: "shed_by_hand", days: 7, sunWM2: []float64{450, 250, 600}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"initial_soc_fraction": 0.6}, "controls": {"operator": {"on_site": "always", "does": ["shed_by_hand"], "shed_soc_fraction": 0.5, "return_soc_fraction": 0.7, "response_h": 2}}}`,
		load:  func(day, hour int) refLoad { return refLoad{ac: 150, acFlexible: 200, dcFlexible: 40} }},
	{name: "shed_after_darkness", days: 6, sunWM2: []float64{250, 250, 900}, meanC: []float64{18}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "initial_soc_fraction": 0.3, "estimate": {"kind": "none"}}, "controls": {"operator": {"on_site": "always", "does": ["shed_by_hand"]}}}`,
		load:  func(day, hour int) refLoad { return refLoad{ac: 150, acFlexible: 150} }},

	// Voltage-only.
	{name: "voltage_plain", days: 8, sunWM2: []float64{500, 250, 150, 600}, meanC: []float64{18}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only"}}`, load: evening(180, 900)},
	{name: "voltage_sudden", days: 8, sunWM2: []float64{450, 200}, meanC: []float64{5}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "estimate": {"gain_fraction": 0.03, "offset_a": 0.4}}}`, load: evening(200, 1200)},
	{name: "voltage_lock_out", days: 3, sunWM2: []float64{350}, meanC: []float64{-5}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "modules": 1, "initial_soc_fraction": 0.7, "module": {"bms_draw_w": 1, "protection": {"asleep_after_h": 300}}}, "controls": {"visit_response_h": 13.5, "low_end": {"return_needs_charge": true}}}`, load: evening(60, 1500)},
	{name: "voltage_one_switch_cold", days: 8, sunWM2: []float64{500}, meanC: []float64{-3, 1}, swingC: []float64{6},
		patch: `{"bank": {"module": {"key": "lfp_16s_100ah_one_switch"}, "operation": "voltage_only", "initial_soc_fraction": 0.9}}`, load: evening(160, 300)},
	{name: "voltage_one_switch_hot", days: 6, sunWM2: []float64{500}, meanC: []float64{48}, swingC: []float64{7},
		patch: `{"bank": {"module": {"key": "lfp_16s_100ah_one_switch", "protection": {"charge_hot_c": 50, "charge_hot_release_c": 46}}, "operation": "voltage_only", "initial_soc_fraction": 0.6}}`, load: evening(160, 400)},
	{name: "voltage_directional_cold", days: 8, sunWM2: []float64{500}, meanC: []float64{-3, 1}, swingC: []float64{6},
		patch: `{"bank": {"operation": "voltage_only", "initial_soc_fraction": 0.9}}`, load: evening(160, 300)},
	{name: "voltage_sensor", days: 8, sunWM2: []float64{500}, meanC: []float64{-3, 1}, swingC: []float64{6},
		patch: `{"bank": {"operation": "voltage_only", "initial_soc_fraction": 0.9}, "array": {"chargers": {"south": {"temperature_sensor": true}}}}`, load: evening(160, 300)},
	{name: "voltage_discharge_cold", days: 6, sunWM2: []float64{600}, meanC: []float64{-15}, swingC: []float64{11},
		patch: `{"bank": {"operation": "voltage_only", "initial_soc_fraction": 0.95}}`, load: evening(80, 200)},
	{name: "voltage_one_switch_discharge_cold", days: 6, outageS: 71, // the last of many trips, 70 s apart, comes by a hundredth of an ampere
		sunWM2: []float64{600}, meanC: []float64{-15}, swingC: []float64{11},
		patch: `{"bank": {"module": {"key": "lfp_16s_100ah_one_switch"}, "operation": "voltage_only", "initial_soc_fraction": 0.95}}`, load: evening(80, 200)},
	{name: "voltage_generator", days: 8, sunWM2: []float64{250, 50}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only"}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_soc_fraction": 0.3, "stop_soc_fraction": 0, "stop_tail_a": 15,
			"start_below": [{"v": 51.2, "hold_s": 900}, {"v": 50.4, "hold_s": 120}, {"v": 49.6, "hold_s": 15}]}}}`, load: evening(400, 1300)},
	{name: "voltage_generator_load_corrected", days: 8, soc: .003, // the plateau passes a rung at a tenth of a millivolt a second, and then 40 A come
		sunWM2: []float64{250, 50}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "estimate": {"kind": "none"}}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_soc_fraction": 0, "stop_soc_fraction": 0, "stop_tail_a": 15,
			"start_below": [{"v": 52, "hold_s": 900, "load_corrected": true}, {"v": 51.2, "hold_s": 120, "load_corrected": true}, {"v": 49.6, "hold_s": 15}]}}}`, load: evening(400, 1300)},
	{name: "voltage_generator_float", days: 8, sunWM2: []float64{700, 600}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "settings": {"absorb_v": 56, "float_v": 54, "restart_charge_v": 53, "tail_a": 10, "charge_a": 72.72, "absorb_max_s": 1200}}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": "10-08", "start_soc_fraction": 0.6, "stop_soc_fraction": 0, "start_below": null, "min_run_s": 21600}}}`, load: evening(400, 1200)},
	{name: "voltage_own_output", days: 8, sunWM2: []float64{800}, meanC: []float64{20}, swingC: []float64{5},
		patch: `{"bank": {"operation": "voltage_only", "settings": {"absorb_v": 56, "float_v": 54, "restart_charge_v": 53.4, "tail_a": 10, "charge_a": 72.72, "tail_seen": "own_output", "compensation_v_per_c": -0.03}}}`, load: evening(250, 700)},
	{name: "voltage_no_float", days: 4, sunWM2: []float64{900, 700}, meanC: []float64{20}, swingC: []float64{5},
		patch: `{"bank": {"operation": "voltage_only", "initial_soc_fraction": 0.7, "settings": {"absorb_v": 56, "float_v": 56, "restart_charge_v": 53.4, "tail_a": 10, "charge_a": 72.72}}}`, load: evening(200, 500)},
	{name: "voltage_over_current", days: 5, sunWM2: []float64{700}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "modules": 1, "initial_soc_fraction": 0.9}, "controls": {"low_end": {"cut_off_v": 46, "fast_cut_off_v": 44}}}`,
		load: func(day, hour int) refLoad {
			if hour == 19 || hour == 22 {
				return refLoad{ac: 5000}
			}
			return refLoad{ac: 100}
		}},
	{name: "linked_over_current", days: 5, sunWM2: []float64{700}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"module": {"key": "lfp_16s_100ah_one_switch"}, "modules": 1, "initial_soc_fraction": 0.9}}`,
		load: func(day, hour int) refLoad {
			if hour == 19 && day%2 == 0 {
				return refLoad{ac: 5600}
			}
			return refLoad{ac: 100}
		}},
	// Trips of the disconnect that no other system has.
	{name: "trip_charge_too_hot", days: 4, sunWM2: []float64{500}, meanC: []float64{48}, swingC: []float64{7},
		patch: `{"bank": {"operation": "voltage_only", "initial_soc_fraction": 0.5, "module": {"protection": {"charge_hot_c": 50, "charge_hot_release_c": 46}}, "enclosure": {"surface_c_per_w": 0.05}}}`, load: evening(160, 400)},
	{name: "trip_discharge_too_cold", days: 4, sunWM2: []float64{600}, meanC: []float64{-15}, swingC: []float64{11},
		patch: `{"bank": {"operation": "voltage_only", "initial_soc_fraction": 0.95, "enclosure": {"surface_c_per_w": 0.05}}}`, load: evening(80, 200)},
	{name: "trip_charge_over_current", days: 4, sunWM2: []float64{900, 500}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "initial_soc_fraction": 0.4, "module": {"protection": {"charge_over_a": 24}}}, "controls": {"visit_response_h": 20}}`, load: evening(160, 500)},
	{name: "inverter_limit", days: 6, sunWM2: []float64{700}, meanC: []float64{43}, swingC: []float64{4},
		patch: `{"bank": {"modules": 4, "initial_soc_fraction": 0.9, "enclosure": {"kind": "fixed", "fixed_c": 20}}}`,
		load: func(day, hour int) refLoad {
			switch hour {
			case 9:
				return refLoad{ac: 6300, dc: 60}
			case 14:
				return refLoad{ac: 8000, dc: 60}
			case 20:
				return refLoad{ac: 13000, dc: 60}
			}
			return refLoad{ac: 150, dc: 60}
		}},
	// Overload, cut-off and the bank's peak are over in the same second: the load that the
	// inverter gives up lets the other two go.
	{name: "gives_up_before_the_cut_off", days: 4, sunWM2: []float64{700}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "modules": 2, "initial_soc_fraction": 0.9}, "controls": {"visit_response_h": 30, "low_end": {"cut_off_v": 50.5, "cut_off_delay_s": 60, "fast_cut_off_v": 50, "fast_cut_off_delay_s": 1}}}`,
		load: func(day, hour int) refLoad {
			switch {
			case hour == 19 && day%2 == 0:
				return refLoad{ac: 12500}
			case hour == 20 && day%2 == 0:
				return refLoad{ac: 8000}
			}
			return refLoad{ac: 100}
		}},
	{name: "voltage_over_voltage", days: 6, sunWM2: []float64{800}, meanC: []float64{2}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "settings": {"absorb_v": 56, "float_v": 54, "restart_charge_v": 53, "tail_a": 10, "charge_a": 72.72, "compensation_v_per_c": -0.096}}}`, load: evening(200, 600)},
	{name: "voltage_one_switch_over_voltage", days: 4, sunWM2: []float64{800}, meanC: []float64{8}, swingC: []float64{4},
		patch: `{"bank": {"module": {"key": "lfp_16s_100ah_one_switch"}, "operation": "voltage_only", "settings": {"absorb_v": 56, "float_v": 54, "restart_charge_v": 53, "tail_a": 10, "charge_a": 72.72, "compensation_v_per_c": -0.096}}}`, load: evening(200, 600)},
	{name: "voltage_high_bus", days: 5, sunWM2: []float64{800}, meanC: []float64{2, 6}, swingC: []float64{6},
		patch: `{"inverter": {"max_v": 58}, "bank": {"operation": "voltage_only", "settings": {"absorb_v": 56, "float_v": 54, "restart_charge_v": 53, "tail_a": 10, "charge_a": 72.72, "compensation_v_per_c": -0.096}}}`, load: evening(200, 600)},
	{name: "voltage_high_bus_without_bank", days: 4,
		sunWM2: []float64{800}, meanC: []float64{4}, swingC: []float64{6},
		patch: `{"inverter": {"max_v": 58, "max_return_v": 57}, "controls": {"chargers_hold_bus": true}, "bank": {"module": {"key": "lfp_16s_100ah_one_switch", "protection": {"over_v_release_v": 56.5}}, "operation": "voltage_only",
			"settings": {"absorb_v": 56, "float_v": 54, "restart_charge_v": 53, "tail_a": 10, "charge_a": 72.72, "compensation_v_per_c": -0.096}}}`, load: evening(200, 600)},
	{name: "voltage_under_voltage", days: 8, sunWM2: []float64{320}, meanC: []float64{18}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only"}, "controls": {"low_end": {"cut_off_v": 43.5, "fast_cut_off_v": 42.5}}}`, load: evening(300, 900)},
	{name: "voltage_one_switch_under_voltage", days: 6, outageS: 4, // a woken bank near no charge comes back on a slow rise of voltage
		sunWM2: []float64{300, 150, 600}, meanC: []float64{18}, swingC: []float64{4},
		patch: `{"bank": {"module": {"key": "lfp_16s_100ah_one_switch"}, "operation": "voltage_only"}, "controls": {"low_end": {"cut_off_v": 43.5, "fast_cut_off_v": 42.5}}}`, load: evening(300, 900)},
	{name: "voltage_sleep_and_sun", days: 8, sunWM2: []float64{330},
		meanC: []float64{18}, swingC: []float64{4},
		patch: `{"bank": {"module": {"key": "lfp_16s_100ah_one_switch", "protection": {"asleep_after_h": 1}}, "operation": "voltage_only", "woken_by": ["solar", "visit"]},
			"array": {"chargers": {"south": {"starts_without_bank": true}}},
			"controls": {"low_end": {"cut_off_v": 43.5, "fast_cut_off_v": 42.5}}}`,
		load: func(_, hour int) refLoad {
			switch {
			case hour >= 17:
				return refLoad{ac: 1200}
			case hour >= 8:
				return refLoad{ac: 200}
			}
			return refLoad{ac: 30}
		}},
	{name: "voltage_sleep_and_operator", days: 8, sunWM2: []float64{330}, meanC: []float64{18}, swingC: []float64{4},
		patch: `{"bank": {"module": {"protection": {"asleep_after_h": 2}}, "operation": "voltage_only"},
			"controls": {"low_end": {"cut_off_v": 43.5, "fast_cut_off_v": 42.5}, "operator": {"on_site": "always", "awake": "07-22", "response_h": 1.5}}}`, load: evening(300, 900)},
	{name: "voltage_sleep_and_operator_who_cannot_wake", days: 8, sunWM2: []float64{330}, meanC: []float64{18}, swingC: []float64{4},
		patch: `{"bank": {"module": {"protection": {"asleep_after_h": 2}}, "operation": "voltage_only", "woken_by": ["solar"]}, "array": {"chargers": {"south": {"starts_without_bank": true}}},
			"controls": {"low_end": {"cut_off_v": 43.5, "fast_cut_off_v": 42.5}, "operator": {"on_site": "always", "awake": "03-22", "response_h": 0.5}}}`, load: evening(300, 900)},

	// Loads, limits and stores.
	{name: "tiers_and_dc", days: 8, sunWM2: []float64{500, 250}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"initial_soc_fraction": 0.6}}`,
		load: func(day, hour int) refLoad {
			if hour >= 9 && hour < 12 {
				return refLoad{ac: 150, acFlexible: 800, dc: 60, dcFlexible: 100}
			}
			return refLoad{ac: 150, dc: 60, dcFlexible: 40}
		}},
	{name: "shed_by_voltage", days: 6, sunWM2: []float64{450, 250, 600}, meanC: []float64{16}, swingC: []float64{5},
		patch: `{"bank": {"operation": "voltage_only", "initial_soc_fraction": 0.6, "estimate": {"kind": "none"}}, "controls": {"shed_below_v": 51.6, "shed_below_hold_s": 300, "return_above_v": 53.2}}`,
		load: func(_, hour int) refLoad {
			if hour >= 17 && hour < 22 {
				return refLoad{ac: 500, acFlexible: 600, dc: 60, dcFlexible: 80}
			}
			return refLoad{ac: 120, acFlexible: 150, dc: 60, dcFlexible: 40}
		}},
	{name: "shed_by_voltage_and_soc", days: 6, outageS: 3.5, // charged at 40 A, discharged at 5 A
		sunWM2: []float64{350, 250}, meanC: []float64{4, 9}, swingC: []float64{6},
		patch: `{"bank": {"initial_soc_fraction": 0.6}, "controls": {"shed_below_v": 52, "shed_below_hold_s": 60, "return_above_v": 53}}`,
		load: func(_, hour int) refLoad {
			if hour >= 17 && hour < 22 {
				return refLoad{ac: 600, acFlexible: 700}
			}
			return refLoad{ac: 150, acFlexible: 150}
		}},
	{name: "small_ac_input", days: 5, sunWM2: []float64{150}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"modules": 4, "initial_soc_fraction": 0.3}, "inverter": {"ac_input_w": 2000, "charger_a": 25}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null, "fuel_store_l": 45, "rated_kw": 8}}}`,
		load: func(day, hour int) refLoad {
			if hour >= 17 && hour < 21 {
				return refLoad{ac: 2600, dc: 80}
			}
			return refLoad{ac: 500, dc: 80}
		}},
	{name: "inverter_beside_generator", days: 3, sunWM2: []float64{300}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"modules": 16, "initial_soc_fraction": 0.3}, "inverter": {"charger_a": 100}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0,
			"no_start_hours": null, "start_below": null, "start_soc_fraction": 0.4, "stop_soc_fraction": 0.9, "max_run_h": 24}}}`,
		load: func(_, hour int) refLoad {
			switch hour {
			case 1:
				return refLoad{ac: 14000}
			case 2, 20:
				return refLoad{ac: 9000}
			}
			return refLoad{ac: 1500}
		}},
	{name: "dc_low_end", days: 8, sunWM2: []float64{450, 200}, meanC: []float64{18}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only"}, "controls": {"operator": {"on_site": "weekends", "response_h": 3}, "visit_response_h": 30}}`,
		load: func(_, hour int) refLoad {
			if hour >= 17 && hour < 21 {
				return refLoad{dc: 1800}
			}
			return refLoad{ac: 60, dc: 120}
		}},
	{name: "chargers_hold_bus", days: 6, sunWM2: []float64{600}, meanC: []float64{-3, 1}, swingC: []float64{6},
		patch: `{"bank": {"module": {"key": "lfp_16s_100ah_one_switch"}, "operation": "voltage_only", "initial_soc_fraction": 0.9}, "controls": {"chargers_hold_bus": true}}`, load: evening(160, 300)},

	// A bus that the chargers hold against a bank which blocks charge. Fuel ends with the days.
	{name: "held_over_an_empty_bank", days: 3, sunWM2: []float64{500}, meanC: []float64{-6}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "initial_soc_fraction": 0.12}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": "17-07", "start_soc_fraction": 0, "stop_soc_fraction": 0,
			"start_below": [{"v": 51.6, "hold_s": 600}]}}}`, load: evening(100, 100)},
	{name: "held_at_two_set_points", days: 4, sunWM2: []float64{300, 500}, meanC: []float64{-6}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "initial_soc_fraction": 0.8, "settings": {"absorb_v": 56, "float_v": 54, "restart_charge_v": 53, "tail_a": 10, "tail_hold_s": 1200, "charge_a": 72.72}},
			"inverter": {"charger_a": 20}, "generators": {"main": {"key": "diesel_8kw", "fuel_store_l": 5.2, "failed_start_fraction": 0, "no_start_hours": null, "start_soc_fraction": 0.02, "stop_soc_fraction": 0, "start_below": null,
			"exercise": {"every_days": 1, "run_s": 5400, "at": "11:30"}}}}`,
		load: func(day, hour int) refLoad {
			switch {
			case hour == 11 && day%2 == 1: // more than the AC charger, which stands higher, gives alone
				return refLoad{ac: 100, dc: 1400}
			case hour >= 8 && hour < 15:
				return refLoad{ac: 100, dc: 500}
			}
			return refLoad{ac: 100}
		}},
	{name: "held_then_charged", days: 4, sunWM2: []float64{900}, meanC: []float64{2}, swingC: []float64{8},
		patch: `{"bank": {"operation": "voltage_only", "initial_soc_fraction": 0.9, "enclosure": {"surface_c_per_w": 0.05}}}`, load: evening(150, 300)},
	{name: "held_over_a_full_bank", days: 4, sunWM2: []float64{800}, meanC: []float64{18}, swingC: []float64{4},
		patch: `{"bank": {"initial_soc_fraction": 0.7, "module": {"protection": {"over_v": 56.2, "over_v_release_v": 53.4}}}}`, load: evening(150, 600)},
	{name: "held_by_a_deaf_charger", days: 4, sunWM2: []float64{700, 300}, meanC: []float64{-6}, swingC: []float64{4},
		patch: refDeaf, load: evening(500, 900)},
	// The same deaf charger, in the cold, beside others that a lost link stops with the inverter.
	{name: "deaf_in_the_cold_all_stop", days: 4, sunWM2: []float64{700, 300}, meanC: []float64{-6}, swingC: []float64{4},
		patch: `{"bank": {"modules": 4, "on_link_loss": "all_stop", "link_faults": {"listed": [{"start": "2025-01-01T09:10", "hours": 1.5}, {"start": "2025-01-02T20:00", "hours": 3.25}]}}, "array": {
			"planes": {"roof": {"rated_kw": 4, "charger": "south"}, "wall": {"rated_kw": 5, "tilt_deg": 30, "azimuth_deg": 0, "charger": "wall"}},
			"chargers": {"wall": {"key": "solar_charger_60a", "hears_link": false}}}}`, load: evening(200, 900)},
	{name: "held_by_a_deaf_ac_charger", days: 3, sunWM2: []float64{500, 300}, meanC: []float64{-6}, swingC: []float64{3},
		patch: `{"inverter": {"charger_a": 15, "charger_hears_link": false}, "bank": {"initial_soc_fraction": 0.9, "settings": {"absorb_v": 56.6, "float_v": 54, "restart_charge_v": 53, "tail_a": 10, "tail_hold_s": 6000, "charge_a": 72.72}},
			"generators": {"main": {"key": "diesel_8kw", "fuel_store_l": 4.6, "failed_start_fraction": 0, "no_start_hours": null, "start_below": null, "start_soc_fraction": 0.02, "stop_soc_fraction": 0, "exercise": {"every_days": 1, "run_s": 7200, "at": "07:00"}}}}`,
		load: func(_, hour int) refLoad {
			if hour >= 8 && hour < 14 { // more than the AC charger, which stands higher, gives alone
				return refLoad{ac: 100, dc: 1000}
			}
			return refLoad{ac: 100, dc: 60}
		}},
	{name: "held_by_a_generator", days: 1, sunWM2: []float64{0}, meanC: []float64{-6}, swingC: []float64{3},
		patch: `{"bank": {"operation": "voltage_only", "initial_soc_fraction": 0.6}, "inverter": {"charger_a": 20}, "generators": {"main": {"key": "diesel_8kw", "fuel_store_l": 4.2, "failed_start_fraction": 0, "no_start_hours": null, "start_soc_fraction": 0, "stop_soc_fraction": 0,
			"stop_tail_a": 15, "start_below": [{"v": 52.2, "hold_s": 600}], "min_run_s": 120}}}`, load: evening(250, 250)},

	// Motors.
	{name: "motor_sags", days: 6, sunWM2: []float64{400, 250}, meanC: []float64{2}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "modules": 1, "initial_soc_fraction": 0.8}}`, load: evening(60, 350), startsOn: working,
		starts: []sim.Start{{Appliance: "compressor", Count: 1, RunningW: 700, MeanFraction: .3, PowerFactor: .8, InrushMultiple: 6, InrushS: 1.2, StartsPerH: 4},
			{Appliance: "refrigerator", Count: 2, RunningW: 110, MeanFraction: .3, PowerFactor: .8, InrushMultiple: 6, InrushS: .4, StartsPerH: 2}}},
	{name: "motor_too_much_for_the_inverter", days: 4, sunWM2: []float64{600}, meanC: []float64{44}, swingC: []float64{6},
		patch: `{"bank": {"modules": 4, "initial_soc_fraction": 0.7, "enclosure": {"kind": "fixed", "fixed_c": 20}}}`, load: evening(400, 900), startsOn: working,
		starts: []sim.Start{{Appliance: "pump", Flexible: true, Count: 1, RunningW: 1500, MeanFraction: .5, PowerFactor: .85, InrushMultiple: 6, InrushS: .8},
			{Appliance: "saw", Count: 1, RunningW: 1400, MeanFraction: .1, PowerFactor: .75, InrushMultiple: 6, InrushS: 1, StartsPerH: .7}}},
	{name: "motor_on_the_bus", days: 4, sunWM2: []float64{500}, meanC: []float64{10}, swingC: []float64{6},
		patch: `{"bank": {"modules": 1, "initial_soc_fraction": 0.6}}`, startsOn: working,
		load:   func(_, hour int) refLoad { return refLoad{ac: 120, dc: 200} },
		starts: []sim.Start{{Appliance: "winch", DC: true, Count: 1, RunningW: 2600, MeanFraction: .1, PowerFactor: 1, InrushMultiple: 4, InrushS: 2, StartsPerH: 1}}},

	// Fan and sun on the enclosure.
	{name: "fan_in_a_cupboard", days: 5, sunWM2: []float64{700}, meanC: []float64{24}, swingC: []float64{7},
		patch: `{"bank": {"modules": 4, "enclosure": {"kind": "insulated_cupboard", "solar_gain_c_per_kw_m2": 12, "fan": {"w": 15}}}}`, load: evening(300, 900)},

	// An inverter's own counter.
	{name: "own_counter_blind", days: 5, sunWM2: []float64{500, 300}, meanC: []float64{18}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "estimate": {"kind": "inverter_own"}}}`,
		load: func(_, hour int) refLoad {
			if hour >= 17 && hour < 22 {
				return refLoad{ac: 700, acFlexible: 100, dc: 60}
			}
			return refLoad{ac: 120, acFlexible: 60, dc: 60}
		}},
	{name: "own_counter_generator", days: 4,
		sunWM2: []float64{250, 100}, meanC: []float64{18}, swingC: []float64{4},
		patch: `{"inverter": {"charger_a": 40}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null, "start_soc_fraction": 0.3, "stop_soc_fraction": 0.8}},
			"bank": {"operation": "voltage_only", "estimate": {"kind": "inverter_own", "sees_solar_chargers": true}}}`, load: evening(350, 1200)},

	// Modules one by one.
	{name: "cascade_discharge", days: 3, sunWM2: []float64{700}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"inverter": {"key": "inverter_10kw"}, "bank": {"operation": "voltage_only", "modules": 2, "modules_act_together": false, "module": {"resistance_ohm": 0.012}, "initial_soc_fraction": 0.9}, "controls": {"low_end": {"cut_off_v": 46, "fast_cut_off_v": 44}}}`,
		load: func(day, hour int) refLoad {
			if hour == 19 || hour == 22 && day > 0 {
				return refLoad{ac: 9300}
			}
			return refLoad{ac: 200}
		}},
	{name: "cascade_over_voltage", days: 4, sunWM2: []float64{800}, meanC: []float64{2}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "modules": 3, "modules_act_together": false, "module": {"protection": {"cell_spread_v": 0.1}}, "settings": {"absorb_v": 56, "float_v": 54, "restart_charge_v": 53, "tail_a": 10, "charge_a": 72.72, "compensation_v_per_c": -0.04}}}`, load: evening(200, 600)},
	{name: "chain_opens", days: 4, sunWM2: []float64{700}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"modules": 4, "initial_soc_fraction": 0.6, "link_chain": {"break_after_modules": 2, "start": "2025-01-02T08:00", "hours": 30}}}`, load: evening(300, 1000)},
	{name: "chain_assumed_there", days: 4, sunWM2: []float64{900}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"modules": 3, "initial_soc_fraction": 0.5, "link_chain": {"break_after_modules": 2, "start": "2025-01-02T08:00", "hours": 24, "ceilings_assume": "there"}}}`, load: evening(200, 600)},
	{name: "chain_stays", days: 4, sunWM2: []float64{900}, meanC: []float64{15}, swingC: []float64{4},
		patch: `{"bank": {"modules": 4, "initial_soc_fraction": 0.4, "link_chain": {"break_after_modules": 1, "start": "2025-01-02T08:00", "hours": 24, "modules_behind": "stay"}}}`, load: evening(200, 900)},

	// Aged.
	{name: "aged_shunt", days: 5, sunWM2: []float64{450, 200}, meanC: []float64{9}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "age_years": 9}}`, load: evening(150, 700)},
	{name: "aged_linked", days: 4, sunWM2: []float64{600, 300}, meanC: []float64{12}, swingC: []float64{4},
		patch: `{"bank": {"aged_capacity_fraction": 0.7, "aged_resistance_factor": 2}}`, load: evening(150, 800)},

	// Chargers that do not hear the link.
	{name: "deaf_charger", days: 6, sunWM2: []float64{1000, 700}, meanC: []float64{14}, swingC: []float64{6},
		patch: refDeaf, load: evening(500, 1500)},
	{name: "deaf_charger_cold", days: 5, sunWM2: []float64{900}, meanC: []float64{-2, 2}, swingC: []float64{5},
		patch: refDeaf, load: evening(300, 700)},
	{name: "deaf_and_lost", days: 5, sunWM2: []float64{800}, meanC: []float64{15}, swingC: []float64{4},
		patch: refDeafLost, load: evening(400, 1200)},
	{name: "deaf_ac_charger", days: 4, sunWM2: []float64{300}, meanC: []float64{8}, swingC: []float64{4},
		patch: `{"inverter": {"charger_a": 60, "charger_hears_link": false}, "bank": {"link": {"gateway": {"draw_w": 8}}}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null,
			"start_soc_fraction": 0.3, "stop_soc_fraction": 0.9}}}`, load: evening(500, 1300)},

	// Lead-acid.
	{name: "acid_plain", days: 5, sunWM2: []float64{500, 250, 150, 600}, meanC: []float64{18}, swingC: []float64{4},
		patch: refAcidBank, load: evening(120, 500)},
	{name: "acid_empty", days: 5, sunWM2: []float64{270, 250, 150, 600}, meanC: []float64{12}, swingC: []float64{4},
		patch: refAcidBank, load: evening(220, 1500)},
	{name: "acid_cold", days: 5, sunWM2: []float64{350}, meanC: []float64{-12, -4}, swingC: []float64{6},
		patch: refAcidBank, load: evening(150, 700)},
	{name: "acid_equalise", days: 5, sunWM2: []float64{900}, meanC: []float64{22}, swingC: []float64{5},
		patch: `{"bank": {"operation": "voltage_only", "modules": 1, "initial_soc_fraction": 0.8, "module": {"key": "lead_acid_vented_24s_400ah"},
			"settings": {"absorb_v": 58.8, "absorb_max_s": 7200, "tail_a": 12, "float_v": 53.52, "restart_charge_v": 50.4, "charge_a": 52, "compensation_v_per_c": -0.12,
				"equalise_v": 61.9, "equalise_s": 5400, "equalise_every_d": 2}}}`, load: evening(100, 300)},
	{name: "acid_high_bus", days: 5, sunWM2: []float64{900}, meanC: []float64{14}, swingC: []float64{7},
		patch: `{"inverter": {"max_v": 60.8}, "bank": {"operation": "voltage_only", "modules": 1, "initial_soc_fraction": 0.8, "module": {"key": "lead_acid_vented_24s_400ah"},
			"settings": {"absorb_v": 58.8, "absorb_max_s": 7200, "tail_a": 12, "float_v": 53.52, "restart_charge_v": 50.4, "charge_a": 52, "compensation_v_per_c": -0.12,
				"equalise_v": 61.9, "equalise_s": 5400, "equalise_every_d": 2}}}`, load: evening(100, 300)},
	{name: "acid_load_corrected", days: 4, sunWM2: []float64{200, 100}, meanC: []float64{18}, swingC: []float64{4},
		patch: `{"inverter": {"charger_a": 40}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_soc_fraction": 0, "stop_soc_fraction": 0.8, "max_run_h": 5,
			"start_below": [{"v": 49.4, "hold_s": 600, "load_corrected": true}]}},
			"bank": {"operation": "voltage_only", "modules": 2, "initial_soc_fraction": 0.7, "module": {"key": "lead_acid_sealed_24s_200ah"}}}`, load: evening(300, 900)},
	{name: "acid_sealed_generator", days: 4, sunWM2: []float64{200, 100}, meanC: []float64{22}, swingC: []float64{4},
		patch: `{"inverter": {"charger_a": 40}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null, "start_soc_fraction": 0.5, "stop_soc_fraction": 0.8}},
			"bank": {"operation": "voltage_only", "modules": 2, "initial_soc_fraction": 0.7, "module": {"key": "lead_acid_sealed_24s_200ah"}}}`, load: evening(300, 900)},
}

// working is the hours of a working day.
func working(_, hour int) bool { return hour >= 8 && hour < 12 || hour >= 17 && hour < 20 }
