package bank

import "math"

// TwoWell is the two-well kinetic battery of Manwell & McGowan 1993, Solar
// Energy 50(5), 399: an available well of which the current is drawn and a
// bound one that refills it through a valve,
//
//	dq1/dt = I + k·c(1−c)·Q(h2 − h1),  dq2/dt = −k·c(1−c)·Q(h2 − h1),
//	h1 = q1/(cQ),  h2 = q2/((1−c)Q)
//
// with the current I positive into the battery (the paper's is positive out of
// it) and the paper's k, which is k′/(c(1−c)) of its valve. Charge is in
// ampere-seconds, so that currents are in A and times in s. h1 is called the
// level; at rest both levels are the state of charge.
type TwoWell struct {
	AvailableFraction float64 // c, above 0 and below 1: the available well's part of the capacity
	RatePerS          float64 // k, above 0
	CapacityAs        float64 // Q, above 0: capacity at vanishing current
}

// Wells are the levels h1 and h2 of the two wells, 0 to 1 each.
type Wells struct{ Level, BoundLevel float64 }

// Rested are the wells at rest at a state of charge (0 to 1).
func Rested(soc float64) Wells { return Wells{soc, soc} }

// SoC is how full both wells are together, 0 to 1.
func (b TwoWell) SoC(w Wells) float64 {
	return b.AvailableFraction*w.Level + (1-b.AvailableFraction)*w.BoundLevel
}

// RatedSoC is the state of charge as the trade has it, against a rated capacity (As),
// that of 20 hours: 1 full, 0 when that much is drawn. What smaller currents draw
// beyond makes it negative.
func (b TwoWell) RatedSoC(w Wells, ratedAs float64) float64 {
	return 1 - (1-b.SoC(w))*b.CapacityAs/ratedAs
}

// RestedAt are the wells at rest at such a state of charge.
func (b TwoWell) RestedAt(soc, ratedAs float64) Wells {
	return Rested(max(0, 1-(1-soc)*ratedAs/b.CapacityAs))
}

// AvailableAs and BoundAs are the charges of the wells, As.
func (b TwoWell) AvailableAs(w Wells) float64 { return b.AvailableFraction * b.CapacityAs * w.Level }

// BoundAs is described with AvailableAs.
func (b TwoWell) BoundAs(w Wells) float64 {
	return (1 - b.AvailableFraction) * b.CapacityAs * w.BoundLevel
}

// CurrentToA is the constant current, A, that brings the available well to a
// level in a time (s). To 0, or to the floor of AcidFloor, it is the greatest
// discharge current for that time, to 1 the greatest charge current: the
// paper's I_d,max and I_c,max, written for the lead h1 − SoC, which relaxes by
// e^(−k·t):
//
//	I = Q·(level − SoC − (h1 − SoC)·e^(−k·t)) / (t + (1−c)(1 − e^(−k·t))/(k·c))
//
// At constant current the level turns at most once, away from the target, so
// that it passes no limit on the way that it keeps at the end.
func (b TwoWell) CurrentToA(w Wells, level, timeS float64) float64 {
	c, soc := b.AvailableFraction, b.SoC(w)
	gone := -math.Expm1(-b.RatePerS * timeS)
	lead := w.Level - soc
	return b.CapacityAs * (level - soc - lead*(1-gone)) / (timeS + (1-c)*gone/(b.RatePerS*c))
}

// DeliveredAs is the charge, As, that the full battery gives when constant
// current empties its available well in a time (s): the paper's
//
//	q(T) = Q·k·c·T / (1 − e^(−kT) + c(kT − 1 + e^(−kT)))
func (b TwoWell) DeliveredAs(timeS float64) float64 {
	return -timeS * b.CurrentToA(Rested(1), 0, timeS)
}

// AcceptedA is the charge current, A, that holds the available well where it
// is, the flow into the bound one. With the available well full it is the
// charge acceptance; it falls by e^(−k·c·t) as the bound well fills.
func (b TwoWell) AcceptedA(w Wells) float64 {
	c := b.AvailableFraction
	return b.RatePerS * c * (1 - c) * b.CapacityAs * (w.Level - w.BoundLevel)
}

// AcceptanceTimeS is the time, s, in which the acceptance of a battery whose
// available well is held where it is falls to a current (A): ln(I₀/I)/(k·c); 0
// when it is not above that current.
func (b TwoWell) AcceptanceTimeS(w Wells, currentA float64) float64 {
	start := b.AcceptedA(w)
	if start <= currentA {
		return 0
	}
	return math.Log(start/currentA) / (b.RatePerS * b.AvailableFraction)
}
