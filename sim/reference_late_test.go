package sim_test

// Where events may be further apart than downtimes are, and why.

// refLater are systems and how far apart their events may be at steps of a minute, s.
// Where nothing else is said the simulation moves by no more than a second or two with
// its step: it is the reference that notices by up to half a second early or late.
var refLater = []map[string]float64{
	{ // Half a second of charge at tens of amperes takes a discharge at a few many seconds; turn by turn it adds up.
		"absorbs_beside_a_load": 3, "acid_load_corrected": 3, "deaf_ac_charger": 3, "discharge_ceiling_low": 3, "fuel_map_and_deliveries": 31, "linked_generator": 7, "linked_override": 9,
		"own_counter_generator": 23, "planned_deliveries": 17, "spare_for_a_broken_lead": 4, "two_sets": 20, "voltage_generator": 4,
		"voltage_hysteresis_generator": 5, "voltage_sleep_and_operator": 4,
	},
	{ // A ten-thousandth of the charge, by the temperature that a step's middle will have: the simulation moves as far with its step.
		"voltage_generator_load_corrected": 23, "voltage_sudden": 18,
	},
	{ // Full voltage and tail current are reached flatly: a few hundredths of an ampere are some seconds.
		"deaf_charger": 3, "discharge_ceiling_cold": 3, "exercise_that_goes_on": 3, "link_factory_settings": 5, "linked_full_again_by_voltage": 3, "linked_too_hot": 4, "sensed_near_the_trip": 3,
	},
	{ // What empties the bank is the modules' own draw, some tenths of an ampere: half a second of charge takes a minute.
		"bus_held_at_an_offset": 5, "cascade_over_voltage": 6, "held_by_a_deaf_charger": 6, "linked_call_out": 6, "linked_cold_charge": 46, "return_by_visit": 11,
		"return_next_morning": 4, "voltage_beyond_full_trips": 4, "voltage_lock_out": 41, "voltage_sensor": 4,
	},
	{ // The cells pass their limit as the day's warmth ends.
		"trip_charge_too_hot": 3,
	},
	{ // The simulation finds the tail of several set-points some seconds apart with its step.
		"offsets": 10, "offsets_and_generator": 8, "sensed_by_one": 8,
	},
	{ // A charger's set-point is the very voltage that the BMS calls full, 55.8 V: where the bank's terminals, told from the bus, pass it the simulation finds out only as the segment ends (with full at 55.7 V both agree).
		"sensed_by_ac_charger": 33,
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
