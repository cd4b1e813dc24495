package bank

import "math"

// resistanceGrowth is how many times the lost part of the capacity the resistance
// has grown by (common practice, no source): lithium cells by half, lead-acid to
// double, when a fifth is lost.
func resistanceGrowth(m *Module) float64 {
	if m.LeadAcid() {
		return 5
	}
	return 2.5
}

// lossAtEnd is the loss of capacity, %, at which cells count as spent.
const lossAtEnd = 20

// agedAtC and agedAtSoC are where a bank of a stated age spent its years, and
// agedDepth how deep it was cycled every day (common practice, no source: what is
// not known is taken for the middle).
const (
	agedAtC   = 25.
	agedAtSoC = 0.5
	agedDepth = 0.5
)

// AgedCapacityFraction is the part of the capacity that is left at the bank's age:
// as given; for LFP the calendar loss of Naumann et al. 2018 at 25 °C and 50 % and a
// day's cycle of half the capacity by the module's own table; for any other
// chemistry a straight line to 80 % at the end of the warranty (common practice, no
// source). Never below 0.1.
func (s *Spec) AgedCapacityFraction() float64 {
	m := &s.Module
	switch {
	case s.AgedCapacity > 0:
		return s.AgedCapacity
	case s.AgeYears == 0:
		return 1
	}
	loss := 0.
	if m.Chemistry == "lfp" {
		const year = 365.25 * 86400
		loss = CalendarRate(agedAtC, agedAtSoC)*math.Sqrt(s.AgeYears*year) + lossAtEnd*365.25*s.AgeYears/CyclesAt(m.CyclesByDepth, agedDepth)
	} else {
		loss = lossAtEnd * s.AgeYears / max(1, m.WarrantyYears)
	}
	return max(0.1, 1-loss/100)
}

// AgedResistanceFactor is what the resistance has grown by at the bank's age: as
// given, else by its lost capacity.
func (s *Spec) AgedResistanceFactor() float64 {
	if s.AgedResistance > 0 {
		return s.AgedResistance
	}
	return 1 + s.ResistanceGrowth(1-s.AgedCapacityFraction())
}

// ResistanceGrowth is the growth of resistance that goes with a loss of capacity,
// as parts of both.
func (s *Spec) ResistanceGrowth(loss float64) float64 { return resistanceGrowth(&s.Module) * loss }

// Aged is the bank as it is at its age, as a new one of less capacity and more
// resistance. A shunt's counter keeps the capacity that it was set to, a BMS learns
// what is left (common practice, no source).
func (s *Spec) Aged() Spec {
	a := *s
	left, factor := s.AgedCapacityFraction(), s.AgedResistanceFactor()
	if left == 1 && factor == 1 {
		return a
	}
	m := &a.Module
	if k := s.Counter().Kind; k != "bms" && a.Estimate.AssumedAh == 0 {
		a.Estimate.AssumedAh = m.CapacityAh * float64(s.Modules)
	}
	m.CapacityAh *= left
	m.ResistanceOhm *= factor
	if m.Wells != nil {
		w := *m.Wells
		w.CapacityAh *= left
		m.Wells = &w
	}
	m.CapacitiesAh = nil
	for _, row := range s.Module.CapacitiesAh {
		m.CapacitiesAh = append(m.CapacitiesAh, [2]float64{row[0], row[1] * left})
	}
	return a
}

// LossInYear is the loss of capacity (%) in the year after an age (years) at which
// lostNow % is gone, of cells whose calendar loss grows with the square by
// squareAYear (%²) and whose cycles take cyclesAYear (%) a year.
func LossInYear(age, squareAYear, cyclesAYear float64) float64 {
	return math.Sqrt(squareAYear*(age+1)) - math.Sqrt(squareAYear*age) + cyclesAYear
}

// YearsLeft is the time, years, from an age at which lost % is gone until loss % is,
// at the pace of LossInYear; 0 where it is gone already, +Inf when nothing ages:
//
//	√(S·(a + y)) − √(S·a) + w·y = loss − lost
func YearsLeft(loss, lost, age, squareAYear, cyclesAYear float64) float64 {
	if lost >= loss {
		return 0
	}
	b := math.Sqrt(squareAYear)
	return YearsTo(loss-lost+b*math.Sqrt(age)+cyclesAYear*age, squareAYear, cyclesAYear) - age
}
