package sim_test

// Where events may be further apart than downtimes are, and why.

// refLater are systems and how far apart their events may be at steps of a minute, s.
// The simulation moves by a second or two with its step, where nothing else is said:
// it is the reference that notices up to a second late.
var refLater = []map[string]float64{
	{ // A second of charge at tens of amperes takes a discharge at a few as many seconds as the currents differ; turn by turn it adds up.
		"absorbs_beside_a_load": 8, "acid_load_corrected": 3, "acid_sealed_generator": 4, "dc_low_end": 5, "deaf_ac_charger": 7, "fuel_map_and_deliveries": 27,
		"grid_and_generator": 8, "grid_self_use": 3, "inverters_in_parallel": 5, "linked_generator": 19, "linked_ladder_top_up": 7, "linked_override": 40,
		"own_counter_generator": 43, "planned_deliveries": 37, "refused_charge": 3, "spare_for_a_broken_lead": 24, "two_sets": 51,
		"voltage_generator": 7, "voltage_generator_load_corrected": 18, "voltage_hysteresis_generator": 4, "voltage_sleep_and_operator": 3, "voltage_sleep_and_sun": 3,
		"voltage_sudden": 7,
	},
	{ // Full voltage and tail current are reached flatly: a few hundredths of an ampere are some seconds.
		"deaf_charger": 3, "discharge_ceiling_cold": 4, "exercise_and_cap": 5, "gateway_fails": 3, "link_all_stop": 3, "link_factory_settings": 10,
		"linked_full_again_by_voltage": 4, "linked_heater": 3, "linked_heater_from_bank": 3, "linked_too_hot": 4, "linked_two_chargers": 3,
		"sensed_near_the_trip": 4, "shift_and_generator": 3, "start_on_load": 3,
	},
	{ // What empties the bank is the modules' own draw, some tenths of an ampere: a second of charge takes minutes.
		"bus_held_at_an_offset": 6, "cascade_over_voltage": 5, "held_by_a_deaf_charger": 5, "linked_call_out": 11, "linked_cold_charge": 72, "return_by_visit": 22,
		"return_next_morning": 15, "voltage_beyond_full_trips": 8, "voltage_lock_out": 42, "voltage_sensor": 3,
	},
	{ // The cells pass their limit as the day's warmth ends.
		"trip_charge_too_hot": 3,
	},
	{ // The simulation finds the tail of several set-points some seconds apart with its step.
		"offsets": 11, "offsets_and_generator": 10, "sensed_by_one": 8,
	},
	{ // A charger's set-point is the very voltage that the BMS calls full, 55.8 V: where the bank's terminals, told from the bus, pass it the simulation finds out only as the segment ends (with full at 55.7 V both agree).
		"sensed_by_ac_charger": 37,
	},
}

// refLaterByHour are those at steps of an hour.
var refLaterByHour = map[string]float64{
	"discharge_ceiling_cold": 820,                            // the ceiling goes with the temperature that an hour's middle will have
	"linked_full":            1050, "voltage_lock_out": 3000, // the modules' own draw
}

// refTied are systems of which some events may be missing, and their times are not
// compared.
var refTied = map[string]int{
	"held_by_a_deaf_ac_charger":         1, // the fuel ends in the second in which the exercise does
	"voltage_one_switch_discharge_cold": 8, // of 3,000 trips a few come, or do not, by a hundredth of an ampere
}

// refLate is how far apart events of a system may be.
func refLate(name string, near within) (s float64) {
	if near.stepS > 60 {
		return refLaterByHour[name]
	}
	for _, list := range refLater {
		s = max(s, list[name])
	}
	return s
}
