package advice

import (
	"fmt"

	"bankyear/sim/array"
)

// certificates are the maker's documents.
func (f *fit) certificates() {
	const basis = "names of the standards from memory"
	for _, c := range []struct{ check, subject, stated, missing string }{
		{"transport_certificate", "transport tests (UN 38.3)", f.m.Certificates.Transport, "Not stated. Lithium cells and modules are carried only with a test summary by UN 38.3: ask the maker for it."},
		{"cell_safety_certificate", "cell and module safety (IEC 62619)", f.m.Certificates.CellSafety, "Not stated. Ask the maker for a certificate by IEC 62619 that names this module and its BMS; local codes may ask for more."},
	} {
		if c.stated == "" {
			f.add(c.check, c.subject, Caution, basis, c.missing)
			continue
		}
		f.add(c.check, c.subject, Pass, basis, "Stated: "+c.stated+". See that it names this module and its BMS; this is no check of the document.")
	}
}

// stated judges what is around the bank, as far as it is stated: strings, chargers,
// means of isolation, what the bank is made of.
func (f *fit) stated() {
	f.stringVoltages()
	f.chargerVoltages()
	f.isolation()
	f.makeUp()
}

// highestAsked is the highest voltage that chargers are asked for.
func (f *fit) highestAsked() float64 {
	if f.linked() {
		return max(f.m.Linked.VoltageV, f.s.Bank.Settings.AbsorbV)
	}
	return f.s.Bank.Settings.AbsorbV
}

// chargerVoltages holds each solar charger's highest output against what it is asked.
func (f *fit) chargerVoltages() {
	const check, subject = "charger_voltage", "solar chargers' output voltage"
	asked := f.highestAsked()
	for _, name := range sortedKeys(f.s.Array.Chargers) {
		c := f.s.Array.Chargers[name]
		subject := subject + ": " + name
		switch {
		case c.MaxOutputV == 0:
			f.add(check, subject, Caution, practice, fmt.Sprintf(
				"Not checked: the charger's range of output voltage is not stated. It must reach %s and be settable to it.", volts(asked)))
		case c.MaxOutputV < asked:
			f.add(check, subject, Fail, "stated", fmt.Sprintf("It gives %s at most, and is asked for %s: the bank is never full.", volts(c.MaxOutputV), volts(asked)),
				val("max_output_v", c.MaxOutputV), val("asked_v", asked))
		default:
			f.add(check, subject, Pass, "stated", fmt.Sprintf("It can be set up to %s, and is asked for %s.", volts(c.MaxOutputV), volts(asked)),
				val("max_output_v", c.MaxOutputV), val("asked_v", asked))
		}
	}
}

// isolation tells what takes the bank off for work.
func (f *fit) isolation() {
	const check, subject = "isolation", "means of isolation"
	x := f.s.Bank.Isolation
	if x == nil {
		f.add(check, subject, Caution, practice,
			"Not stated. Every module and every string needs its means of isolation; terminals of a module may be live when it is off, and a bank of several stays live from the others.")
		return
	}
	verdict, reason := Pass, "Bank and modules have means of isolation."
	switch several := f.s.Bank.Modules > 1; {
	case !x.Bank && !x.EachModule:
		verdict, reason = Fail, "Nothing isolates the bank: nobody can work on the bus without its voltage and its short-circuit current."
	case !x.Bank:
		verdict, reason = Caution, "Each module has means of isolation, the bank has none: they are opened one by one, and the last carries what the others did."
	case !x.EachModule && several:
		verdict, reason = Caution, "The bank has means of isolation, the single module has none: a module stays live from the others while it is changed."
	}
	if x.LiveWhenOff {
		reason += " A module's terminals are live also when it is off: cover them, and treat them as live."
	}
	f.add(check, subject, verdict, practice, reason)
}

// openCircuitPerC is by how much a crystalline module's open-circuit voltage
// falls for each kelvin of cell temperature, as a part of it (common practice, no
// source).
const openCircuitPerC = -0.003

// inputAboveV is by how much a charger's input has to be above the bank, V (common
// practice, no source).
const inputAboveV = 5

// hotCellsK is by how much cells are above the hottest air, in full sun without wind,
// K: 1000 W/m² over U0 = 25 W/(m² K) (Faiman 2008).
const hotCellsK = 40

// stringVoltages holds each plane's strings against its solar charger.
func (f *fit) stringVoltages() {
	for _, name := range sortedKeys(f.s.Array.Planes) {
		p := f.s.Array.Planes[name]
		if charger, dc := f.s.Array.Chargers[p.Charger]; dc {
			f.stringVoltage("array strings against the solar charger: "+name, &p, &charger)
		}
	}
}

// stringVoltage is one plane's, in the coldest air without load and in the hottest sun
// at highest power:
//
//	cold  n · Voc · (1 + β · (T_low − 25))
//	hot   n · (Vmp + β · Voc · (T_high + 40 − 25))
//
// with the cells as cold as the air at sunrise, and a voltage at highest power that
// falls by as many volts as the open-circuit voltage (common practice, no source).
func (f *fit) stringVoltage(subject string, p *array.Plane, charger *array.Charger) {
	const check = "string_voltage"
	s, low, high := p.Strings, f.site.LowestAirC, f.site.HighestAirC
	if s == nil || low == nil || high == nil || charger.MaxInputV == 0 {
		f.stringUnknown(check, subject, p, charger)
		return
	}
	open, power, beta := s.OpenCircuitV, s.HighestPowerV, s.OpenCircuitFractionPC
	if d := p.SingleDiode; d != nil {
		if open == 0 {
			open = d.OpenCircuitV
		}
		if power == 0 {
			power = d.HighestPowerV
		}
		if beta == 0 {
			beta = d.OpenCircuitFractionPC
		}
	}
	if beta == 0 {
		beta = openCircuitPerC
	}
	n, above, asked := float64(s.InSeries), charger.InputAboveOutputV, f.highestAsked()
	if above == 0 {
		above = inputAboveV
	}
	cold, hot := n*open*(1+beta*(*low-25)), n*(power+beta*open*(*high+hotCellsK-25))
	reason := fmt.Sprintf("Cold: %d × %s at %s are %s without load, and the charger bears %s. Hot: cells of %s leave %s at highest power, and charging to %s needs %s.",
		s.InSeries, volts(open), celsius(*low), volts(cold), volts(charger.MaxInputV), celsius(*high+hotCellsK), volts(hot), volts(asked), volts(asked+above))
	verdict := Pass
	if hot < asked+above {
		verdict = Caution
		reason += " On hot days the charger gives less, or stops, before the bank is full."
	}
	if cold > charger.MaxInputV {
		verdict = Fail
		reason += " A cold morning destroys the charger: take fewer in series."
	}
	f.add(check, subject, verdict, "stated; "+practice, reason, val("open_circuit_cold_v", cold), val("highest_power_hot_v", hot), val("max_input_v", charger.MaxInputV))
}

// stringUnknown says what is missing, and the factor in the coldest air.
func (f *fit) stringUnknown(check, subject string, p *array.Plane, charger *array.Charger) {
	reason, values := "Not checked: ", []Value{}
	switch {
	case p.Strings == nil:
		reason += "the plane's strings are not stated."
	case charger.MaxInputV == 0:
		reason += "the charger's max_input_v is not stated."
	default:
		reason += "the site's coldest and hottest air are not known."
	}
	reason += " Cold: the open-circuit voltage of a string must stay below the charger's highest input voltage"
	if low := f.site.LowestAirC; low != nil {
		factor := 1 + openCircuitPerC*(*low-25)
		reason += fmt.Sprintf(", with cells at %s it is about 1 + 0.003 × %s = %s times that of the data sheet (0.3 %% for each kelvin below 25 °C)", celsius(*low), fixed(25-*low, 1), fixed(factor, 3))
		values = append(values, val("lowest_air_c", *low), val("open_circuit_factor", factor))
	} else {
		reason += ", about 0.3 % more than the data sheet's for each kelvin below 25 °C"
	}
	reason += fmt.Sprintf(". Hot: the voltage of highest power must stay some volts above %s, or the charger stops before the bank is full.", volts(f.highestAsked()))
	f.add(check, subject, Caution, practice, reason, values...)
}
