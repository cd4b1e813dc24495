package advice

import (
	"fmt"
	"math"
)

const theInverter = "inverter"

// lowEnd are the rows of where discharge stops and comes back.
func (x *sheet) lowEnd() {
	low, owner := x.low, x.silent()
	cut, fast, back := x.m.LowEndV()
	deep := fmt.Sprintf("Higher: dark with charge left; LFP holds its voltage until late, so a little higher is much. Lower: draws that go on bring the bank to the %s where modules open, and asleep.", volts(x.m.Protection.UnderV))
	sharp := fmt.Sprintf("Higher: starts of motors end in the dark. Below %s: the modules open first, and under-voltage trips can put them to sleep.", volts(x.m.Protection.UnderV))
	late := "Longer: the modules open first."
	if x.m.LeadAcid() {
		deep = "Higher: dark with charge left. Lower: deep discharges, which wear it out within a few years."
		sharp, late = "Higher: starts of motors end in the dark. Lower: nothing else stops a discharge.", "Longer: the inverter's own lowest voltage stops it."
	}
	x.row(theInverter, "low cut-off", low.CutOffV, "V", owner, given(x.cellRule(cut)+fmt.Sprintf("; leaves %s at rest", percent(restSoC(x.m, cut))), volts(low.CutOffV), volts(cut)), deep)
	delay, unit := timed(low.CutOffDelayS)
	x.row(theInverter, "low cut-off after", delay, unit, owner, practice, "Shorter: a starting motor is taken for an empty bank. Longer: the bank goes deeper than meant.")
	x.row(theInverter, "fast low cut-off", low.FastCutOffV, "V", owner, given(x.cellRule(fast), volts(low.FastCutOffV), volts(fast)), sharp)
	delay, unit = timed(low.FastCutOffDelayS)
	x.row(theInverter, "fast low cut-off after", delay, unit, owner, practice, late)
	when := ""
	if x.linked() {
		when = "; while linked it holds after a stop by voltage"
	}
	x.row(theInverter, "load returns above", low.ReturnV, "V", Installer, given(x.cellRule(back), volts(low.ReturnV), volts(back))+when,
		fmt.Sprintf("Lower: the voltage that recovers without load switches it on again, over and over; %d cut-offs within %s lock it out until a visit. Higher: dark longer than needed.", low.LockOutCount, duration(low.LockOutS)))
	if x.linked() {
		left := restSoC(x.m, low.CutOffV)
		rule := "leaves about the reserve that the low cut-off leaves, " + practice
		if math.Abs(left-low.StopSoC) > fairPart {
			rule = "as given or by default; the low cut-off leaves " + percent(left)
		}
		x.row(theInverter, "load stops at reported SoC", tenths(100*low.StopSoC), "%", WhileLinked, rule,
			"Lower: a counter that reads high lets the modules open first. Higher: dark with charge left.")
		x.row(theInverter, "load returns at reported SoC", tenths(100*low.ResumeSoC), "%", WhileLinked, practice,
			"Too near the stop: on and off at every cloud. Higher: dark longer than needed.")
	}
}

// counterRows are the rows of what reports the state of charge.
func (x *sheet) counterRows() {
	c := x.s.Bank.Counter()
	switch c.Kind {
	case "none", "exact":
		word := map[string]string{"none": "none: voltages decide", "exact": "exact, for what-if only"}
		x.row("counter", "reported SoC", word[c.Kind], "", Installer, "as given", "Rules by state of charge need a counter.")
		return
	}
	device, owner, rule := "shunt counter", Installer, practice
	full, current, held, wide := x.fullWrong()
	if c.Kind == "bms" {
		device, owner, rule = "BMS counter", Pushed, "full values of the module"
		own := "Nothing to program: a BMS that does not meet it drifts by its gain and its dead band until it does."
		full, current, held = own, own, own
	}
	capacity := fmt.Sprintf("%s × %s Ah", modules(x.s.Bank.Modules), fixed(x.m.CapacityAh, 1))
	x.row(device, "capacity", tenths(c.AssumedAh), "Ah", owner, given(capacity, fixed(c.AssumedAh, 1)+" Ah", fixed(x.n*x.m.CapacityAh, 1)+" Ah"),
		"Every percent is wrong in proportion: set too high, it shows charge that is not there.")
	x.row(device, "full at", c.FullV, "V", owner, rule, full)
	x.row(device, "full at a current of at most", tenths(c.FullA), "A", owner, rule, current)
	hold, unit := timed(c.FullHoldS)
	x.row(device, "full held for", hold, unit, owner, rule, held)
	if c.Kind != "bms" {
		x.row(device, "charge efficiency", tenths(100*c.AssumedFraction), "%", owner, practice, wide)
	}
}

// fullWrong says what happens when the values of a counter that an installer
// programs are wrong: its full voltage, current and hold, and its efficiency.
func (x *sheet) fullWrong() (full, current, held, efficiency string) {
	full = "Too low: full is called early, and the reported state of charge is too high from then on. Above absorption: it never re-sets, and drifts."
	if x.m.Chemistry == "lfp" {
		classic := 3.3 * float64(x.m.CellsInSeries)
		full = fmt.Sprintf("Left on lead-acid values (%s and 4 %% of capacity) it calls full at any dawn: at rest this bank has that voltage at %s charge. Above absorption: it never re-sets, and drifts.",
			volts(classic), percent(chargedSoC(x.m, classic)))
	}
	return full, "Below the tail current: absorption ends first, and it never re-sets. Much above: full is called early.",
		"Longer than the tail is held: it never re-sets.",
		"Lower, as for lead-acid: it reads low a little more each day, until the next re-set."
}
