package advice

import (
	"fmt"
	"slices"
)

// windows holds every voltage that the chargers, the low end and the modules
// work at against the inverter's window, and set-points against the modules'
// trip.
func (f *fit) windows() {
	if f.solo.acts {
		f.chargeWindow("voltage_only_charge_window", "voltage-only charge voltage in the inverter's window", "absorption", "absorb_v", f.solo.set.AbsorbV)
		f.belowTrip("absorb_below_trip", "voltage-only charge voltage below the modules' over-voltage trip", "absorption", "absorb_v", f.solo.set.AbsorbV)
	}
	if f.canLink() {
		f.chargeWindow("data_linked_charge_window", "data-linked charge voltage in the inverter's window", "the voltage that the BMS asks for", "asked_v", f.m.Linked.VoltageV)
		f.belowTrip("asked_below_trip", "data-linked charge voltage below the modules' over-voltage trip", "the voltage that the BMS asks for", "asked_v", f.m.Linked.VoltageV)
	}
	f.tripWindow()
	f.lowEndWindow()
	f.chargersDisagree()
}

func (f *fit) canLink() bool { return f.can("data_linked") }

func (f *fit) can(operation string) bool { return slices.Contains(f.m.Operations, operation) }

func (f *fit) chargeWindow(check, subject, what, name string, v float64) {
	inv := &f.s.Inverter
	verdict, reason := Pass, fmt.Sprintf("%s is %s, within the inverter's %s to %s: %s below its highest.",
		capital(what), volts(v), volts(inv.MinV), volts(inv.MaxV), volts(inv.MaxV-v))
	if v < inv.MinV || v > inv.MaxV {
		verdict, reason = Fail, fmt.Sprintf("%s is %s, outside the inverter's %s to %s: it stops while the bank is charged.",
			capital(what), volts(v), volts(inv.MinV), volts(inv.MaxV))
	}
	f.add(check, subject, verdict, "the inverter's stated window", reason, val(name, v), val("inverter_min_v", inv.MinV), val("inverter_max_v", inv.MaxV))
}

// poorSpreadV is how far the highest cell of a poorly balanced module stands
// above the mean at the top of charge.
const poorSpreadV = 0.10

// belowTrip wants a set-point below the module voltage at which the highest
// cell trips: over_v − cells · spread; and below that of a poorly balanced
// module, else modules trip as they age.
func (f *fit) belowTrip(check, subject, what, name string, v float64) {
	pr, cells := &f.m.Protection, float64(f.m.CellsInSeries)
	trip, poor := f.m.OverVoltageV(), pr.OverV-cells*max(poorSpreadV, pr.OverSpreadV)
	sum := fmt.Sprintf("A module trips at %s once its highest cell stands %s above the mean: %s − %d × %s.",
		volts(trip), volts(pr.OverSpreadV), volts(pr.OverV), f.m.CellsInSeries, volts(pr.OverSpreadV))
	verdict := Pass
	switch {
	case v > trip-1e-6: // products of the stated values are not exact
		verdict = Fail
		sum += fmt.Sprintf(" %s at %s reaches that: the bank trips at the top of every charge.", capital(what), volts(v))
	case v > poor+1e-6:
		verdict = Caution
		sum += fmt.Sprintf(" %s at %s stays %s below, but a module with a spread of %s trips at %s.", capital(what), volts(v), volts(trip-v), volts(poorSpreadV), volts(poor))
	default:
		sum += fmt.Sprintf(" %s at %s stays %s below, and not above the %s at which a poorly balanced module (%s) trips.", capital(what), volts(v), volts(trip-v), volts(poor), volts(poorSpreadV))
	}
	f.add(check, subject, verdict, "the module's stated trip and spread; a poor spread of 0.10 V: "+practice, sum,
		val(name, v), val("trip_v", trip), val("poor_trip_v", poor))
}

// tripWindow wants the modules to protect themselves before the inverter stops
// for over-voltage.
func (f *fit) tripWindow() {
	pr, inv := &f.m.Protection, &f.s.Inverter
	verdict, reason := Pass, fmt.Sprintf("The modules open at %s, %s below the inverter's highest %s: the bank protects itself before the inverter stops.",
		volts(pr.OverV), volts(inv.MaxV-pr.OverV), volts(inv.MaxV))
	if pr.OverV > inv.MaxV {
		verdict, reason = Caution, fmt.Sprintf("The modules open at %s only, above the inverter's highest %s: on over-voltage the inverter stops first.", volts(pr.OverV), volts(inv.MaxV))
	}
	f.add("trip_window", "over-voltage trip in the inverter's window", verdict, "the stated trip and window", reason, val("over_v", pr.OverV), val("inverter_max_v", inv.MaxV))
}

// lowEndWindow wants the load to stop before the modules open, and at a
// voltage that the inverter still works at.
func (f *fit) lowEndWindow() {
	pr, inv, low := &f.m.Protection, &f.s.Inverter, f.low
	values := []Value{val("cut_off_v", low.CutOffV), val("fast_cut_off_v", low.FastCutOffV), val("inverter_min_v", inv.MinV), val("under_v", pr.UnderV)}
	const subject, basis = "low end before the modules' under-voltage trip", "the stated thresholds"
	if f.solo.acts {
		verdict := Pass
		reason := fmt.Sprintf("%sload stops below %s for %s or %s for %s; the inverter works down to %s and the modules open at %s, %s lower.", f.solo.when,
			volts(low.CutOffV), duration(low.CutOffDelayS), volts(low.FastCutOffV), duration(low.FastCutOffDelayS), volts(inv.MinV), volts(pr.UnderV), volts(low.FastCutOffV-pr.UnderV))
		switch {
		case low.CutOffV < inv.MinV || low.CutOffV > inv.MaxV:
			verdict, reason = Fail, fmt.Sprintf("The cut-off of %s lies outside the inverter's %s to %s: it can never act.", volts(low.CutOffV), volts(inv.MinV), volts(inv.MaxV))
		case low.CutOffV <= pr.UnderV:
			verdict, reason = Fail, fmt.Sprintf("The cut-off of %s is not above the %s at which the modules open: the bank protects itself, and may fall asleep, before the load stops.", volts(low.CutOffV), volts(pr.UnderV))
		case low.FastCutOffV <= pr.UnderV:
			verdict, reason = Caution, fmt.Sprintf("The fast cut-off of %s is not above the %s at which the modules open: under heavy load they open first.", volts(low.FastCutOffV), volts(pr.UnderV))
		}
		f.add("voltage_only_low_end", subject+", voltage-only", verdict, basis, reason, values...)
	}
	if f.linked() {
		verdict, reason := Pass, fmt.Sprintf("Data-linked, load stops by reported SoC at %s; should that read high, the inverter stops at %s before the modules open at %s.",
			percent(low.StopSoC), volts(inv.MinV), volts(pr.UnderV))
		if inv.MinV <= pr.UnderV {
			verdict, reason = Caution, fmt.Sprintf("Data-linked, load stops by reported SoC at %s alone: should that read high, nothing stops the load before the modules open at %s, for the inverter works down to %s. Set its own lowest voltage to the %s of the fast cut-off where it lets you.",
				percent(low.StopSoC), volts(pr.UnderV), volts(inv.MinV), volts(low.FastCutOffV))
		}
		f.add("data_linked_low_end", subject+", data-linked", verdict, basis, reason, values...)
	}
}
