package advice

import (
	"fmt"
	"math"

	"bankyear/sim/bank"
)

// fairPart is how far the reserves of the two operations may lie apart, as a
// part of capacity, before a comparison of them compares the low ends instead.
const fairPart = 0.02

// reserves says what each low end leaves in the bank, and how long that lasts.
func (f *fit) reserves() {
	f.lowCutOff()
	f.reserve()
	f.afterCutOff()
}

// A low cut-off is wrong that leaves less than this part of what the rule's leaves at
// rest, or so many points more: common practice, no source.
const cutOffLeast, cutOffMost = 0.5, 0.10

// lowCutOff holds the inverter's low cut-off against that of the cells: kept from
// lead-acid it is too low for lithium cells, and sometimes set far too high. The
// caller's own table has no rule.
func (f *fit) lowCutOff() {
	if !f.solo.acts || f.m.Chemistry == "table" {
		return
	}
	const check, subject = "low_cut_off", "low cut-off for these cells"
	rule, _, _ := f.m.LowEndV()
	cells := f.m.CellsInSeries
	v := f.low.CutOffV
	left, byRule := restSoC(f.m, v), restSoC(f.m, rule)
	is := fmt.Sprintf("%sthe low cut-off is %s, %s V a cell", f.solo.when, volts(v), cellVolts(v/float64(cells)))
	usual := fmt.Sprintf(" %s (%d × %s V) is usual, and leaves %s.", volts(rule), cells, fixed(rule/float64(cells), 3), percent(byRule))
	verdict, reason := Pass, is+fmt.Sprintf(": at rest %s is left.", percent(left))
	switch {
	case left < cutOffLeast*byRule:
		verdict, reason = Caution, is+fmt.Sprintf(", as for lead-acid: at rest %s is left. What goes on drawing then soon takes the modules to the %s at which they open, and to sleep.", percent(left), volts(f.m.Protection.UnderV))+usual
	case left > byRule+cutOffMost:
		verdict, reason = Caution, is+fmt.Sprintf(": the load stops with %s at rest still in the bank, and with more under load or in the cold.", percent(left))+usual
	}
	f.add(check, subject, verdict, practice, reason, val("cut_off_v", v), val("rule_v", rule), val("left_at_rest_fraction", left))
}

func (f *fit) reserve() {
	low, inv := f.low, &f.s.Inverter
	ah := f.m.CapacityAh * f.n
	rest := restSoC(f.m, low.CutOffV)
	drawW := inv.DCPowerW(inv.RatedW / 4)
	loaded := f.loadedSoC(low.CutOffV, drawW)
	values := []Value{val("voltage_only_reserve_fraction", rest), val("voltage_only_reserve_ah", rest*ah),
		val("voltage_only_loaded_reserve_fraction", loaded), val("data_linked_reserve_fraction", low.StopSoC), val("data_linked_reserve_ah", low.StopSoC*ah)}
	reason := fmt.Sprintf("Voltage-only, the load stops at %s: at rest %s is left (%s Ah of %s Ah), under a quarter of the inverter's rating %s. Data-linked, it stops at a reported %s (%s Ah).",
		volts(low.CutOffV), percent(rest), fixed(rest*ah, 1), fixed(ah, 1), percent(loaded), percent(low.StopSoC), fixed(low.StopSoC*ah, 1))
	verdict := Pass
	switch apart := rest - low.StopSoC; {
	case !f.can("data_linked") || !f.can("voltage_only"):
		reason += " The module works in one of them only."
	case math.Abs(apart) <= fairPart:
		reason += fmt.Sprintf(" %s apart: a comparison of the two is fair.", inPoints(math.Abs(apart)))
	case apart > 0:
		verdict = Caution
		reason += fmt.Sprintf(" Voltage-only keeps %s more back: in a comparison it goes dark earlier for that reason alone.", inPoints(apart))
	default:
		verdict = Caution
		reason += fmt.Sprintf(" Data-linked keeps %s more back: in a comparison it goes dark earlier for that reason alone.", inPoints(-apart))
	}
	if f.air.known {
		if locked := 1 - bank.At(f.m.CapacityByC, f.air.lowC); locked > max(rest, low.StopSoC) {
			reason += fmt.Sprintf(" Cells as cold as %s give up %s of their charge only when they are warmer, and both stop there.", celsius(f.air.lowC), percent(locked))
			values = append(values, val("cold_locked_fraction", locked))
		}
	}
	f.add("reserve", "reserve left by each low end", verdict, "open-circuit voltage of the cells; a quarter of the rating is chosen here", reason, values...)
}

// afterCutOff asks how long what goes on drawing after the load has stopped
// takes until the modules open: energy between the two voltages at rest, over
// the draws.
func (f *fit) afterCutOff() {
	c, pr := &f.s.Controls, &f.m.Protection
	from := restSoC(f.m, f.low.CutOffV)
	if f.linked() {
		from = f.low.StopSoC
	}
	to := restSoC(f.m, pr.UnderV)
	night := 0.0
	for _, name := range sortedKeys(f.s.Array.Chargers) {
		night += f.s.Array.Chargers[name].NightDrawW
	}
	bms := f.m.BMSDrawW * f.n
	gateway, itsDraw := 0.0, ""
	if f.linked() && f.s.Bank.Link.Gateway.DrawW > 0 {
		gateway = f.s.Bank.Link.Gateway.DrawW
		itsDraw = watts(gateway) + " the link's gateway, "
	}
	draw := c.HousekeepingW + gateway + f.s.Inverter.OffDrawW + night + bms
	wh := 0.0
	if from > to {
		wh = storedWh(f.m, f.m.CapacityAh*f.n, to, from)
	}
	const check, subject, basis = "draw_after_cut_off", "draw that goes on after the load has stopped", "stated draws; open-circuit voltage of the cells"
	values := []Value{val("draw_w", draw), val("left_wh", wh)}
	if draw == 0 {
		f.add(check, subject, Pass, basis, "Nothing draws after the load has stopped.", values...)
		return
	}
	hours := wh / draw
	values = append(values, val("until_modules_open_h", hours), val("visit_response_h", c.VisitResponseH))
	reason := fmt.Sprintf("After the load has stopped %s go on drawing: %s housekeeping, %s%s the inverter, %s the chargers at night, %s the BMS. From %s charge to the %s at %s where the modules open there are %s Wh: %s without sun.",
		watts(draw), watts(c.HousekeepingW), itsDraw, watts(f.s.Inverter.OffDrawW), watts(night), watts(bms), percent(from), percent(to), volts(pr.UnderV), fixed(wh, 0), duration(hours*3600))
	verdict := Pass
	if hours < c.VisitResponseH {
		verdict = Caution
		reason += fmt.Sprintf(" Somebody from elsewhere needs %s: by then the modules have opened, and sleep when nothing wakes them.", duration(c.VisitResponseH*3600))
	}
	f.add(check, subject, verdict, basis, reason, values...)
}
