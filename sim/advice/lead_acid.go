package advice

import (
	"fmt"

	"bankyear/sim/bank"
)

// leadAcid is the check of a lead-acid bank: no BMS, no link, no disconnect of its
// own; set-points that follow the cells' temperature, gas, and a depth that it is
// planned for.
func (f *fit) leadAcid() {
	set := &f.solo.set
	f.chargeWindow("voltage_only_charge_window", "charge voltage in the inverter's window", "absorption", "absorb_v", set.AbsorbV)
	f.highestSetPoint()
	f.acidLowEnd()
	f.parallel()
	f.operationPossible()
	f.soloCurrent()
	f.sag()
	f.derating()
	f.acidCompensation()
	f.acidSetPoints()
	f.equalisation()
	f.counter()
	f.usableDepth()
	f.shedding()
	f.generators()
	f.shortCircuit()
	f.hydrogen()
	f.facing()
	f.stated()
}

// highestSetPoint is the highest set-point in the coldest air: V + c·(T − 25).
func (f *fit) highestSetPoint() {
	set, inv := &f.solo.set, &f.s.Inverter
	highest, what := set.AbsorbV, "absorption"
	if set.EqualiseV > highest {
		highest, what = set.EqualiseV, "equalisation"
	}
	const check, subject = "highest_set_point", "highest charge voltage in the cold"
	cold := 0.
	if f.air.known {
		cold = f.air.lowC
	}
	v := setPointV(set, highest, cold)
	values := []Value{val("set_point_v", v), val("cell_c", cold), val("inverter_max_v", inv.MaxV)}
	if v > inv.MaxV {
		f.add(check, subject, Fail, practice, fmt.Sprintf("%s of %s becomes %s with cells of %s, above the inverter's highest %s: it stops while the bank is charged. Limit the compensated voltage, or leave equalisation to warm days.",
			capital(what), volts(highest), volts(v), celsius(cold), volts(inv.MaxV)), values...)
		return
	}
	f.add(check, subject, Pass, practice, fmt.Sprintf("%s of %s becomes %s with cells of %s; the inverter works up to %s.", capital(what), volts(highest), volts(v), celsius(cold), volts(inv.MaxV)), values...)
}

// acidLowEnd wants a low end that the inverter can act at.
func (f *fit) acidLowEnd() {
	inv, low := &f.s.Inverter, f.low
	verdict, reason := Pass, fmt.Sprintf("The load stops below %s for %s or %s for %s; the inverter works down to %s. Nothing but these stops a discharge: the bank has no disconnect of its own.",
		volts(low.CutOffV), duration(low.CutOffDelayS), volts(low.FastCutOffV), duration(low.FastCutOffDelayS), volts(inv.MinV))
	if low.CutOffV < inv.MinV || low.CutOffV > inv.MaxV {
		verdict, reason = Fail, fmt.Sprintf("The cut-off of %s lies outside the inverter's %s to %s: it can never act.", volts(low.CutOffV), volts(inv.MinV), volts(inv.MaxV))
	}
	f.add("voltage_only_low_end", "low end", verdict, "the stated thresholds", reason,
		val("cut_off_v", low.CutOffV), val("fast_cut_off_v", low.FastCutOffV), val("inverter_min_v", inv.MinV))
}

// acidCompensation wants it on, and by the cells.
func (f *fit) acidCompensation() {
	const check, subject = "temperature_compensation", "temperature compensation on"
	set, rule := &f.solo.set, f.s.Bank.DeriveSettings()
	values := []Value{val("compensation_v_per_c", set.CompensationV), val("rule_v_per_c", rule.CompensationV)}
	cells := float64(f.m.CellsInSeries)
	switch per := 1000 * set.CompensationV / cells; {
	case set.CompensationV == 0:
		f.add(check, subject, Caution, practice, fmt.Sprintf("Set-points are the same at every temperature. Lead-acid wants about %s mV/K: without it the bank is charged too little in the cold, sulphates, and gasses in the heat.", fixed(1000*rule.CompensationV, 0)), values...)
	case per > -3+1e-6 || per < -5-1e-6:
		f.add(check, subject, Caution, practice, fmt.Sprintf("Set-points move by %s mV/K a cell; −3 to −5 is usual.", fixed(per, 1)), values...)
	case !f.s.Bank.CompensatesByCells():
		f.add(check, subject, Caution, practice, "Set-points move with the temperature that the charger feels, not with the cells', which lag and warm by themselves: fit its sensor to a cell.", values...)
	default:
		f.add(check, subject, Pass, practice, fmt.Sprintf("Set-points move by %s mV/K a cell with the cells' temperature, as lead-acid wants them.", fixed(per, 1)), values...)
	}
}

// acidSetPoints holds absorption and float against what the chemistry wants.
func (f *fit) acidSetPoints() {
	cells, set, rule := float64(f.m.CellsInSeries), &f.solo.set, bank.CellSettingsOf(f.m.Chemistry)
	for _, x := range []struct {
		check, subject, name, low, high string
		v, rule                         float64
		bounds                          bank.Bounds
	}{
		{"absorption_voltage", "absorption voltage neither too high nor too low", "absorb_v", "it is never quite full, and sulphates", "it gasses, dries out and corrodes", set.AbsorbV, rule.AbsorbV, rule.Absorb},
		{"float_voltage", "float voltage neither too high nor too low", "float_v", "it discharges itself in float", "it gasses and corrodes all day", set.FloatV, rule.FloatV, rule.Float},
	} {
		per := x.v / cells
		verdict, reason := Pass, fmt.Sprintf("%s V a cell at 25 °C, about the %s V that this chemistry takes.", fixed(per, 2), fixed(x.rule, 2))
		switch {
		case per < x.bounds.Least-slackV:
			verdict, reason = Caution, fmt.Sprintf("%s V a cell at 25 °C, below about %s V: %s.", fixed(per, 2), fixed(x.rule, 2), x.low)
		case x.check == "float_voltage" && x.v == set.AbsorbV:
			verdict, reason = Caution, fmt.Sprintf("%s V a cell at 25 °C, which is absorption: no float. For as long as there is power %s; about %s V is usual.", fixed(per, 2), x.high, fixed(x.rule, 2))
		case per > x.bounds.Most+slackV:
			verdict, reason = Caution, fmt.Sprintf("%s V a cell at 25 °C, above about %s V: %s.", fixed(per, 2), fixed(x.rule, 2), x.high)
		}
		f.add(x.check, x.subject, verdict, practice, reason, val(x.name, x.v), val("rule_v", x.rule*cells))
	}
}

// equalisation is for vented cells only.
func (f *fit) equalisation() {
	const check, subject = "equalisation", "equalisation for vented cells only"
	set := &f.solo.set
	on := set.EqualiseV > 0 && set.EqualiseS > 0 && set.EqualiseDays > 0
	values := []Value{val("equalise_v", set.EqualiseV), val("equalise_every_d", set.EqualiseDays)}
	switch sealed := f.m.Chemistry == "lead_acid_sealed"; {
	case sealed && on:
		f.add(check, subject, Fail, practice, "Sealed cells are equalised: the water that it gasses cannot be put back, and they dry out.", values...)
	case !sealed && !on:
		f.add(check, subject, Caution, practice, "Vented cells are never equalised: their acid lies in layers and the weakest cell falls behind. Every month or so is usual, by its maker's values.", values...)
	case on:
		f.add(check, subject, Pass, practice, fmt.Sprintf("Every %s days at %s for %s. It takes sun or generator for that long, and water afterwards.", fixed(set.EqualiseDays, 0), volts(set.EqualiseV), duration(set.EqualiseS)), values...)
	default:
		f.add(check, subject, Pass, practice, "Off, as sealed cells want it.", values...)
	}
}

// usableDepth says how far the bank is planned to be used, and where the low end
// stops it.
func (f *fit) usableDepth() {
	depth := f.m.UsableDepthFraction()
	rest := restSoC(f.m, f.low.CutOffV)
	reason := fmt.Sprintf("Planned for a depth of %s, so that it lasts. The low cut-off of %s is there to save it from ruin and leaves %s at rest; the depth is kept by load, generator and size.", percent(depth), volts(f.low.CutOffV), percent(rest))
	verdict := Pass
	for _, name := range sortedKeys(f.s.Generators) {
		if g := f.s.Generators[name]; g.StartSoCFraction > 0 && g.StartSoCFraction < 1-depth-1e-9 {
			verdict = Caution
			reason += fmt.Sprintf(" Generator %s starts at %s only: below the %s at which that depth ends.", name, percent(g.StartSoCFraction), percent(1-depth))
		}
	}
	f.add("usable_depth", "depth of discharge that the bank is planned for", verdict, practice, reason, val("usable_depth_fraction", depth), val("cut_off_rest_soc_fraction", rest))
}

// Gassing current by which a room is ventilated, mA for each ampere-hour, in
// boost charge: IEC 62485-2, from memory.
const ventedGasMA, sealedGasMA = 20, 8

// hydrogen is the air that the bank's room needs: Q = 0.05·n·I_gas·C·10⁻³ m³/h
// for n cells of C ampere-hours (IEC 62485-2, from memory).
func (f *fit) hydrogen() {
	gas, how := float64(ventedGasMA), "Vented cells give off hydrogen whenever they are charged"
	if f.m.Chemistry == "lead_acid_sealed" {
		gas, how = sealedGasMA, "Sealed cells give off hydrogen when they are overcharged or too hot"
	}
	air := 0.05 * float64(f.m.CellsInSeries) * gas * f.m.CapacityAh * f.n / 1000
	reason := fmt.Sprintf("%s. The room needs about %s m³ of fresh air an hour, by openings low and high, and no spark near them.", how, fixed(air, 1))
	verdict := Caution
	if f.s.Bank.Enclosure.Kind == "insulated_cupboard" {
		reason += " A closed cupboard gathers it: this one needs its own vents to outside."
	}
	f.add("hydrogen", "hydrogen of lead-acid cells", verdict, "IEC 62485-2, from memory; local codes decide", reason, val("fresh_air_m3_h", air))
}
