package advice

import (
	"fmt"
	"math"
)

// disagreeFraction is the part of the set-point by which chargers may disagree, or a
// cable hold the bank below it, before charging suffers (common practice, no source).
const disagreeFraction = 0.01

// chargersDisagree holds what the chargers make of their set-point against the trip: the
// highest of their offsets carries the taper. A bank that no charger senses stands below
// it in bulk by the drop I·R_cable of the most that they give; one that is sensed raises
// the bus by it. There is no finding where they hold what they are set to.
func (f *fit) chargersDisagree() {
	high, low, sensed := math.Inf(-1), math.Inf(1), false
	note := func(offsetV float64, atBank bool) {
		high, low, sensed = max(high, offsetV), min(low, offsetV), sensed || atBank
	}
	for _, name := range sortedKeys(f.s.Array.Chargers) {
		c := f.s.Array.Chargers[name]
		note(c.SetOffsetV, c.SensesAtBank())
	}
	inv := &f.s.Inverter
	if inv.ChargerA > 0 && (len(f.s.Generators) > 0 || f.s.Grid != nil) {
		note(inv.ChargerSetOffsetV, inv.ChargerSensesAtBank())
	}
	what, set, most := f.pushedMost()
	drop, much := most*f.s.Bank.CableOhm, disagreeFraction*set
	if high < low || high == 0 && low == 0 && !sensed && drop <= much {
		return
	}
	held, trip := set+high, f.m.OverVoltageV()
	poor := f.m.Protection.OverV - float64(f.m.CellsInSeries)*max(poorSpreadV, f.m.Protection.OverSpreadV)
	verdict, reason := Pass, fmt.Sprintf("The chargers hold %s of %s at %s to %s; the highest carries the taper.", what, volts(set), volts(set+low), volts(held))
	raise := func(to Verdict, words string) {
		if to.rank() > verdict.rank() {
			verdict = to
		}
		reason += " " + words
	}
	switch {
	case held > trip-1e-6: // products of the stated values are not exact
		raise(Fail, fmt.Sprintf("It reaches the %s at which a module trips.", volts(trip)))
	case held > poor+1e-6:
		raise(Caution, fmt.Sprintf("It stands above the %s at which a poorly balanced module trips.", volts(poor)))
	}
	if high-low > much {
		raise(Caution, fmt.Sprintf("They disagree by %s: the lowest leaves the end of the charge to the others.", volts(high-low)))
	}
	switch bus := held + drop; {
	case sensed && bus > inv.MaxV:
		raise(Fail, fmt.Sprintf("With the drop of %s in the cable at %s made up the bus rises to %s, above the inverter's highest %s.", volts(drop), amps(most), volts(bus), volts(inv.MaxV)))
	case sensed:
		raise(Pass, fmt.Sprintf("The drop of %s in the cable at %s is made up: the bus rises to %s.", volts(drop), amps(most), volts(bus)))
	case drop > much:
		raise(Caution, fmt.Sprintf("No charger senses at the bank: it stands %s lower behind the cable at %s, and the taper begins early. Sense wires or a thicker cable mend that; a higher set-point stands nearer to the trip once the current falls.", volts(drop), amps(most)))
	}
	f.add("set_points_held", "voltage that the chargers hold against the one that they are set to", verdict, "stated offsets, cable, trip and window; one per cent: "+practice, reason,
		val("held_v", held), val("lowest_held_v", set+low), val("cable_drop_v", drop), val("trip_v", trip), val("poor_trip_v", poor))
}

// pushedMost is the highest set-point that the chargers work by, and the most that they
// push into the bank at it, A.
func (f *fit) pushedMost() (what string, setV, amperes float64) {
	if set := &f.solo.set; f.solo.acts && (!f.linked() || set.AbsorbV > f.m.Linked.VoltageV) {
		all, _, _ := total(f.sources(set.ChargeA))
		return "absorption", set.AbsorbV, all
	}
	all, _, _ := total(f.sources(math.Inf(1)))
	ceiling := 0.
	for _, row := range f.m.Linked.CeilingByC {
		ceiling = max(ceiling, row[1]*f.share)
	}
	return "the voltage that the BMS asks for", f.m.Linked.VoltageV, min(all, ceiling)
}
