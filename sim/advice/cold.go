package advice

import (
	"fmt"

	"bankyear/sim/bank"
)

// cold holds the air around the bank against the temperature windows of charge
// and discharge, and asks who keeps the charge inside them.
func (f *fit) cold() {
	f.coldTrip()
	f.sensor()
	f.disconnect()
	f.chargedTooCold()
	f.dischargeWindow()
}

// takesFromC is the cell temperature below which the cells take no charge by their
// table; false where the table has charge at every temperature.
func (f *fit) takesFromC() (c float64, ok bool) {
	for _, row := range f.m.Linked.CeilingByC {
		if row[1] > 0 {
			break
		}
		c, ok = row[0], true
	}
	return c, ok
}

// coldTrip wants the modules themselves to refuse charge where the cells take none:
// nothing else does when a charger does not know their temperature.
func (f *fit) coldTrip() {
	from, ok := f.takesFromC()
	if !ok {
		return
	}
	const check, subject, basis = "charge_cold_trip", "the modules' own stop of charge in the cold", "charge_cold_c and charge_a_by_c of the module"
	trip := f.m.Protection.ChargeColdC
	values := []Value{val("charge_cold_c", trip), val("cells_take_charge_from_c", from)}
	if trip >= from {
		f.add(check, subject, Pass, basis, fmt.Sprintf("Charge trips below %s, and the cells take none below %s.", celsius(trip), celsius(from)), values...)
		return
	}
	verdict := Fail
	if f.air.known && f.air.lowC >= from {
		verdict = Caution
	}
	f.add(check, subject, verdict, basis, fmt.Sprintf("Charge trips below %s only, and the cells take none below %s: between the two the modules let a charger plate lithium. Have the trip set to %s, or take modules that have it there.",
		celsius(trip), celsius(from), celsius(from)), values...)
}

// unsensed are the chargers that do not know the cells' temperature.
func (f *fit) unsensed() []string {
	var out []string
	for _, name := range sortedKeys(f.s.Array.Chargers) {
		if !f.s.Array.Chargers[name].TemperatureSensor {
			out = append(out, "solar charger "+name)
		}
	}
	if len(f.s.Generators) > 0 {
		out = append(out, "the AC charger")
	}
	return out
}

// beyond says how the air passes the charge window; empty where it is known to
// stay inside.
func (f *fit) beyond() string {
	pr := &f.m.Protection
	switch {
	case !f.air.known:
		return fmt.Sprintf("The lowest and the highest air temperature of the site are not stated, so that it cannot be told whether cells leave the charge window of %s to %s.", celsius(pr.ChargeColdC), celsius(pr.ChargeHotC))
	case f.air.lowC < pr.ChargeColdC:
		return fmt.Sprintf("%s falls to %s%s, below the %s at which charge ends; the cells follow with %s of lag.", capital(f.air.where), celsius(f.air.lowC), f.air.source, celsius(pr.ChargeColdC), duration(f.lagS())) + f.heater()
	case f.air.highC > pr.ChargeHotC:
		return fmt.Sprintf("%s rises to %s%s, above the %s at which charge ends.", capital(f.air.where), celsius(f.air.highC), f.air.source, celsius(pr.ChargeHotC))
	}
	return ""
}

// lagS is the time constant of the cells behind the air, C·R.
func (f *fit) lagS() float64 {
	r := f.s.Bank.SurfaceCPerW() + f.s.Bank.InsulationCPerW()
	return f.m.HeatKJPerC * 1000 * f.n * r
}

func (f *fit) heater() string {
	e := &f.s.Bank.Enclosure
	switch {
	case e.HeaterW == 0:
		return ""
	case e.HeaterFrom == "sources_and_bank":
		return fmt.Sprintf(" The heater (%s a module) works against that, from the bank too.", watts(e.HeaterW))
	}
	return fmt.Sprintf(" The heater (%s a module) works against that while sun or generator give power, not through a dark spell.", watts(e.HeaterW))
}

// inside says that the air stays in the charge window.
func (f *fit) inside() string {
	return fmt.Sprintf("%s stays between %s and %s%s, inside the charge window of %s to %s.", capital(f.air.where), celsius(f.air.lowC), celsius(f.air.highC), f.air.source,
		celsius(f.m.Protection.ChargeColdC), celsius(f.m.Protection.ChargeHotC))
}

// airValues are the numbers of the checks of the charge window.
func (f *fit) airValues() []Value {
	out := []Value{val("charge_cold_c", f.m.Protection.ChargeColdC), val("charge_hot_c", f.m.Protection.ChargeHotC)}
	if f.air.known {
		out = append(out, val("lowest_air_c", f.air.lowC), val("highest_air_c", f.air.highC))
	}
	return out
}

func (f *fit) sensor() {
	const check, subject = "temperature_sensor", "who stops charge outside the cells' temperature window"
	blind, beyond := f.unsensed(), f.beyond()
	switch {
	case !f.solo.acts:
		f.add(check, subject, Pass, practice, "The BMS tells the chargers to stop; without the link they do not charge.", f.airValues()...)
	case len(blind) == 0:
		f.add(check, subject, Pass, practice, "Every charger measures the bank's temperature and stops at the window by itself.", f.airValues()...)
	case beyond == "":
		f.add(check, subject, Pass, practice, f.inside(), f.airValues()...)
	default:
		f.add(check, subject, Caution, practice, fmt.Sprintf("%s %schargers without a temperature sensor (%s) push current into cold or hot cells until the protection trips.",
			beyond, f.solo.when, list(blind)), f.airValues()...)
	}
}

func (f *fit) disconnect() {
	const check, subject = "disconnect", "what a charge trip does to the load"
	beyond := f.beyond()
	switch {
	case f.m.Disconnect == "directional":
		f.add(check, subject, Pass, practice, "The disconnect blocks charge alone: a charge trip leaves the load on.", f.airValues()...)
	case !f.solo.acts || len(f.unsensed()) == 0:
		f.add(check, subject, Pass, practice, "The disconnect opens both directions at once, but the chargers stop before a temperature trips it.", f.airValues()...)
	case beyond == "":
		f.add(check, subject, Pass, practice, "The disconnect opens both directions at once, but no temperature trips it. "+f.inside(), f.airValues()...)
	default:
		f.add(check, subject, Caution, practice, fmt.Sprintf("The disconnect opens both directions at once. %s %sa charge trip then takes the load down with it: on a cold morning the site goes dark while the sun gives more than the load takes, and trips again after each return.",
			beyond, f.solo.when), f.airValues()...)
	}
}

// chargedTooCold asks what voltage-only chargers push into cells that are cold
// but not yet below the window.
func (f *fit) chargedTooCold() {
	if !f.solo.acts || !f.can("data_linked") {
		return
	}
	const check, subject = "charged_too_cold", "charge current that cold cells allow"
	const basis = "charge_a_by_c of the module; charging above it plates lithium (Petzl, Kasper & Danzer 2015, J. Power Sources 275, 799; from memory)"
	all, _, _ := total(f.sources(f.solo.set.ChargeA))
	worst, pr := all/f.share, &f.m.Protection
	coldest := pr.ChargeColdC
	if f.air.known {
		coldest = max(coldest, f.air.lowC)
	}
	allowed := bank.At(f.m.Linked.CeilingByC, coldest)
	values := []Value{val("cell_c", coldest), val("allowed_a", allowed), val("worst_module_a", worst)}
	if coldest >= 25 || worst <= allowed {
		f.add(check, subject, Pass, basis, fmt.Sprintf("%sthe chargers push at most %s into the worst module, and cells of %s allow %s.", f.solo.when, amps(worst), celsius(coldest), amps(allowed)), values...)
		return
	}
	reason := fmt.Sprintf("Cells of %s allow %s a module. %sthe chargers can push up to %s into the worst one, at any temperature above the trip: that is damage, not a gain.",
		celsius(coldest), amps(allowed), f.solo.when, amps(worst))
	if allowed > 0 {
		reason += fmt.Sprintf(" It would not be with at most %s from all chargers together.", amps(allowed*f.share))
	}
	f.add(check, subject, Caution, basis, reason, values...)
}

func (f *fit) dischargeWindow() {
	const check, subject, basis = "discharge_window", "air around the bank against the discharge window", "discharge window of the module"
	pr := &f.m.Protection
	window := celsius(pr.DischargeColdC) + " to " + celsius(pr.DischargeHotC)
	values := []Value{val("discharge_cold_c", pr.DischargeColdC), val("discharge_hot_c", pr.DischargeHotC)}
	if f.air.known {
		values = append(values, val("lowest_air_c", f.air.lowC), val("highest_air_c", f.air.highC))
	}
	switch {
	case !f.air.known:
		f.add(check, subject, Caution, basis, "The lowest and the highest air temperature of the site are not stated: cells discharge from "+window+" only.", values...)
	case f.air.lowC < pr.DischargeColdC:
		f.add(check, subject, Caution, basis, fmt.Sprintf("%s falls to %s%s, and cells discharge from %s only; they follow with %s of lag.", capital(f.air.where), celsius(f.air.lowC), f.air.source, window, duration(f.lagS()))+f.heater(), values...)
	case f.air.highC > pr.DischargeHotC:
		f.add(check, subject, Caution, basis, fmt.Sprintf("%s rises to %s%s, and cells discharge from %s only.", capital(f.air.where), celsius(f.air.highC), f.air.source, window), values...)
	default:
		f.add(check, subject, Pass, basis, fmt.Sprintf("%s stays between %s and %s%s; cells discharge from %s.", capital(f.air.where), celsius(f.air.lowC), celsius(f.air.highC), f.air.source, window), values...)
	}
}
