package sim

import (
	"math"

	"bankyear/sim/bank"
)

// Life is how long the modules of a bank last in years like one that was simulated.
type Life struct {
	Years float64 // +Inf where nothing limits it
	By    string  // what says so: a figure, or the warranty
}

// Life is the life of the bank's modules at the pace of a year, by what is known of their
// chemistry: LFP until 80 % of the capacity by its law of ageing; lead-acid by its cycles or
// its float life; any other by its cycles or until its warranty ends, for want of a law of
// calendar ageing; whichever is over first (common practice). Where none of these is known,
// by the warranty's energy too.
func (s *System) Life(f *Figures) Life {
	if f.YearsTo80Pct > 0 {
		return Life{f.YearsTo80Pct, "years_to_80_pct"}
	}
	out := Life{math.Inf(1), "no limit stated"}
	least := func(years float64, by string) {
		if years > 0 && years < out.Years {
			out = Life{years, by}
		}
	}
	least(f.YearsByCycles, "years_by_cycles")
	if f.YearsOnFloat > 0 {
		least(f.YearsOnFloat, "years_on_float")
		return out
	}
	least(s.Bank.Module.WarrantyYears, "warranty in years")
	if f.YearsByCycles == 0 && f.WarrantyShare > 0 {
		least(1/f.WarrantyShare, "warranty in MWh")
	}
	return out
}

// wearOut writes the years that cycles and float life leave a bank without a law of ageing,
// from its age on: of each the part of the loss to 80 % that is left, over what a year takes.
func (f *Figures) wearOut(p *Plan, a *ageing) {
	left := 1 - (1-p.left)/0.2
	if left < 1e-9 {
		return
	}
	if f.CycleWearFraction > 0 {
		f.YearsByCycles = left / f.CycleWearFraction
	}
	if a.floated > 0 {
		f.YearsOnFloat = left / a.floated
	}
}

// floatPace is the part of the float life that a second at 25 °C takes, 1/s; 0 for a
// chemistry that has none.
func floatPace(chemistry string) float64 {
	years := bank.FloatLifeYears(chemistry)
	if years == 0 {
		return 0
	}
	return 1 / (years * 365.25 * 86400)
}
