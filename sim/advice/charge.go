package advice

import (
	"fmt"
	"math"
)

// source is one charger with the most that it can put on the bus, A.
type source struct {
	name  string
	key   string // of a solar charger
	solar bool
	a     float64
	by    string // what limits it
}

// sources are the chargers that can run: solar chargers by name, and the AC
// charger where there is a generator. A charger's output is the least of its
// rating, the current that it is set to, and what its planes can give at the
// lowest bus voltage (the cut-off).
func (f *fit) sources(setA float64) []source {
	var out []source
	planes := f.s.Array.Planes
	for _, name := range sortedKeys(f.s.Array.Chargers) {
		c, rated := f.s.Array.Chargers[name], 0.0
		for _, plane := range sortedKeys(planes) {
			if planes[plane].Charger == name {
				rated += planes[plane].RatedKW
			}
		}
		x := source{name: "solar charger " + name, key: name, solar: true, a: c.RatedA, by: "its rating"}
		if array := c.OutputW(rated*1000) / f.low.CutOffV; array < x.a {
			x.a, x.by = array, "its planes"
		}
		if setA < x.a {
			x.a, x.by = setA, "its setting"
		}
		out = append(out, x)
	}
	if len(f.s.Generators) > 0 && f.s.Inverter.ChargerA > 0 {
		x := source{name: "AC charger", a: f.s.Inverter.ChargerA, by: "its rating"}
		if setA < x.a {
			x.a, x.by = setA, "its setting"
		}
		out = append(out, x)
	}
	return out
}

// total is what the sources give together, and the sun alone, and the sum in
// words.
func total(sources []source) (all, solar float64, words string) {
	var parts []string
	for _, x := range sources {
		all += x.a
		if x.solar {
			solar += x.a
		}
		parts = append(parts, fmt.Sprintf("%s (%s, %s)", amps(x.a), x.name, x.by))
	}
	words = sum(parts)
	if len(parts) > 1 {
		words += " = " + amps(all)
	}
	return all, solar, words
}

// equalSetting is the one current setting for all chargers at which their sum
// is a limit: Σ min(output, x) = limit. Infinite when their outputs never reach
// it.
func equalSetting(sources []source, limit float64) float64 {
	capped := make([]bool, len(sources))
	for {
		left, open := limit, 0
		for i, x := range sources {
			if capped[i] {
				left -= x.a
			} else {
				open++
			}
		}
		if open == 0 {
			return math.Inf(1)
		}
		each, settled := left/float64(open), true
		for i, x := range sources {
			if !capped[i] && x.a < each {
				capped[i], settled = true, false
			}
		}
		if settled {
			return each
		}
	}
}

// chargeCurrents holds the chargers' sum against what the modules take.
func (f *fit) chargeCurrents() {
	if f.solo.acts {
		f.soloCurrent()
	}
	if f.linked() {
		f.linkedCurrent()
	}
}

func (f *fit) soloCurrent() {
	sources := f.sources(f.solo.set.ChargeA)
	all, solar, words := total(sources)
	limit := f.s.Bank.VoltageOnlyCeilingA()
	worst := all / f.share
	reason := fmt.Sprintf("%seach charger holds back its own output only. Together: %s. The bank is allowed %s: %s × %s / %s for the worst module's share.",
		f.solo.when, words, amps(limit), modules(f.s.Bank.Modules), amps(f.m.VoltageOnlyA), fixed(f.m.WorstShare, 2))
	values := []Value{val("chargers_a", all), val("solar_chargers_a", solar), val("bank_limit_a", limit), val("worst_module_a", worst)}
	verdict := Pass
	switch {
	case len(sources) == 0:
		reason = "There is no charger."
	case all > limit:
		verdict = Caution
		reason += fmt.Sprintf(" The worst module would take %s × %s / %d = %s.", amps(all), fixed(f.m.WorstShare, 2), f.s.Bank.Modules, amps(worst))
		if solar > limit {
			verdict = Fail
			reason += fmt.Sprintf(" The sun alone gives %s, so any bright noon does it.", amps(solar))
		} else {
			reason += " It takes sun and generator at once, and little load."
		}
		if over := f.m.Protection.ChargeOverA; over > 0 && worst > over {
			verdict = Fail
			reason += fmt.Sprintf(" That is above the %s at which a module trips.", amps(over))
		}
		each := equalSetting(sources, limit)
		reason += fmt.Sprintf(" With each charger set to %s the sum stays within.", amps(math.Floor(10*each)/10))
		values = append(values, val("equal_setting_a", each))
	default:
		reason += fmt.Sprintf(" %s to spare.", amps(limit-all))
	}
	f.add("charge_current", "chargers' sum against the bank's voltage-only limit", verdict, "voltage_only_charge_a and worst_share of the module", reason, values...)
}

func (f *fit) linkedCurrent() {
	all, _, words := total(f.sources(math.Inf(1)))
	highest := 0.0
	for _, row := range f.m.Linked.CeilingByC {
		highest = max(highest, row[1])
	}
	limit := highest * f.share
	reason := fmt.Sprintf("Together the chargers can give %s. While linked the BMS asks for at most %s on the bank: %s × %s / %s.",
		words, amps(limit), modules(f.s.Bank.Modules), amps(highest), fixed(f.m.WorstShare, 2))
	if all > limit {
		reason += " The link holds the bank's current there, and what the load takes comes on top."
	} else {
		reason += " At its highest the ceiling never acts."
	}
	f.add("data_linked_charge_current", "chargers' sum against the bank's data-linked ceiling", Pass, "charge_a_by_c and worst_share of the module", reason,
		val("chargers_a", all), val("ceiling_a", limit))
}
