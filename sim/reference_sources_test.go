package sim_test

import "bankyear/sim"

// byDay is the hours of the day in which energy may shift.
func byDay(_, hour int) bool { return hour >= 9 && hour < 17 }

// refSources are the systems of the comparison in which several sources of AC, or
// the less usual rules of one, are at work.
var refSources = []refCase{
	{name: "exercise_and_cap", days: 8, sunWM2: []float64{250, 100, 600}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"inverter": {"charger_a": 30}, "bank": {"initial_soc_fraction": 0.5}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null,
			"start_soc_fraction": 0.25, "stop_soc_fraction": 0.9, "daily_cap_h": 1.5, "min_run_s": 600, "exercise": {"every_days": 2, "run_s": 1200, "at": "10:00"}}}}`,
		load: evening(350, 1100)},
	{name: "exercise_that_goes_on", days: 4, sunWM2: []float64{0}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"inverter": {"charger_a": 5}, "bank": {"initial_soc_fraction": 0.35}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": "11-10", "start_below": null,
			"start_soc_fraction": 0.25, "stop_soc_fraction": 0.3, "min_run_s": 600, "max_run_h": 2, "exercise": {"every_days": 1, "run_s": 2400, "at": "10:30"}}}}`,
		load: func(_, hour int) refLoad {
			if hour == 10 {
				return refLoad{dc: 800}
			}
			return refLoad{ac: 90}
		}},
	{name: "start_on_load", days: 4, sunWM2: []float64{150}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"modules": 4, "initial_soc_fraction": 0.7}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": "03-04", "start_below": null,
			"start_soc_fraction": 0.4, "stop_soc_fraction": 0.6, "start_load_w": 2500, "start_load_hold_s": 90, "stop_load_w": 1200, "min_run_s": 1800}}}`,
		load: func(day, hour int) refLoad {
			switch {
			case hour == 3 || hour == 12:
				return refLoad{ac: 3000}
			case hour == 13:
				return refLoad{ac: 1500, acFlexible: 500}
			case hour >= 18 && hour < 20:
				return refLoad{ac: 1000, acFlexible: 1700}
			}
			return refLoad{ac: 400}
		}},
	{name: "refused_charge", days: 5, sunWM2: []float64{0}, meanC: []float64{-3, -8}, swingC: []float64{6},
		patch: `{"bank": {"initial_soc_fraction": 0.5}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null,
			"start_soc_fraction": 0.3, "stop_soc_fraction": 0.9, "stop_refused_s": 420, "min_run_s": 900}}}`, load: evening(300, 700)},
	{name: "fuel_map_and_deliveries", days: 8, outageS: 31, // a bent map is read at the mean power of a segment
		sunWM2: []float64{150}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"initial_soc_fraction": 0.3}, "inverter": {"charger_a": 60}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null,
			"fuel_points_kw_l_per_h": [[0, 0.5], [2, 1.0], [4, 1.7], [8, 3.6]], "fuel_store_l": 8,
			"fuel_deliveries": {"on": ["01-03"], "order_below_l": 3, "arrives_after_days": 1.5, "l": 6}}}}`, load: evening(500, 1300)},
	{name: "planned_deliveries", days: 8, outageS: 3, // charged at 60 A, discharged at 9 A
		sunWM2: []float64{150}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"initial_soc_fraction": 0.3}, "inverter": {"charger_a": 60}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null,
			"fuel_store_l": 6, "fuel_deliveries": {"every_days": 3}}}}`, load: evening(500, 1300)},
	{name: "two_sets", days: 5, soc: .002, // charged at 40 A, started while discharged at 4 A
		sunWM2: []float64{150}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"initial_soc_fraction": 0.4}, "inverter": {"charger_a": 40}, "generators": {
			"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": "18-07", "start_below": null, "daily_cap_h": 2, "fuel_store_l": 25, "min_run_s": 900},
			"spare": {"key": "petrol_3kw", "failed_start_fraction": 0, "start_soc_fraction": 0.2, "stop_soc_fraction": 0.4, "lead_order": 2, "max_run_h": 3}}}`, load: evening(500, 1300)},
	{name: "spare_for_a_broken_lead", days: 5, sunWM2: []float64{150}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"initial_soc_fraction": 0.4}, "inverter": {"charger_a": 40}, "generators": {
			"main": {"key": "diesel_8kw", "failed_start_fraction": 1, "no_start_hours": null, "start_below": null, "call_out_h": 30, "lead_order": 2},
			"zwei": {"key": "petrol_3kw", "failed_start_fraction": 0, "start_soc_fraction": 0.2, "stop_soc_fraction": 0.4, "lead_order": 3}}}`, load: evening(500, 1300)},
	{name: "shift_to_the_sun", days: 6, sunWM2: []float64{900, 500, 200, 800}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"operation": "data_linked", "initial_soc_fraction": 0.7}}`, load: evening(150, 500), shiftsOn: byDay,
		shifts: []sim.Shift{{Appliance: "pump", W: 800, MeanFraction: .3}, {Appliance: "fan", W: 150, MeanFraction: .8, DC: true}}},
	{name: "shift_and_shed", days: 6, sunWM2: []float64{700, 250}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"operation": "voltage_only", "initial_soc_fraction": 0.5}, "inverter": {"rated_w": 1200, "short_ratings_w_s": []}}`, load: evening(300, 700), shiftsOn: byDay,
		shifts: []sim.Shift{{Appliance: "pump", W: 700, MeanFraction: .4}}},
	{name: "shift_and_generator", days: 5, sunWM2: []float64{300, 900}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"inverter": {"charger_a": 40}, "bank": {"initial_soc_fraction": 0.4}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null,
			"start_soc_fraction": 0.35, "stop_soc_fraction": 0.8}}}`, load: evening(300, 900), shiftsOn: byDay,
		shifts: []sim.Shift{{Appliance: "pump", W: 900, MeanFraction: .5}}},
	{name: "inverters_in_parallel", days: 5, sunWM2: []float64{600, 200}, meanC: []float64{41}, swingC: []float64{6},
		patch: `{"bank": {"modules": 8, "initial_soc_fraction": 0.45}, "inverter": {"key": "inverter_3kw", "units": 3, "charger_a": 15, "search_below_w": 10, "search_draw_w": 6}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null,
			"start_soc_fraction": 0.35, "stop_soc_fraction": 0.6}}}`,
		load: func(day, hour int) refLoad {
			switch {
			case hour < 6:
				return refLoad{ac: 20}
			case hour == 12:
				return refLoad{ac: 9400}
			case hour == 18:
				return refLoad{ac: 12500}
			}
			return refLoad{ac: 1200}
		}},
	{name: "inverter_rests", days: 3, sunWM2: []float64{700}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"modules": 4, "initial_soc_fraction": 0.9, "module": {"discharge_a": 200}}, "inverter": {"rated_w": 3000, "short_ratings_w_s": [[3500, 5000], [5000, 40]], "short_rest_s": 5400}}`,
		load: func(day, hour int) refLoad {
			switch hour {
			case 8, 10, 13, 15: // the second and the fourth an hour after, the third rested
				return refLoad{ac: 3400}
			}
			return refLoad{ac: 300}
		}},
	{name: "grid_backup", days: 6, sunWM2: []float64{300}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"generators": {"main": null}, "bank": {"initial_soc_fraction": 0.5}, "inverter": {"charger_a": 40}, "grid": {"limit_w": 3000,
			"outages": {"listed": [{"start": "2025-01-02T16:10", "hours": 20}, {"start": "2025-01-04T08:00", "hours": 0.5}, {"start": "2025-01-05T18:00", "hours": 2}]}}}`,
		load: func(_, hour int) refLoad {
			if hour == 19 {
				return refLoad{ac: 3600, dc: 60}
			}
			return refLoad{ac: 700, dc: 60}
		}},
	{name: "grid_self_use", days: 6, sunWM2: []float64{700, 200}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"generators": {"main": null}, "bank": {"initial_soc_fraction": 0.5}, "grid": {"limit_w": 5000, "use": "self_use", "charges_bank": false,
			"outages": {"listed": [{"start": "2025-01-04T01:00", "hours": 16}]}}}`, load: evening(300, 900)},
	{name: "grid_self_use_cold", days: 5, sunWM2: []float64{500}, meanC: []float64{-14}, swingC: []float64{11},
		patch: `{"generators": {"main": null}, "bank": {"initial_soc_fraction": 0.7}, "grid": {"limit_w": 3000, "use": "self_use"}}`, load: evening(150, 500)},
	{name: "grid_and_generator", days: 6, sunWM2: []float64{100}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"bank": {"initial_soc_fraction": 0.8}, "inverter": {"charger_a": 30}, "generators": {"main": {"key": "diesel_8kw", "failed_start_fraction": 0, "no_start_hours": null, "start_below": null,
			"start_soc_fraction": 0.4, "stop_soc_fraction": 0.7}}, "grid": {"limit_w": 4000,
			"outages": {"listed": [{"start": "2025-01-02T10:00", "hours": 33}, {"start": "2025-01-04T12:00", "hours": 20}]}}}`, load: evening(500, 1300)},
	{name: "grid_voltage_only", days: 6, sunWM2: []float64{400}, meanC: []float64{20}, swingC: []float64{4},
		patch: `{"generators": {"main": null}, "bank": {"operation": "voltage_only", "initial_soc_fraction": 0.5}, "grid": {"limit_w": 4000,
			"outages": {"listed": [{"start": "2025-01-02T10:00", "hours": 30}]}}}`, load: evening(400, 1100)},
}
