package sim_test

import (
	"encoding/json"
	"flag"
	"testing"

	"pgregory.net/rapid"

	"bankyear/sim"
)

// TestMain draws the same random systems every time, unless a seed is given:
// -rapid.seed=0 -rapid.checks=2000 looks for more.
func TestMain(m *testing.M) {
	flag.Parse()
	given := false
	flag.Visit(func(f *flag.Flag) { given = given || f.Name == "rapid.seed" })
	if !given {
		if err := flag.Set("rapid.seed", "1"); err != nil {
			panic(err)
		}
	}
	m.Run()
}

type object = map[string]any

// randomStation draws a merge patch on the base scenario: another bank, array,
// load, enclosure, link, counter, generator and rules, all of them allowed.
func randomStation(t *rapid.T) string {
	pick := func(name string, from ...string) string { return rapid.SampledFrom(from).Draw(t, name) }
	yes := func(name string) bool { return rapid.Bool().Draw(t, name) }
	num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	operation := pick("operation", "data_linked", "voltage_only")
	module := object{
		"disconnect": pick("disconnect", "directional", "one_switch"), "resistance_ohm": num("resistance", .005, .1),
		"bms_draw_w": num("BMS draw", 0, 10), "capacity_ah": num("capacity", 50, 280), "worst_share": num("worst share", 1, 1.3),
		"coulombic_efficiency_fraction": num("coulombic", .97, 1),
	}
	bank := object{
		"module": module, "modules": rapid.IntRange(1, 8).Draw(t, "modules"), "operation": operation,
		"on_link_loss":   pick("on loss", "bank_opens", "all_stop", "charge_stops", "fall_back"),
		"on_link_return": pick("on return", "follow", "next_morning", "until_reset"),
		"link":           object{"gateway": object{"faults": object{"mean_hours_between": num("gateway between", 1000, 20000)}}, "after_loss": pick("after loss", "pushed_kept", "last_hand_set", "factory_lead_acid")},
		"link_faults":    object{"mean_hours_between": num("between", 200, 9000), "mean_repair_h": num("repair", 1, 100), "seed": rapid.IntRange(0, 99).Draw(t, "seed")},
		"enclosure": object{"kind": pick("enclosure", "outdoor", "ventilated_room", "insulated_cupboard", "fixed", "seasonal"),
			"fixed_c": num("air", -15, 45), "heater_w_per_module": num("heater", 0, 80), "heater_from": pick("heater from", "sources", "sources_and_bank")},
		"estimate": object{"kind": pick("counter of a linked bank", "bms", "exact")},
	}
	if operation == "voltage_only" {
		bank["estimate"] = object{"kind": pick("counter", "shunt", "exact", "none")}
		absorb := num("absorb", 55, 57.8)
		bank["settings"] = object{"absorb_v": absorb, "float_v": absorb - num("float below", .5, 3), "restart_charge_v": num("restart", 50, 51.9),
			"tail_a": num("tail", 0, 40), "tail_seen": pick("tail seen", "bank", "own_output"), "charge_a": num("setting", 5, 150),
			"absorb_max_s": num("longest absorption", 60, 20000), "compensation_v_per_c": num("compensation", -.02, 0)}
	}
	generators := any(nil)
	if yes("generator") {
		start, longest := num("start", .1, .4), num("longest run", .5, 12)
		set := object{"start_soc_fraction": start, "stop_soc_fraction": num("stop above", start+.1, 1), "min_run_s": num("minimum run", 0, min(2, longest)) * 3600,
			"max_run_h": longest, "failed_start_fraction": num("failed starts", 0, .3), "cool_down_s": num("cool-down", 0, 600),
			"start_delay_s": num("start delay", 0, 60), "override_when_dark": yes("override"), "stop_tail_a": num("stop tail", 0, 40)}
		if yes("a store of fuel") {
			set["fuel_store_l"] = num("fuel", 1, 500)
		}
		if rapid.IntRange(0, 3).Draw(t, "a rung without the sag") == 0 {
			set["start_below"] = []object{{"v": num("rung", 49, 53), "hold_s": num("rung held", 1, 2000), "load_corrected": true}}
		}
		if !yes("quiet hours") {
			set["no_start_hours"], set["before_no_start"] = nil, nil
		}
		generators = object{"main": set}
	}
	load := object{"scale_to_kwh_per_day": num("load", 1, 30)}
	grid := any(nil)
	if rapid.IntRange(0, 9).Draw(t, "less usual sources and loads") == 0 { // some of them run for long
		grid, generators, load["appliances"] = lessUsual(t, generators)
		if g, ok := grid.(object); ok && bank["estimate"].(object)["kind"] == "none" {
			g["use"] = "backup" // nothing else reports a state of charge
		}
	}
	station := object{
		"bank": bank, "generators": generators, "grid": grid,
		"load":  load,
		"array": object{"planes": object{"roof": object{"rated_kw": num("array", 0, 12)}}, "chargers": object{"south": object{"rated_a": num("charger", 20, 150), "temperature_sensor": yes("sensor")}}},
		"inverter": object{"idle_fraction": num("idle", 0, .02), "charger_a": num("AC charger", 0, 150), "passes_through_without_bank": yes("passes through"),
			"max_v": rapid.SampledFrom([]float64{64, 59}).Draw(t, "highest voltage")},
		"controls": object{"chargers_hold_bus": yes("hold bus"), "housekeeping_w": num("housekeeping", 0, 50), "settle_days": rapid.IntRange(0, 10).Draw(t, "settle"), "remote_view": yes("remote view"), "operator": operator(t),
			"low_end": object{"return_needs_charge": yes("return needs charge"), "lock_out_count": rapid.IntRange(1, 5).Draw(t, "lock-out")}},
	}
	if rapid.IntRange(0, 3).Draw(t, "shed by voltage") == 0 {
		below := num("shed below", 49, 53)
		controls := station["controls"].(object)
		controls["shed_below_v"], controls["shed_below_hold_s"], controls["return_above_v"] = below, num("shed after", 1, 3600), below+num("return", .01, 3)
	}
	if rapid.IntRange(0, 3).Draw(t, "hysteresis") == 0 {
		module["hysteresis"] = object{"width_v": num("width", 0, .1), "turn_fraction": num("turn", .001, .5)}
	}
	if rapid.IntRange(0, 3).Draw(t, "discharge ceiling") == 0 {
		module["data_linked"] = object{
			"discharge_a_by_c":        [][2]float64{{num("cold", -30, -5), num("A in the cold", 0, 10)}, {num("warm", 0, 20), num("A in the warm", 5, 100)}},
			"discharge_factor_by_soc": [][2]float64{{0, num("factor at nothing", 0, .5)}, {num("whole from", .1, .6), 1}},
		}
	}
	raw, err := json.Marshal(station)
	if err != nil {
		panic(err)
	}
	return string(raw)
}

// operator draws who is on site, and one thing that they do not do.
func operator(t *rapid.T) object {
	all := []string{"start_generator", "wake_bank", "reset", "bypass_inverter", "shed_by_hand"}
	return object{"on_site": rapid.SampledFrom([]string{"always", "weekends", "never", "never"}).Draw(t, "on site"),
		"does": rapid.Permutation(all).Draw(t, "does")[:4], "response_h": rapid.Float64Range(0, 5).Draw(t, "response")}
}

// lessUsual draws a grid, more rules of the generator, a second one, and loads that
// start hard or may shift.
func lessUsual(t *rapid.T, generators any) (grid, sets any, appliances object) {
	yes := func(name string) bool { return rapid.Bool().Draw(t, name) }
	num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	if yes("grid") {
		grid = object{"limit_w": num("connection", 500, 8000), "use": rapid.SampledFrom([]string{"backup", "self_use"}).Draw(t, "use"), "charges_bank": yes("grid charges"),
			"outages": object{"mean_hours_between": num("grid between", 50, 2000), "mean_h": num("grid out", 1, 60)}}
	}
	if all, ok := generators.(object); ok {
		main := all["main"].(object)
		main["exercise"] = object{"every_days": num("exercise", 1, 40), "run_s": num("exercise for", 0, 1500)}
		main["daily_cap_h"] = num("cap", .5, 10)
		main["stop_refused_s"] = num("refused", 0, 2000)
		main["start_load_w"] = num("heavy load", 300, 3000)
		if main["fuel_store_l"] != nil {
			main["fuel_deliveries"] = object{"every_days": num("deliveries", 5, 60), "order_below_l": num("order below", 1, 100)}
		}
		if yes("spare") {
			all["spare"] = object{"key": "petrol_3kw", "lead_order": 2, "fuel_points_kw_l_per_h": [][2]float64{{0, .4}, {1.5, 1}, {3, 1.6}}}
		}
	}
	appliances = object{
		"workshop":      object{"inrush_multiple": num("inrush", 1.5, 9), "w": num("workshop", 500, 3000), "starts_per_h": num("starts", .1, 20)},
		"borehole_pump": object{"shifts": true, "hours": "08-17", "duty_fraction": num("pump", .05, 1)},
	}
	return grid, generators, appliances
}

// randomYear runs a random station on the base scenario's weather.
func randomYear(t *rapid.T, tb testing.TB, patches ...string) *sim.Year {
	station := randomStation(t)
	t.Log(station)
	return plan(tb, append([]string{station}, patches...)...).Run(true)
}
