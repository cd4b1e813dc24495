package advice

import (
	"fmt"
	"math"

	"bankyear/sim/bank"
)

// settings looks for the wrong settings that are met in the field, in those
// that the chargers work by without a link, of a module with a BMS.
func (f *fit) settings() {
	if !f.solo.acts {
		return
	}
	f.compensation()
	f.absorption()
	f.float()
	f.lithiumEqualisation()
}

// lithiumEqualisation names equalisation that was left on after a swap.
func (f *fit) lithiumEqualisation() {
	set := &f.solo.set
	if set.EqualiseV == 0 || set.EqualiseS == 0 || set.EqualiseDays == 0 {
		return
	}
	trip := f.m.OverVoltageV()
	verdict, reason := Caution, fmt.Sprintf("%sequalisation is left on, a lead-acid habit: %s for %s every %s days. It adds no charge, and ages full cells.", f.solo.when, volts(set.EqualiseV), duration(set.EqualiseS), fixed(set.EqualiseDays, 0))
	if set.EqualiseV >= trip {
		verdict = Fail
		reason += fmt.Sprintf(" The highest cell trips the over-voltage protection at %s.", volts(trip))
	}
	f.add("equalisation", "equalisation off", verdict, practice, reason+" Switch it off.", val("equalise_v", set.EqualiseV), val("trip_v", trip))
}

// compensation: set-point = V + c · (sensed − 25).
func (f *fit) compensation() {
	const check, subject = "temperature_compensation", "temperature compensation off"
	set, trip := &f.solo.set, f.m.OverVoltageV()
	if set.CompensationV == 0 {
		f.add(check, subject, Pass, practice, fmt.Sprintf("%sset-points are the same at every temperature, as %s wants them.", f.solo.when, chemistryNames[f.m.Chemistry]), val("compensation_v_per_c", 0))
		return
	}
	at0 := setPointV(set, set.AbsorbV, 0)
	reason := fmt.Sprintf("%stemperature compensation is left on at %s mV/K, a lead-acid habit: absorption of %s at 25 °C becomes %s %s × 25 = %s at 0 °C",
		f.solo.when, fixed(1000*set.CompensationV, 0), volts(set.AbsorbV), volts(set.AbsorbV), signed(-set.CompensationV), volts(at0))
	highest := at0
	values := []Value{val("compensation_v_per_c", set.CompensationV), val("absorb_v", set.AbsorbV), val("absorb_at_0_c_v", at0)}
	if f.air.known {
		for _, x := range []struct {
			name  string
			c     float64
			tells bool
		}{{"lowest_air", f.air.lowC, f.air.lowC < 0}, {"highest_air", f.air.highC, f.air.highC > 25}} {
			v := setPointV(set, set.AbsorbV, x.c)
			highest = max(highest, v)
			if x.tells {
				reason += fmt.Sprintf(" and %s at %s", volts(v), celsius(x.c))
				values = append(values, val("absorb_at_"+x.name+"_v", v))
			}
		}
	}
	verdict := Caution
	if highest >= trip {
		verdict = Fail
		reason += fmt.Sprintf(". The highest cell trips the over-voltage protection at %s: trips on winter mornings.", volts(trip))
	} else {
		reason += fmt.Sprintf(". The highest cell trips at %s.", volts(trip))
	}
	if highest > f.s.Inverter.MaxV {
		verdict = Fail
		reason += fmt.Sprintf(" It is above the inverter's highest %s as well.", volts(f.s.Inverter.MaxV))
	}
	f.add(check, subject, verdict, practice, reason+" Set it to 0.", append(values, val("trip_v", trip))...)
}

// signed writes a number with its sign set apart, as a further summand.
func signed(x float64) string {
	if x < 0 {
		return "− " + fixed(-x, 3)
	}
	return "+ " + fixed(x, 3)
}

// between writes bounds of the bank's voltage, and where they come from.
func (f *fit) between(b bank.Bounds) string {
	if f.m.Chemistry == "table" {
		return fmt.Sprintf("%s to %s (by what its BMS asks for and takes for full)", volts(b.Least), volts(b.Most))
	}
	cells := float64(f.m.CellsInSeries)
	return fmt.Sprintf("%s to %s (%d × %s V to %s V)", volts(b.Least), volts(b.Most), f.m.CellsInSeries, cellVolts(b.Least/cells), cellVolts(b.Most/cells))
}

// slackV is of a rounded product.
const slackV = 1e-6

func (f *fit) absorption() {
	set := &f.solo.set
	bounds, _ := f.m.ChargeBounds()
	window := f.between(bounds)
	// The current a module that the taper is told for: what the chargers can
	// push, up to what the module is allowed.
	all, _, _ := total(f.sources(set.ChargeA))
	module := min(all/f.n, f.m.VoltageOnlyA)
	begins := f.taperSoC(set.AbsorbV, module*f.n)
	taper := fmt.Sprintf("At %s a module and 25 °C the taper begins at %s charge.", amps(module), percent(begins))
	values := []Value{val("absorb_v", set.AbsorbV), val("least_v", bounds.Least), val("most_v", bounds.Most), val("module_a", module), val("taper_from_soc_fraction", begins)}
	verdict, reason := Pass, fmt.Sprintf("%sabsorption is %s, within %s. %s", f.solo.when, volts(set.AbsorbV), window, taper)
	switch {
	case set.AbsorbV > bounds.Most+slackV:
		verdict = Caution
		adds := ""
		if chargedSoC(f.m, bounds.Most) > fullSoC {
			adds = "adds next to no charge, "
		}
		reason = fmt.Sprintf("%sabsorption is %s, above %s: it %sages the cells, and comes near the trip of the highest one (%s).", f.solo.when, volts(set.AbsorbV), window, adds, volts(f.m.OverVoltageV()))
		if set.AbsorbV >= f.m.OverVoltageV() {
			verdict = Fail
			reason = fmt.Sprintf("%sabsorption is %s, above %s and not below the %s at which the highest cell trips the over-voltage protection: every full charge ends in a trip.", f.solo.when, volts(set.AbsorbV), window, volts(f.m.OverVoltageV()))
		}
	case set.AbsorbV < bounds.Least-slackV:
		verdict = Caution
		rest := chargedSoC(f.m, set.AbsorbV)
		reason = fmt.Sprintf("%sabsorption is %s, below %s: charge slows early and ends at %s. %s", f.solo.when, volts(set.AbsorbV), window, percent(rest), taper)
	}
	f.add("absorption_voltage", "absorption voltage neither too high nor too low", verdict, practice, reason, values...)
}

func (f *fit) float() {
	set := &f.solo.set
	_, bounds := f.m.ChargeBounds()
	window := f.between(bounds)
	values := []Value{val("float_v", set.FloatV), val("absorb_v", set.AbsorbV), val("least_v", bounds.Least), val("most_v", bounds.Most)}
	verdict, reason := Pass, fmt.Sprintf("%sfloat is %s, within %s: the chargers carry the load and leave the full bank alone.", f.solo.when, volts(set.FloatV), window)
	switch {
	case set.FloatV > set.AbsorbV:
		verdict, reason = Fail, fmt.Sprintf("%sfloat is %s, above absorption at %s: charging never ends.", f.solo.when, volts(set.FloatV), volts(set.AbsorbV))
	case set.FloatV == set.AbsorbV:
		verdict, reason = Caution, fmt.Sprintf("%sfloat is %s, which is absorption: no float. The cells are held at that voltage for as long as the sun or a set gives power, every day, which ages them; %s is usual.", f.solo.when, volts(set.FloatV), window)
	case set.FloatV > bounds.Most+slackV:
		verdict, reason = Caution, fmt.Sprintf("%sfloat is %s, above %s: next to no float. The cells are held full all day, which ages them, and the tail of absorption never really ends.", f.solo.when, volts(set.FloatV), window)
	case set.FloatV < bounds.Least-slackV:
		verdict, reason = Caution, fmt.Sprintf("%sfloat is %s, below %s: the full bank feeds the load down to %s charge before the chargers help.", f.solo.when, volts(set.FloatV), window, percent(restSoC(f.m, set.FloatV)))
	}
	if set.RestartV >= set.FloatV {
		verdict = worse(verdict, Caution)
		reason += fmt.Sprintf(" Charging starts again below %s, which is not below float: it starts over and over.", volts(set.RestartV))
	}
	f.add("float_voltage", "float voltage below absorption", verdict, practice, reason, values...)
}

// perDay is what an offset current adds to a counter each day, as a part of the
// capacity: 24 h · A / Ah.
func perDay(offsetA, ah float64) float64 { return 24 * math.Abs(offsetA) / ah }
