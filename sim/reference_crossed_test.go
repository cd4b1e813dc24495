package sim_test

import (
	"slices"
	"testing"
)

// refCrossed are pairs of the other systems, the second's members over the first's, in
// the weather of a third and with the load of a fourth: automata that no single system
// brings together.
var refCrossed = [][4]string{
	{"link_all_stop", "held_by_a_deaf_charger", "held_by_a_deaf_charger", "chain_stays"},
	{"exercise_that_goes_on", "bypass_all_stop", "shift_and_generator", "linked_override"},
	{"deaf_charger", "link_all_stop", "voltage_one_switch_discharge_cold", "deaf_and_lost"},
	{"held_over_a_full_bank", "deaf_and_lost", "held_over_an_empty_bank", "return_by_operator"},
	{"own_counter_generator", "aged_linked", "voltage_one_switch_cold", "spare_for_a_broken_lead"},
}

// crossed is one of these as a case of its own.
func crossed(t *testing.T, names [4]string) (c refCase, over string) {
	var of [4]refCase
	for k, name := range names {
		all := slices.Concat(refCases, refSources, refHysteresis, refDisagree)
		i := slices.IndexFunc(all, func(c refCase) bool { return c.name == name })
		if i < 0 {
			t.Fatalf("no system %q", name)
		}
		of[k] = all[i]
	}
	c = of[0]
	c.days, c.sunWM2, c.meanC, c.swingC, c.load = 4, of[2].sunWM2, of[2].meanC, of[2].swingC, of[3].load
	return c, of[1].patch
}

// The same of systems crossed with each other.
func TestReference_Crossed(t *testing.T) {
	for _, names := range refCrossed {
		c, over := crossed(t, names)
		t.Run(names[0]+"+"+names[1], func(t *testing.T) {
			t.Parallel()
			c.compare(t, over)
		})
	}
}
