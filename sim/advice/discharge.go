package advice

import (
	"fmt"
	"math"
	"strings"

	"bankyear/sim/bank"
)

// surgeSoC is the state of charge at which peaks and sag are looked at: low,
// but not yet shed.
const surgeSoC = 0.2

// dischargeCurrents holds the inverter's ratings against the bank's currents,
// and against the voltage that they leave.
func (f *fit) dischargeCurrents() {
	f.continuous()
	f.dischargeCeiling()
	f.surge()
	f.sag()
}

// continuous takes the inverter's rating at the cut-off voltage, where it draws
// most: I = P_dc / V.
func (f *fit) continuous() {
	inv := &f.s.Inverter
	dc := inv.DCPowerW(inv.RatedW)
	current, limit := dc/f.low.CutOffV, f.m.DischargeA*f.share
	verdict := Pass
	reason := fmt.Sprintf("%s of AC power take %s of DC power, at the cut-off voltage of %s that is %s. The bank gives %s without end: %s × %s / %s for the worst module's share.",
		watts(inv.RatedW), watts(dc), volts(f.low.CutOffV), amps(current), amps(limit), modules(f.s.Bank.Modules), amps(f.m.DischargeA), fixed(f.m.WorstShare, 2))
	if current > limit {
		verdict = Fail
		carries := inv.ACPowerW(limit * f.low.CutOffV)
		reason += fmt.Sprintf(" More than about %s for longer than a peak trips the modules.", watts(carries))
	}
	f.add("discharge_current", "inverter's rating against the bank's discharge current", verdict, "discharge_a and worst_share of the module, loss curve of the inverter", reason,
		val("inverter_a", current), val("bank_limit_a", limit))
}

// dischargeCeiling holds the inverter's rating against what the BMS lets it take at the
// temperatures of the air around the bank. Where it reports no ceiling nothing is said.
func (f *fit) dischargeCeiling() {
	l := &f.m.Linked
	if !f.linked() || !l.LimitsDischarge() {
		return
	}
	inv, byC := &f.s.Inverter, f.m.DischargeCeilingByC()
	current := inv.DCPowerW(inv.RatedW) / f.low.CutOffV
	at, least := byC[0][0], math.Inf(1)
	look := func(c float64) {
		if a := bank.At(byC, c) * f.share; a < least {
			at, least = c, a
		}
	}
	if f.air.known {
		look(f.air.lowC)
		look(f.air.highC)
	}
	for _, row := range byC {
		if !f.air.known || row[0] > f.air.lowC && row[0] < f.air.highC {
			look(row[0])
		}
	}
	verdict, reason := Pass, fmt.Sprintf("The BMS lets the bank give %s or more, and the inverter's rating takes %s at the cut-off voltage: the ceiling sheds nothing at these temperatures.", amps(least), amps(current))
	if least < current {
		verdict = Caution
		reason = fmt.Sprintf("With cells of %s the BMS lets the bank give %s; the inverter's rating takes %s at the cut-off voltage. Beyond about %s beside the sun flexible load is shed, then all load stops, and comes back where it would take nine tenths of the ceiling.",
			celsius(at), amps(least), amps(current), watts(max(0, inv.ACPowerW(least*f.low.CutOffV))))
	}
	values := []Value{val("inverter_a", current), val("ceiling_a", least), val("cell_c", at)}
	if factor := bank.At(l.DischargeFactorBySoC(), f.low.StopSoC); factor < 1 {
		reason += fmt.Sprintf(" Towards the low end it falls: at the stop of %s to %s of that.", percent(f.low.StopSoC), percent(factor))
		values = append(values, val("factor_at_stop_fraction", factor))
	}
	f.add("discharge_ceiling", "inverter's rating against the discharge that the BMS allows", verdict, "discharge_a_by_c, discharge_factor_by_soc and worst_share of the module", reason, values...)
}

// loaded is the bank at surgeSoC while the inverter makes acW: its discharge
// current, its voltage, and whether it can carry that at all.
func (f *fit) loaded(acW, cellC float64) (currentA, v float64, ok bool) {
	e, r := bank.At(f.m.BranchV(-1), surgeSoC), f.ohm(cellC, surgeSoC)
	i, _, ok := bank.CurrentA(e, r, -f.s.Inverter.DCPowerW(acW), 0)
	return -i, e + i*r, ok
}

// lastsS is how long the bank bears a discharge current: without end up to the
// continuous one, then the time of the least listed peak that is not below it,
// a second at least and above all of them.
func (f *fit) lastsS(currentA float64) float64 {
	if currentA <= f.m.DischargeA*f.share {
		return math.Inf(1)
	}
	for _, peak := range f.m.PeakAS {
		if currentA <= peak[0]*f.share {
			return max(1, peak[1])
		}
	}
	return 1
}

// surge holds every short rating of the inverter against the bank's peaks.
func (f *fit) surge() {
	const check, subject, basis = "surge", "inverter's short ratings against the bank's peaks", "short ratings of the inverter, peaks and worst_share of the module; state of charge chosen here"
	short := f.s.Inverter.Short
	if len(short) == 0 {
		f.add(check, subject, Pass, basis, "The inverter states no rating above its continuous one.")
		return
	}
	verdict, parts, values := Pass, []string{}, []Value{}
	for k, r := range short {
		i, _, ok := f.loaded(r[0], 25)
		lasts := f.lastsS(i)
		part := fmt.Sprintf("%s for %s takes %s", watts(r[0]), duration(r[1]), amps(i))
		switch {
		case !ok:
			verdict = Caution
			part = fmt.Sprintf("%s for %s is more than the bank can carry at any current", watts(r[0]), duration(r[1]))
		case lasts < r[1]:
			verdict = Caution
			part += fmt.Sprintf(", which the bank bears for %s only", duration(lasts))
		case math.IsInf(lasts, 1):
			part += ", which it bears without end"
		default:
			part += fmt.Sprintf(", which it bears for %s", duration(lasts))
		}
		parts = append(parts, part)
		values = append(values, val(fmt.Sprintf("short_%d_w", k+1), r[0]), val(fmt.Sprintf("short_%d_s", k+1), r[1]), val(fmt.Sprintf("short_%d_bank_a", k+1), i))
	}
	reason := fmt.Sprintf("At %s charge and cells of 25 °C: %s.", percent(surgeSoC), strings.Join(parts, "; "))
	if verdict == Caution {
		reason += " The inverter promises starts that this bank trips on: more modules, or soft starters."
	}
	f.add(check, subject, verdict, basis, reason, values...)
}

// sag looks for the power at which the voltage falls through the low end
// although charge is left: at 25 °C, and with cells as cold as the air makes
// them, down to 0 °C.
func (f *fit) sag() {
	inv := &f.s.Inverter
	cold := 0.0
	if f.air.known {
		cold = max(0, min(25, f.air.lowC))
	}
	verdict, trouble, values := Pass, []string{}, []Value{}
	lowest := math.Inf(1)
	for _, cellC := range []float64{25, cold} {
		for k, r := range append([][2]float64{{inv.RatedW, math.Inf(1)}}, inv.Short...) {
			_, v, ok := f.loaded(r[0], cellC)
			stop := f.stops(v, r[1])
			switch {
			case !ok:
				stop = "collapses"
				v = 0
			case stop == "":
				lowest = min(lowest, v)
				continue
			default:
				stop = "stands at " + volts(v) + ", and " + stop
			}
			if verdict = worse(verdict, Caution); k == 0 && cellC == 25 {
				verdict = Fail
			}
			trouble = append(trouble, fmt.Sprintf("under %s with cells of %s the bank %s", watts(r[0]), celsius(cellC), stop))
			at := fmt.Sprintf("case_%d", len(trouble))
			values = append(values, val(at+"_load_w", r[0]), val(at+"_cell_c", cellC), val(at+"_bank_v", v))
		}
		if cold == 25 {
			break
		}
	}
	where := fmt.Sprintf("At %s charge the bank rests at %s and has %s mΩ with cells of 25 °C, %s mΩ at %s.", percent(surgeSoC),
		volts(bank.At(f.m.BranchV(-1), surgeSoC)), fixed(1000*f.ohm(25, surgeSoC), 1), fixed(1000*f.ohm(cold, surgeSoC), 1), celsius(cold))
	reason := where + " No rating of the inverter pulls it through the low end."
	if len(trouble) == 0 {
		values = append(values, val("lowest_v", lowest))
	} else {
		reason = where + " " + capital(strings.Join(trouble, "; ")) + ". That is dark with charge left in the bank."
	}
	f.add("sag", "voltage under load against the low end", verdict, "resistance of module and cable, loss curve of the inverter; state of charge chosen here", reason, values...)
}

// stops says what a bus voltage that lasts for a time stops, or nothing.
func (f *fit) stops(v, s float64) string {
	low := f.low
	switch {
	case v < f.s.Inverter.MinV:
		return "the inverter stops below " + volts(f.s.Inverter.MinV)
	case v < f.m.Protection.UnderV && s >= f.m.Protection.UnderDelayS:
		return "the modules open after " + duration(f.m.Protection.UnderDelayS) + " below " + volts(f.m.Protection.UnderV)
	case f.linked():
		return "" // by reported SoC
	case v < low.FastCutOffV && s >= low.FastCutOffDelayS:
		return "the load stops after " + duration(low.FastCutOffDelayS) + " below " + volts(low.FastCutOffV)
	case v < low.CutOffV && s >= low.CutOffDelayS:
		return "the load stops after " + duration(low.CutOffDelayS) + " below " + volts(low.CutOffV)
	}
	return ""
}

func worse(a, b Verdict) Verdict {
	if b.rank() > a.rank() {
		return b
	}
	return a
}
