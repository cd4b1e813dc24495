package advice

import "fmt"

// shedding says at what state of charge the voltages act at which flexible load goes
// and comes back, and whether they can.
func (f *fit) shedding() {
	c := &f.s.Controls
	if c.ShedBelowV == 0 {
		return
	}
	inv := &f.s.Inverter
	drawW := inv.DCPowerW(inv.RatedW / 4)
	rest, loaded, back := restSoC(f.m, c.ShedBelowV), f.loadedSoC(c.ShedBelowV, drawW), chargedSoC(f.m, c.ReturnAboveV)
	highest := f.solo.set.AbsorbV
	if f.linked() {
		highest = f.m.Linked.VoltageV
	}
	verdict := Pass
	reason := fmt.Sprintf("Flexible load is shed below %s for %s: at rest the bank is there at %s charge, under a quarter of the inverter's rating at %s. It returns above %s, at rest %s.",
		volts(c.ShedBelowV), duration(c.ShedBelowHoldS), percent(rest), percent(loaded), volts(c.ReturnAboveV), percent(back))
	switch {
	case c.ReturnAboveV >= highest:
		verdict = Fail
		reason += fmt.Sprintf(" The chargers hold the bus at %s at most: it never comes back.", volts(highest))
	case !f.linked() && (c.ShedBelowV < f.low.CutOffV || c.ShedBelowV == f.low.CutOffV && c.ShedBelowHoldS >= f.low.CutOffDelayS):
		verdict = Caution
		reason += fmt.Sprintf(" All load stops before it (%s for %s).", volts(f.low.CutOffV), duration(f.low.CutOffDelayS))
	}
	f.add("shedding_voltage", "voltages at which flexible load goes and comes back", verdict, "open-circuit voltage of the cells at 25 °C; "+practice, reason,
		val("shed_below_v", c.ShedBelowV), val("shed_rest_soc_fraction", rest), val("shed_loaded_soc_fraction", loaded),
		val("return_above_v", c.ReturnAboveV), val("return_rest_soc_fraction", back), val("highest_charge_v", highest))
}

// shedding are the rows of what flexible load goes by.
func (x *sheet) shedding() {
	const device, given = "load control", "as given"
	c := &x.s.Controls
	if x.s.Bank.Counter().Kind != "none" {
		x.row(device, "flexible load off at reported SoC", tenths(100*c.ShedSoC), "%", Installer, practice, "Lower: essential load goes dark for flexible load. Higher: flexible load goes without while there is charge.")
		x.row(device, "flexible load back at reported SoC", tenths(100*c.ReturnSoC), "%", Installer, practice, "Too near the other: it is switched on and off all day.")
	}
	if c.ShedBelowV == 0 {
		return
	}
	x.row(device, "flexible load off below", c.ShedBelowV, "V", Installer, fmt.Sprintf("%s; at rest the bank is there at %s charge", given, percent(restSoC(x.m, c.ShedBelowV))),
		"Higher: the sag under load sheds with the bank half full. Lower: all load stops first.")
	hold, unit := timed(c.ShedBelowHoldS)
	x.row(device, "flexible load off after", hold, unit, Installer, given, "Shorter: the sag of a starting motor sheds it.")
	x.row(device, "flexible load back above", c.ReturnAboveV, "V", Installer, given, "Too near the other: what is shed lets the voltage recover, and it is switched on and off. Above the charge voltage: it never comes back.")
}
