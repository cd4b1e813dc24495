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
	f.add("short_circuit", "short-circuit current against the fuses' breaking capacity", Caution, "stated resistance; "+practice, fmt.Sprintf(
		"A short at the bank's bars draws about %d × %s / %s mΩ = %s kA, and %s kA from warm cells (resistance × %s). In the first milliseconds the resistance is lower still than the steady one. No fuse is stated: its breaking capacity at DC must be well above %s kA, and its voltage rating above %s.",
		f.s.Bank.Modules, volts(v), fixed(1000*f.m.ResistanceOhm, 2), kilo(steady), kilo(most), fixed(least, 2), kilo(most), volts(highest))+f.others(),
		val("short_circuit_a", steady), val("short_circuit_warm_a", most))
}

// others says what a module's own fuse has to break.
func (f *fit) others() string {
	if f.s.Bank.Modules == 1 {
		return ""
	}
	return fmt.Sprintf(" The fuse of one module breaks what the other %d drive.", f.s.Bank.Modules-1)
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

// certificates are not stated by any member of a module.
func (f *fit) certificates() {
	for _, c := range []struct{ check, subject, reason string }{
		{"transport_certificate", "transport tests (UN 38.3)", "Not stated. Lithium cells and modules are carried only with a test summary by UN 38.3: ask the maker for it."},
		{"cell_safety_certificate", "cell and module safety (IEC 62619)", "Not stated. Ask the maker for a certificate by IEC 62619 that names this module and its BMS; local codes may ask for more."},
	} {
		f.add(c.check, c.subject, Caution, "names of the standards from memory", c.reason)
	}
}

// unstated are checks that need values which no member of a system has.
func (f *fit) unstated() {
	f.stringVoltage()
	f.add("charger_voltage", "solar chargers' output voltage", Caution, practice, fmt.Sprintf(
		"Not checked: no charger states its range of output voltage. It must reach %s and be settable to it.", volts(f.highestAsked())))
	f.add("isolation", "means of isolation", Caution, practice,
		"Not checked: no member states them. Every module and every string needs its means of isolation; terminals of a module may be live when it is off, and a bank of several stays live from the others.")
	f.makeUp()
}

// highestAsked is the highest voltage that chargers are asked for.
func (f *fit) highestAsked() float64 {
	if f.linked() {
		return max(f.m.Linked.VoltageV, f.s.Bank.Settings.AbsorbV)
	}
	return f.s.Bank.Settings.AbsorbV
}

// openCircuitPerC is by how much a crystalline module's open-circuit voltage
// rises for each kelvin below 25 °C, as a part of it.
const openCircuitPerC = 0.003

func (f *fit) stringVoltage() {
	const check, subject = "string_voltage", "array strings against the solar chargers"
	reason := "Not checked: no plane states its strings. Cold: the open-circuit voltage of a string must stay below the charger's highest input voltage"
	values := []Value{}
	if low := f.site.LowestAirC; low != nil {
		factor := 1 + openCircuitPerC*(25-*low)
		reason += fmt.Sprintf(", with cells at %s it is about 1 + 0.003 × %s = %s times that of the data sheet (0.3 %% for each kelvin below 25 °C)", celsius(*low), fixed(25-*low, 1), fixed(factor, 3))
		values = append(values, val("lowest_air_c", *low), val("open_circuit_factor", factor))
	} else {
		reason += ", about 0.3 % more than the data sheet's for each kelvin below 25 °C"
	}
	reason += fmt.Sprintf(". Hot: the voltage of highest power must stay some volts above %s, or the charger stops before the bank is full.", volts(f.highestAsked()))
	f.add(check, subject, Caution, practice, reason, values...)
}
