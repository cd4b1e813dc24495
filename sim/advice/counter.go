package advice

import (
	"fmt"
	"math"
)

// counter asks whether the counter that reports the state of charge re-sets
// itself to full when the bank is full, and only then.
func (f *fit) counter() {
	c := f.s.Bank.Counter()
	const check, subject = "counter_full", "counter's full values"
	ah := f.m.CapacityAh * f.n
	switch c.Kind {
	case "none":
		reason := "Nothing reports a state of charge: shedding and a generator's start by state of charge never act, only voltages do."
		if f.s.Controls.ShedBelowV == 0 {
			reason += " No voltage sheds flexible load either (controls.shed_below_v): it is served until all load stops."
		}
		f.add(check, subject, Caution, practice, reason)
		return
	case "exact":
		f.add(check, subject, Pass, practice, "The state of charge is taken as known exactly, which no site has: for what-if only.")
		return
	}
	values := []Value{val("full_seen_at_v", c.FullV), val("full_seen_a", c.FullA), val("full_seen_hold_s", c.FullHoldS), val("offset_a", c.OffsetA)}
	if f.linked() {
		f.linkedCounter(c.FullV, c.FullA, values)
	} else {
		f.soloCounter(values)
	}
	if math.Abs(c.AssumedAh/ah-1) > 0.05 {
		f.add("counter_capacity", "counter's capacity", Caution, practice, fmt.Sprintf("The counter is set to %s Ah, the bank has %d × %s Ah = %s Ah: every percent that it shows is wrong by %s.",
			fixed(c.AssumedAh, 1), f.s.Bank.Modules, fixed(f.m.CapacityAh, 1), fixed(ah, 1), percent(math.Abs(1-ah/c.AssumedAh))),
			val("assumed_capacity_ah", c.AssumedAh), val("bank_ah", ah))
	}
}

func (f *fit) linkedCounter(fullV, fullA float64, values []Value) {
	l := &f.m.Linked
	verdict, reason := Pass, fmt.Sprintf("The BMS counts full at %s and at most %s of the bank's current; it asks for %s.", volts(fullV), amps(fullA), volts(l.VoltageV))
	if fullV > l.VoltageV {
		verdict, reason = Fail, fmt.Sprintf("The BMS counts full at %s only, and asks for %s: it never counts full.", volts(fullV), volts(l.VoltageV))
	}
	f.add("counter_full", "counter's full values", verdict, "full values and voltage_v of the module", reason, values...)
}

// fullSoC is the state of charge at rest from which a bank counts as full.
const fullSoC = 0.98

// falseFullSoC is the state of charge at rest below which a counter's full voltage
// is met by a bank that is not full: that of the least right absorption, where that
// leaves the cells short of full for their life.
func (f *fit) falseFullSoC() float64 {
	if f.m.LeadAcid() {
		return acidFullSoC
	}
	absorb, _ := f.m.ChargeBounds()
	return min(fullSoC, chargedSoC(f.m, absorb.Least-slackV))
}

// acidFullSoC is that of lead-acid under the counter's full current: its last tenth
// takes as long as all before.
const acidFullSoC = 0.9

// fullMet is the state of charge at which a counter's full is first met, and in
// words what meets it: at rest at any dawn, or, of lead-acid, whose voltage at rest is
// far below any set-point, in a weak sun.
func (f *fit) fullMet(fullV, fullA float64) (soc float64, name, where, early string) {
	if f.m.LeadAcid() {
		soc = f.s.Bank.AcidSoCAt(fullV, fullA)
		return soc, "met_soc_fraction", "under that current", "values as a counter comes from the factory: with that current from a weak sun this bank has that voltage at %s charge already"
	}
	soc = chargedSoC(f.m, fullV)
	return soc, "rest_soc_fraction", "at rest", "lead-acid values: at rest this bank has that voltage at %s charge, so that any dawn looks full"
}

func (f *fit) soloCounter(values []Value) {
	const check, subject = "counter_full", "counter's full values"
	c, set := f.s.Bank.Counter(), f.s.Bank.Settings
	ah := f.m.CapacityAh * f.n
	met, name, where, early := f.fullMet(c.FullV, c.FullA)
	drift := perDay(c.OffsetA, c.AssumedAh)
	values = append(values, val(name, met), val("drift_per_day_fraction", drift))
	drifts := fmt.Sprintf("Between re-sets an offset of %s moves it by 24 h × %s / %s Ah = %s of capacity a day.", fixed(c.OffsetA, 2)+" A", fixed(math.Abs(c.OffsetA), 2)+" A", fixed(c.AssumedAh, 1), fixed(100*drift, 2)+" %")
	switch {
	case met < f.falseFullSoC():
		f.add(check, subject, Fail, practice, fmt.Sprintf("The counter calls full at %s and %s (%s of capacity), "+early+".",
			volts(c.FullV), amps(c.FullA), percent(c.FullA/ah), percent(met)), values...)
	case c.FullV > set.AbsorbV:
		f.add(check, subject, Fail, practice, fmt.Sprintf("The counter calls full at %s, above absorption at %s: it never re-sets. %s", volts(c.FullV), volts(set.AbsorbV), drifts), values...)
	case c.FullA < set.TailA:
		f.add(check, subject, Caution, practice, fmt.Sprintf("The counter waits for %s, but absorption ends at a tail of %s held for %s: it may never count full. %s", amps(c.FullA), amps(set.TailA), duration(set.TailHoldS), drifts), values...)
	case c.FullHoldS > set.TailHoldS:
		f.add(check, subject, Caution, practice, fmt.Sprintf("The counter wants %s of full, but absorption ends after a tail of %s: it may never count full. %s", duration(c.FullHoldS), duration(set.TailHoldS), drifts), values...)
	default:
		f.add(check, subject, Pass, practice, fmt.Sprintf("The counter calls full at %s (%s: %s charge), below absorption at %s, and at %s, not below the tail of %s: it re-sets when absorption ends. %s",
			volts(c.FullV), where, percent(met), volts(set.AbsorbV), amps(c.FullA), amps(set.TailA), drifts), values...)
	}
}
