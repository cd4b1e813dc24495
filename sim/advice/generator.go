package advice

import (
	"fmt"
	"strings"

	"bankyear/sim/bank"
	"bankyear/sim/genset"
)

// generators checks each set against what it feeds and against the rules that
// start it.
func (f *fit) generators() {
	for _, name := range sortedKeys(f.s.Generators) {
		g := f.s.Generators[name]
		x := set{f, &g, "generator " + name}
		x.rating()
		x.acInput()
		x.minimumLoad()
		x.startRules()
		x.ladder()
		x.withoutBank()
	}
}

// set is one generator while it is checked.
type set struct {
	*fit
	g    *genset.Spec
	name string
}

// deratedKW is the set's rating at the site's height and in its hottest air.
func (x set) deratedKW() (kw float64, where string) {
	elevation, hot := x.s.Site.ElevationM, x.g.HeatFreeC
	where = fixed(elevation, 0) + " m"
	if x.site.HighestAirC != nil {
		hot = *x.site.HighestAirC
		where += " and " + celsius(hot)
	}
	return x.g.RatedAtKW(elevation, hot), where
}

func (x set) rating() {
	kw, where := x.deratedKW()
	x.add("generator_rating", x.name+": kW, not kVA", Caution, practice+"; derating of the set", fmt.Sprintf(
		"The rating is taken as %s kW of real power; at %s it is %s kW. Confirm that the plate does not mean kVA: %s kVA at a power factor of 0.8 are %s kW.",
		fixed(x.g.RatedKW, 2), where, fixed(kw, 2), fixed(x.g.RatedKW, 2), fixed(0.8*x.g.RatedKW, 2)),
		val("rated_kw", x.g.RatedKW), val("derated_kw", kw), val("if_kva_kw", 0.8*x.g.RatedKW))
}

// chargerInput is what the AC charger takes at its highest output and at the
// charge voltage, W, and its current.
func (x set) chargerInput() (w, a, v float64) {
	inv := &x.s.Inverter
	v, a = x.m.Linked.VoltageV, inv.ChargerA
	if !x.linked() {
		v, a = x.s.Bank.Settings.AbsorbV, min(a, x.s.Bank.Settings.ChargeA)
	}
	return a * v / inv.ChargerEfficiencyFraction, a, v
}

func (x set) acInput() {
	kw, where := x.deratedKW()
	inv := &x.s.Inverter
	limit := inv.ACInputLimitW(1000 * kw)
	w, a, v := x.chargerInput()
	values := []Value{val("ac_input_w", limit), val("charger_w", w), val("derated_kw", kw)}
	reason := fmt.Sprintf("The AC charger takes %s × %s / %s = %s.", amps(a), volts(v), fixed(inv.ChargerEfficiencyFraction, 2), watts(w))
	share := fmt.Sprintf("80 %% of the %s kW that the set has at %s, %s", fixed(kw, 2), where, watts(800*kw))
	verdict := Pass
	switch {
	case inv.ACInputW == 0:
		reason += " The AC input limit is " + share + "."
	case inv.ACInputW > 800*kw:
		verdict = Caution
		reason += fmt.Sprintf(" The AC input limit of %s is above %s: the set may stall under a step of load.", watts(limit), share)
	default:
		reason += fmt.Sprintf(" The AC input limit of %s is not above %s.", watts(limit), share)
	}
	if w > limit {
		verdict = Caution
		reason += fmt.Sprintf(" The charger is held to %s, and less while there is load.", amps(limit*inv.ChargerEfficiencyFraction/v))
	} else {
		reason += fmt.Sprintf(" %s are left for load beside full charge.", watts(limit-w))
	}
	x.add("ac_input", x.name+": AC input limit against the charger", verdict, practice, reason, values...)
}

// minimumLoad asks whether the charger alone loads the set enough; charge that
// tapers or cold cells may leave less.
func (x set) minimumLoad() {
	kw, _ := x.deratedKW()
	w, a, v := x.chargerInput()
	w = min(w, x.s.Inverter.ACInputLimitW(1000*kw))
	least := 1000 * x.g.MinLoadKW()
	values := []Value{val("min_load_w", least), val("charger_w", w)}
	verdict, reason := Pass, fmt.Sprintf("The least load is %s of %s kW, %s; charge alone gives it up to %s.", percent(x.g.MinLoadFraction), fixed(x.g.RatedKW, 2), watts(least), watts(w))
	if w < least {
		verdict = Caution
		reason = fmt.Sprintf("The least load is %s of %s kW, %s, but charge alone gives it %s: without load beside it the set burns the fuel of its least load and runs too light.", percent(x.g.MinLoadFraction), fixed(x.g.RatedKW, 2), watts(least), watts(w))
	} else if x.linked() {
		coldest := x.m.Protection.ChargeColdC
		if x.air.known {
			coldest = max(coldest, min(25, x.air.lowC))
		}
		bankA := min(a, bank.At(x.m.Linked.CeilingByC, coldest)*x.share)
		if cold := bankA * v / x.s.Inverter.ChargerEfficiencyFraction; cold < least {
			verdict = Caution
			reason += fmt.Sprintf(" But cells of %s are given %s at most, which is %s: in the cold it runs too light without load beside it.", celsius(coldest), amps(bankA), watts(cold))
			values = append(values, val("coldest_charge_c", coldest), val("coldest_charger_w", cold))
		}
	}
	x.add("generator_minimum_load", x.name+": least load against charge", verdict, "min_load_fraction of the set, "+practice, reason, values...)
}

// startRules wants the set started before the load stops, and fuelled before
// hours in which it may not start.
func (x set) startRules() {
	low := x.low
	verdict, parts := Pass, []string{}
	if x.linked() && x.g.StartSoCFraction > 0 {
		if x.g.StartSoCFraction <= low.StopSoC {
			verdict = Fail
			parts = append(parts, fmt.Sprintf("It starts at %s, not above the %s at which the load stops: too late.", percent(x.g.StartSoCFraction), percent(low.StopSoC)))
		} else {
			parts = append(parts, fmt.Sprintf("It starts at %s, %s above the %s at which the load stops.", percent(x.g.StartSoCFraction), inPoints(x.g.StartSoCFraction-low.StopSoC), percent(low.StopSoC)))
		}
	}
	if x.s.Bank.Counter().Kind == "none" && len(x.g.StartBelow) == 0 {
		verdict = Fail
		parts = append(parts, "Nothing reports a state of charge, and no voltage starts it.")
	}
	if x.g.NoStartHours != "" && x.g.TopUp == nil && !x.g.OverrideWhenDark {
		verdict = worse(verdict, Caution)
		parts = append(parts, fmt.Sprintf("It may not start in the hours %s, and no run before them tops the bank up: an evening at a little above the start leaves a dark night.", x.g.NoStartHours))
	}
	if len(parts) == 0 {
		parts = append(parts, "Its rules leave no gap before the load stops.")
	}
	x.add("generator_start", x.name+": starts in time", verdict, practice, strings.Join(parts, " "),
		val("start_soc_fraction", x.g.StartSoCFraction), val("stop_load_soc_fraction", low.StopSoC))
}

// ladder says at what state of charge each rung acts, at rest and under the
// sag of 2 kW. A rung above the rest of a full bank starts the set whenever
// nothing charges.
func (x set) ladder() {
	if len(x.g.StartBelow) == 0 {
		return
	}
	const drawW = 2000
	verdict, parts, values := Pass, []string{}, []Value{}
	full := bank.At(x.m.BranchV(-1), 1)
	for i, rung := range x.g.StartBelow {
		rest, loaded := restSoC(x.m, rung.V), x.loadedSoC(rung.V, drawW)
		if rung.LoadCorrected { // what is added for it is of the new bank in the warm
			loaded = x.correctedSoC(rung.V, drawW)
		}
		part := fmt.Sprintf("%s for %s: at rest the bank is there at %s charge, under 2 kW at %s", volts(rung.V), duration(rung.HoldS), percent(rest), percent(loaded))
		switch {
		case rung.V >= full:
			verdict = Fail
			part += fmt.Sprintf(", but a full bank rests at %s: it runs whenever nothing charges", volts(full))
		case rest >= x.s.Controls.ReturnSoC:
			verdict = worse(verdict, Caution)
			part += fmt.Sprintf(", so that it runs with the bank above the %s at which all load is back", percent(x.s.Controls.ReturnSoC))
		case !x.linked() && (rung.V < x.low.CutOffV || rung.V == x.low.CutOffV && rung.HoldS >= x.low.CutOffDelayS):
			verdict = worse(verdict, Caution)
			part += fmt.Sprintf(", but the load stops before it (%s for %s)", volts(x.low.CutOffV), duration(x.low.CutOffDelayS))
		}
		parts = append(parts, part)
		values = append(values, val(fmt.Sprintf("rung_%d_v", i+1), rung.V), val(fmt.Sprintf("rung_%d_rest_soc_fraction", i+1), rest), val(fmt.Sprintf("rung_%d_loaded_soc_fraction", i+1), loaded))
	}
	x.add("generator_voltage_ladder", x.name+": voltages that start it", verdict, "open-circuit voltage of the cells at 25 °C; "+practice, strings.Join(parts, "; ")+".", values...)
}

func (x set) withoutBank() {
	const check = "generator_without_bank"
	subject := x.name + ": carries the load when the bank is off"
	if x.s.Inverter.PassesWithoutBank {
		x.add(check, subject, Pass, "passes_through_without_bank of the inverter", "The inverter passes generator power through with no bank on the bus.")
		return
	}
	off := "with the modules open or asleep"
	if x.m.LeadAcid() {
		off = "with the bank taken off"
	}
	x.add(check, subject, Caution, practice, "The inverter needs the bank's voltage to pass generator power through: "+off+" the set runs, or gets no start signal, and the site stays dark.")
}
