package advice

import (
	"fmt"
	"strings"
)

// operation checks what the maker allows, and what a data link needs.
func (f *fit) operation() {
	f.parallel()
	f.operationPossible()
	f.linkSpoken()
	f.linkLoss()
}

func (f *fit) parallel() {
	limit := f.m.ParallelLimit
	verdict, reason := Pass, fmt.Sprintf("%s in parallel; the maker allows %d.", modules(f.s.Bank.Modules), limit)
	if f.s.Bank.Modules > limit {
		verdict, reason = Fail, fmt.Sprintf("%s in parallel are more than the %d that the maker allows.", modules(f.s.Bank.Modules), limit)
	}
	f.add("parallel_limit", "modules in parallel", verdict, "the module's parallel_limit", reason,
		val("modules", f.n), val("parallel_limit", float64(limit)))
}

// spoken are the operations in words.
var spoken = map[string]string{"data_linked": "data-linked", "voltage_only": "voltage-only"}

func (f *fit) operationPossible() {
	var can []string
	for _, o := range f.m.Operations {
		can = append(can, spoken[o])
	}
	is := f.s.Bank.Operation
	verdict, reason := Pass, fmt.Sprintf("The bank works %s; the module can work %s.", spoken[is], list(can))
	switch {
	case !f.can(is):
		verdict, reason = Fail, fmt.Sprintf("The bank is to work %s; the module can work %s only.", spoken[is], list(can))
	case f.linked() && f.solo.acts && !f.can("voltage_only"):
		verdict, reason = Fail, "The module can work data-linked only, but after a link loss the chargers fall back to voltage-only work, which its maker does not allow. Let a lost link stop charging instead."
	}
	f.add("operation_possible", "operation that the module allows", verdict, "the module's operations_possible", reason)
}

// linkSpoken cannot be told from the system: it has no member for what the two
// ends speak.
func (f *fit) linkSpoken() {
	const check, subject = "link_spoken", "link spoken by both ends"
	if !f.linked() {
		f.add(check, subject, Pass, practice, "Voltage-only: nothing depends on a link.")
		return
	}
	ends, deaf := f.ends()
	if len(deaf) > 0 {
		f.add("link_reach", "chargers that the link reaches", Caution, practice, fmt.Sprintf("The link does not reach %s: voltage-only beside %s, on the installer's settings, at every temperature. The BMS's ceiling and its full hold back the others only, and the cells' windows are kept by the disconnect. What these push beyond the ceiling is counted in the year.",
			list(deaf), list(ends)))
	}
	if doc := f.s.Bank.Link.Confirmed; doc != "" {
		f.add(check, subject, Pass, practice, "Stated: "+doc+". It should name both ends' models and firmware, and say that the limits reach "+list(ends)+".")
		return
	}
	f.add(check, subject, Caution, practice, "Not stated that both ends speak the same link. Ask both makers for a document that names the other's model and firmware, and confirm that the limits reach "+
		list(ends)+": one that does not hear them works voltage-only beside the others.")
}

// ends are what the link reaches, and the chargers that it does not reach.
func (f *fit) ends() (reached, deaf []string) {
	for _, name := range sortedKeys(f.s.Array.Chargers) {
		if c := f.s.Array.Chargers[name]; c.Hears() {
			reached = append(reached, "solar charger "+name)
		} else {
			deaf = append(deaf, "solar charger "+name)
		}
	}
	if len(f.s.Generators) > 0 {
		if f.s.Inverter.ChargerHears() {
			reached = append(reached, "the AC charger")
		} else {
			deaf = append(deaf, "the AC charger")
		}
	}
	return append(reached, "the inverter"), deaf
}

func (f *fit) linkLoss() {
	if !f.linked() {
		return
	}
	verdict := Caution
	if f.s.Bank.OnLinkLoss == "fall_back" && f.s.Bank.Link.AfterLoss == "last_hand_set" && f.s.Bank.OnLinkReturn == "follow" {
		verdict = Pass
	}
	f.add("link_loss", "what happens when the link is lost", verdict, practice, strings.Join(consequences(f), " "),
		val("timeout_s", f.s.Bank.Link.TimeoutS))
}

// consequences says what a lost link means for a data-linked bank.
func consequences(f *fit) []string {
	out := outcome(f)
	switch f.s.Bank.OnLinkReturn {
	case "next_morning":
		out = append(out, "A link that is back is followed again only with the next sun after a night.")
	case "until_reset":
		out = append(out, "It stays so when the link is back, until somebody resets it: on site, or from elsewhere where it is seen from afar; else nobody does before the site is dark.")
	}
	return out
}

// outcome says what bank and chargers do once the link is lost.
func outcome(f *fit) []string {
	b := &f.s.Bank
	after := "After " + duration(b.Link.TimeoutS) + " of silence "
	switch b.OnLinkLoss {
	case "bank_opens":
		return []string{after + "the bank leaves the bus: the site is dark until the link is back, however full the bank is."}
	case "all_stop":
		return []string{after + "inverter and chargers stop: the site is dark until the link is back, however full the bank is."}
	case "charge_stops":
		return []string{after + "nothing charges the bank any more: the load is carried until the bank is empty, and the next night or the one after it is dark."}
	}
	lost := []string{after + "the chargers fall back to voltage-only work.", "Nothing tells them the cells' temperature any more."}
	set, trip := &f.solo.set, f.m.OverVoltageV()
	switch b.Link.AfterLoss {
	case "pushed_kept":
		lost = append(lost, fmt.Sprintf("They keep the %s that the BMS asked for last, each at up to its own rating: nothing holds their sum to the bank's ceiling.", volts(set.AbsorbV)))
	case "factory_lead_acid":
		lost = append(lost, fmt.Sprintf("They go back to the factory's lead-acid values: absorption %s, float %s and %s mV/K, which is %s at 0 °C; the highest cell trips at %s.",
			volts(set.AbsorbV), volts(set.FloatV), fixed(1000*set.CompensationV, 0), volts(setPointV(set, set.AbsorbV, 0)), volts(trip)))
	default:
		lost = append(lost, fmt.Sprintf("They hold what the installer set: absorption %s, float %s, at most %s each.", volts(set.AbsorbV), volts(set.FloatV), amps(set.ChargeA)))
	}
	return lost
}
