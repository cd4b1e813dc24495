package bank

import "math"

// PeukertAh is the capacity, Ah, at a discharge current (A) of a battery that
// gives ratedAh at ratedA, by Peukert's law of 1897, Iⁿ·t = constant:
//
//	C = C_rated·(I_rated/I)^(n−1)
//
// The exponent n is 1 for a battery without rate effect and about 1.1 to 1.3
// for lead-acid (common practice, no source).
func PeukertAh(ratedAh, ratedA, exponent, currentA float64) float64 {
	return ratedAh * math.Pow(ratedA/currentA, exponent-1)
}

// PeukertAtHours is the capacity, Ah, that Peukert's law gives for a discharge
// in a time (h) when it is ratedAh in ratedHours.
func PeukertAtHours(ratedAh, ratedHours, exponent, hours float64) float64 {
	return ratedAh * math.Pow(hours/ratedHours, 1-1/exponent)
}

// FitTwoWell is the two-well battery that gives three capacities: pairs of
// hours of discharge and Ah, both rising, such as a maker's 5-, 10- and 20-hour
// ratings. With φ(x) = (1 − e^(−x))/x the capacity at constant current is
//
//	1/q(T) = 1/Q + (1 − c)/(cQ)·φ(kT)
//
// so that k follows from the ratio of two differences and the rest is linear.
// ok is false when no two-well battery gives such capacities.
func FitTwoWell(ratings [3][2]float64) (b TwoWell, ok bool) {
	t, y := [3]float64{}, [3]float64{}
	for i, r := range ratings {
		t[i], y[i] = r[0]*3600, 1/(r[1]*3600)
		if !(t[i] > 0 && y[i] > 0) || i > 0 && !(t[i] > t[i-1] && y[i] < y[i-1]) {
			return b, false
		}
	}
	want := (y[0] - y[1]) / (y[0] - y[2])
	ratio := func(k float64) float64 {
		a := Growth(-k * t[0])
		return (a - Growth(-k*t[1])) / (a - Growth(-k*t[2]))
	}
	// the ratio rises with k from where the wells do not refill within the
	// longest discharge to where they are level within the shortest
	lo, hi := math.Log(1e-3/t[2]), math.Log(1e3/t[0])
	if !(want > ratio(math.Exp(lo)) && want < ratio(math.Exp(hi))) {
		return b, false
	}
	for range 60 {
		if middle := (lo + hi) / 2; ratio(math.Exp(middle)) < want {
			lo = middle
		} else {
			hi = middle
		}
	}
	k := math.Exp((lo + hi) / 2)
	slope := (y[0] - y[2]) / (Growth(-k*t[0]) - Growth(-k*t[2]))
	whole := y[0] - slope*Growth(-k*t[0])
	if !(whole > 0) {
		return b, false
	}
	return TwoWell{AvailableFraction: whole / (whole + slope), RatePerS: k, CapacityAs: 1 / whole}, true
}
