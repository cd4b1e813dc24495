package bank

import "math"

// CurrentA is the current, charge positive, that a bank of open-circuit
// voltage e (V) and resistance r (Ω) takes when the bus offers powerW beside
// sources of constant current sourceA (A):
//
//	(E + I·R)·I = P + (E + I·R)·I_s
//
// the greater root, which for I_s = 0 is I = 2P/(E + √(E² + 4RP)). rootV is the root
// in it, √((E − R·I_s)² + 4R(P + E·I_s)) = E + R(2I − I_s), V: how the left side less
// the right changes with I. ok is false where no real current carries the power
// (P < −E²/4R): the voltage collapses.
func CurrentA(e, r, powerW, sourceA float64) (currentA, rootV float64, ok bool) {
	b := e - r*sourceA
	c := powerW + e*sourceA
	d := b*b + 4*r*c
	if d < 0 {
		return -b / (2 * r), 0, false
	}
	root := math.Sqrt(d)
	if b+root <= 0 { // no load and I_s·R above E
		return (root - b) / (2 * r), root, true
	}
	return 2 * c / (b + root), root, true
}

// LogMean is the logarithmic mean of two rates of one sign, the mean rate over
// the way between them when the rate is linear in the way. The time for a way
// x is x / LogMean(rate at its start, rate at its end): exact at constant
// current, at constant voltage, and on a straight derating.
func LogMean(a, b float64) float64 {
	s, d := a+b, b-a
	z := d / s // ln(b/a) = 2·atanh(z)
	if z2 := z * z; z2 < 1e-3 {
		return s / 2 / (1 + z2*(1./3+z2*(1./5+z2*(1./7+z2*(1./9)))))
	}
	return d / math.Log(b/a)
}

// Growth is (e^z − 1)/z, the way covered over the way at the starting rate,
// where the rate grows by e^z.
func Growth(z float64) float64 {
	if z > -0.1 && z < 0.1 { // the series to z⁸, below 3e-15
		return 1 + z*(1./2+z*(1./6+z*(1./24+z*(1./120+z*(1./720+z*(1./5040+z*(1./40320+z*(1./362880))))))))
	}
	return math.Expm1(z) / z
}

// Decay is e^−z, what is left of a difference after a time of z time constants;
// below a tenth by its series to z⁹, within 3e-17.
func Decay(z float64) float64 {
	if z > -0.1 && z < 0.1 {
		return 1 - z*Growth(-z)
	}
	return math.Exp(-z)
}
