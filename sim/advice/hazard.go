package advice

import "fmt"

// hazards are findings of safety. Local codes and licensed practice decide.
func (f *fit) hazards() {
	f.shortCircuit()
	f.busOverVoltage()
	f.certificates()
}

// shortCircuit is what the bank drives into a bolted short at its bars,
// n · V / R, at the highest voltage that it is charged to: with cells of 25 °C,
// and with the factor of the warmest ones.
func (f *fit) shortCircuit() {
	v := f.s.Bank.Settings.AbsorbV
	if f.linked() {
		v = max(v, f.m.Linked.VoltageV)
	}
	highest := max(f.m.Protection.OverV, v, f.solo.set.EqualiseV)
	least := 1.0
	for _, row := range f.m.ResistanceByC {
		least = min(least, row[1])
	}
	steady := f.n * v / f.m.ResistanceOhm
	most := steady / least
	reason := fmt.Sprintf("A short at the bank's bars draws about %d × %s / %s mΩ = %s kA, and %s kA from warm cells (resistance × %s). In the first milliseconds the resistance is lower still than the steady one.",
		f.s.Bank.Modules, volts(v), fixed(1000*f.m.ResistanceOhm, 2), kilo(steady), kilo(most), fixed(least, 2))
	verdict, more := f.fuses(most, highest)
	f.add("short_circuit", "short-circuit current against the fuses' breaking capacity", verdict, "stated resistance; "+practice, reason+more+f.others(),
		val("short_circuit_a", steady), val("short_circuit_warm_a", most))
}

// firstPeak is the least that a fuse's breaking capacity should be above the current
// that the steady resistance gives, for the first milliseconds (common practice, no
// source).
const firstPeak = 2

// fuses holds what is stated of them against a short, and one module's against what
// the module carries for long.
func (f *fit) fuses(shortA, highestV float64) (Verdict, string) {
	x := f.s.Bank.Fuses
	if x == nil {
		return Caution, fmt.Sprintf(" No fuse is stated: its breaking capacity at DC must be well above %s kA, and its voltage rating above %s.", kilo(shortA), volts(highestV))
	}
	verdict := Pass
	say := " Fuses are stated with " + fixed(x.BreakingKA, 1) + " kA"
	switch breaks := 1000 * x.BreakingKA; {
	case breaks < shortA:
		verdict, say = Fail, say+", which this short exceeds: such a fuse may burst and arc on."
	case breaks < firstPeak*shortA:
		verdict, say = Caution, say+", not twice the steady current: ask the maker of the modules for the highest one, and take a fuse above it."
	default:
		say += fmt.Sprintf(", at least %d times that.", firstPeak)
	}
	if x.RatedV < highestV {
		verdict = Fail
		say += fmt.Sprintf(" Their %s at DC are below the bank's highest %s.", volts(x.RatedV), volts(highestV))
	}
	if least := max(f.m.DischargeA, f.m.VoltageOnlyA); x.ModuleA > 0 && x.ModuleA < least {
		verdict = worse(verdict, Caution)
		say += fmt.Sprintf(" A module's fuse of %s is below the %s that it may carry for long.", amps(x.ModuleA), amps(least))
	}
	return verdict, say
}

// others says what a module's own fuse has to break.
func (f *fit) others() string {
	switch n := f.s.Bank.Modules - 1; n {
	case 0:
		return ""
	case 1:
		return " The fuse of one module breaks what the other drives."
	default:
		return fmt.Sprintf(" The fuse of one module breaks what the other %d drive.", n)
	}
}

func kilo(a float64) string { return fixed(a/1000, 1) }

// busOverVoltage is about a disconnect that opens while chargers give power.
func (f *fit) busOverVoltage() {
	const check, subject = "bus_over_voltage", "bus voltage when the disconnect opens under sun"
	inv := &f.s.Inverter
	highest, where := f.m.Linked.VoltageV, "the voltage that the BMS asks for"
	if !f.linked() {
		highest, where = f.s.Bank.Settings.AbsorbV, "absorption"
	}
	if f.solo.acts {
		for _, c := range []float64{0, 25, f.air.lowC, f.air.highC} {
			if v := setPointV(&f.solo.set, f.solo.set.AbsorbV, c); v > highest {
				highest, where = v, "the highest set-point"
			}
		}
	}
	values := []Value{val("set_point_v", highest), val("inverter_max_v", inv.MaxV)}
	margin := fmt.Sprintf("A charger that gives current as the modules open raises the bus above its set-point before it holds back. From %s (%s) to the inverter's highest %s there are %s.", where, volts(highest), volts(inv.MaxV), volts(inv.MaxV-highest))
	switch {
	case highest > inv.MaxV:
		f.add(check, subject, Fail, practice, fmt.Sprintf("%s is %s, above the inverter's highest %s even before a disconnect opens: it stops there, and is back below %s.", capital(where), volts(highest), volts(inv.MaxV), volts(inv.HighReturnV())), values...)
	case f.s.Controls.ChargersHoldBus:
		f.add(check, subject, Pass, practice, margin+" The chargers are stated to hold the bus without a bank.", values...)
	default:
		f.add(check, subject, Caution, practice, margin+" How far a charger overshoots is not stated: have its maker confirm that it works into a bus whose bank leaves, and that everything on the bus bears it.", values...)
	}
}
