package advice

import (
	"fmt"

	"bankyear/sim/genset"
)

// generatorRows are the rows of what starts and stops each set.
func (x *sheet) generatorRows() {
	for _, name := range sortedKeys(x.s.Generators) {
		g := x.set(name)
		x.startRows("generator "+name, &g)
		x.runRows("generator "+name, &g)
	}
}

// set is a set by what starts and stops it: without the rules by a state of charge where
// nothing reports one.
func (x *sheet) set(name string) genset.Spec {
	g := x.s.Generators[name]
	if x.s.Bank.Counter().Kind == "none" {
		g.StartSoCFraction, g.StopSoCFraction, g.TopUp = 0, 0, nil
	}
	return g
}

func (x *sheet) startRows(device string, g *genset.Spec) {
	const given = "as given or from the catalogue"
	if g.StartSoCFraction > 0 {
		x.row(device, "start at reported SoC", tenths(100*g.StartSoCFraction), "%", Installer, given, "Lower: a failed start or a counter that reads high leaves no time. Higher: it runs when the sun would have come in time.")
	}
	for i, rung := range g.StartBelow {
		n := fmt.Sprint(i + 1)
		x.row(device, "start voltage "+n, rung.V, "V", Installer, fmt.Sprintf("%s; at rest the bank is there at %s charge", given, percent(restSoC(x.m, rung.V))),
			"Higher: on the flat plateau a tenth of a volt is many percent, and it starts with a half-full bank. Lower: the load stops first.")
		if rung.LoadCorrected {
			x.row(device, "start voltage "+n+" without the load's sag", "on", "", Installer, fmt.Sprintf("%s; resistance %s mΩ: %s × %s mΩ and the cable", given, fixed(1000*x.s.Bank.NominalOhm(), 2), "1/"+fixed(x.n, 0), fixed(1000*x.m.ResistanceOhm, 1)),
				"Off: it starts under load with charge to spare. A resistance set too high: it starts late under load, or never.")
		}
		hold, unit := timed(rung.HoldS)
		x.row(device, "start voltage "+n+" for", hold, unit, Installer, given, "Shorter: the sag of a starting motor starts it.")
	}
	if g.NoStartHours != "" {
		x.row(device, "may not start", g.NoStartHours, "", Installer, given, "Longer: nights go dark for quiet. A run before them tops the bank up.")
	}
	if t := g.TopUp; t != nil {
		x.row(device, "top up at", t.At, "", Installer, given, "Later than the first hour in which it may not start: it never runs.")
		x.row(device, "top up if reported SoC is below", tenths(100*t.IfSoCBelow), "%", Installer, given, "Lower: nights go dark. Higher: it runs on most evenings.")
		x.row(device, "top up to reported SoC", tenths(100*t.RunToSoCFraction), "%", Installer, given, "Higher: it takes charge that tomorrow's sun would give.")
	}
}

func (x *sheet) runRows(device string, g *genset.Spec) {
	const given = "as given or from the catalogue"
	if g.StopSoCFraction > 0 {
		x.row(device, "stop at reported SoC", tenths(100*g.StopSoCFraction), "%", Installer, given, "Higher: it idles through the taper, and a counter that reads low may never get there. Lower: it starts more often.")
	}
	if g.StopTailA > 0 {
		x.row(device, "stop at a bank current of", tenths(g.StopTailA), "A", Installer, given, "Lower: it runs lightly loaded for long. Higher: it stops at any limit of charge.")
	}
	least, unit := timed(g.MinRunS)
	x.row(device, "run at least", least, unit, Installer, given, "Shorter: it never gets warm. Longer: it burns fuel for a full bank.")
	x.row(device, "run at most", tenths(g.MaxRunH), "h", Installer, given, "Longer: a stop that is never met drains the tank. Shorter: a cold or large bank is not recharged.")
}
