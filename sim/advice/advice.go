// Package advice reads a system before any year is run: what to program into
// its chargers and its inverter (SheetOf), and whether its parts fit each other
// (Fit). It computes from the system's own values alone, and shows the
// arithmetic in plain words.
//
// A bound on voltage, current or time that a rule compares with is common
// practice without a source where nothing else is said.
package advice

import (
	"math"
	"slices"

	"bankyear/sim"
	"bankyear/sim/fault"
	"bankyear/weather"
)

// Verdict is how a check ended.
type Verdict string

// Verdicts, from good to bad.
const (
	Pass    Verdict = "pass"    // fits, and the reason says by how much
	Caution Verdict = "caution" // works under a condition that the reason names, or cannot be told from what is stated
	Fail    Verdict = "fail"    // does not fit as it stands
)

// Finding is one check of the fit of a system's parts.
type Finding struct {
	Check   string  `json:"check" doc:"Name of the check; stays the same from version to version."`
	Subject string  `json:"subject" doc:"What was checked, in words."`
	Verdict Verdict `json:"verdict" enum:"pass,caution,fail" doc:"Whether it fits."`
	Reason  string  `json:"reason" doc:"Why, with the arithmetic."`
	Values  []Value `json:"values" doc:"Numbers of the reason, in its order."`
	Basis   string  `json:"basis" doc:"Where the rule comes from."`
}

// Value is one number of a finding.
type Value struct {
	Name  string  `json:"name" doc:"What it is; the end of the name is the unit."`
	Value float64 `json:"value" doc:"The number."`
	Unit  string  `json:"unit,omitzero" required:"false" doc:"Unit; left out for a pure number."`
}

// Extremes is what is known of a site's air, °C. What is nil is not known, and
// the checks that need it say so.
type Extremes struct {
	LowestAirC  *float64 `json:"lowest_air_c,omitzero" required:"false" minimum:"-90" maximum:"60" doc:"Lowest outdoor air temperature."`
	HighestAirC *float64 `json:"highest_air_c,omitzero" required:"false" minimum:"-90" maximum:"60" doc:"Highest outdoor air temperature."`
	Source      string   `json:"source,omitzero" required:"false" doc:"Where they come from, in words that follow a number."`
}

// ExtremesOf takes the lowest and the highest mean over an interval from a
// weather year. A record reaches further.
func ExtremesOf(w *weather.Year) Extremes {
	if len(w.AmbientC) == 0 {
		return Extremes{}
	}
	low, high := w.AmbientC[0], w.AmbientC[0]
	for _, c := range w.AmbientC {
		if c < low {
			low = c
		} else if c > high {
			high = c
		}
	}
	return Extremes{LowestAirC: &low, HighestAirC: &high, Source: "in the weather year; a record reaches further"}
}

// Fit checks a system that Complete has filled and whose single members are in
// their ranges. What Check would refuse comes as a Fail. The order of the
// findings is fixed. Currents are at the cells' stated values; the load is not
// known here.
func Fit(s *sim.System, site Extremes) []Finding {
	f := newFit(s, site)
	if f.m.LeadAcid() {
		f.leadAcid()
		return f.out
	}
	f.windows()
	f.operation()
	f.chargeCurrents()
	f.dischargeCurrents()
	f.derating()
	f.cold()
	f.settings()
	f.counter()
	f.reserves()
	f.shedding()
	f.generators()
	f.hazards()
	f.facing()
	f.stated()
	return f.out
}

// Worst is the worst verdict of a list; Pass for none.
func Worst(findings []Finding) Verdict {
	worst := Pass
	for i := range findings {
		if findings[i].Verdict.rank() > worst.rank() {
			worst = findings[i].Verdict
		}
	}
	return worst
}

func (v Verdict) rank() int { return slices.Index([]Verdict{Pass, Caution, Fail}, v) }

// val names a number; the unit follows from the name. Millionths are enough for
// every unit here, and the same on every platform.
func val(name string, x float64) Value {
	return Value{Name: name, Value: math.Round(x*1e6) / 1e6, Unit: fault.UnitOf(name)}
}
