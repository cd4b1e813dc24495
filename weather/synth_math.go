package weather

import "math"

// Elementary functions that give the same bits on every platform. Those of
// package math may use other code, and the compiler may fuse x*y + z, on some
// processors. Here each product that is added to is rounded by an explicit
// conversion, which the language says stops fusing; these conversions carry
// the promise and must stay. Errors are a few units in the last place.

// polynomial is c[0] + c[1]·x + c[2]·x² + …, by Horner's rule.
func polynomial(x float64, c ...float64) float64 {
	y := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		y = float64(y*x) + c[i]
	}
	return y
}

// ln2 and pi in two parts: the first has trailing zeros, so that small
// multiples of it are exact (Cody & Waite).
const (
	ln2High = 6.93147180369123816490e-01
	ln2Low  = 1.90821492927058770002e-10

	halfPiHigh = 1.57079632673412561417e+00
	halfPiLow  = 6.07710050650619224932e-11
)

// sameExp is e^x for −700 ≤ x ≤ 700: x = k·ln 2 + r, e^r by its series.
func sameExp(x float64) float64 {
	x = float64(x) // may come from a product
	k := math.Floor(float64(x/math.Ln2) + 0.5)
	r := x - float64(k*ln2High)
	r -= float64(k * ln2Low)
	y := polynomial(r, 1, 1, 1.0/2, 1.0/6, 1.0/24, 1.0/120, 1.0/720, 1.0/5040, 1.0/40320,
		1.0/362880, 1.0/3628800, 1.0/39916800, 1.0/479001600, 1.0/6227020800)
	return math.Ldexp(y, int(k))
}

// sameLog is ln x for x > 0: x = m·2^k with m from √½ to √2, and
// ln m = 2 artanh f, f = (m − 1)/(m + 1), by its series.
func sameLog(x float64) float64 {
	m, k := math.Frexp(x)
	if m < math.Sqrt2/2 {
		m, k = m*2, k-1
	}
	f := (m - 1) / (m + 1)
	s := float64(f * f)
	series := polynomial(s, 1, 1.0/3, 1.0/5, 1.0/7, 1.0/9, 1.0/11, 1.0/13, 1.0/15, 1.0/17, 1.0/19, 1.0/21)
	y := float64(2*f) * series
	return float64(float64(k)*ln2High) + (float64(y) + float64(float64(k)*ln2Low))
}

// sameSin and sameCos take |x| up to some thousands: x = k·π/2 + r, then the
// series of the quadrant.
func sameSin(x float64) float64 {
	r, quadrant := quarter(x)
	return turned(r, quadrant)
}

func sameCos(x float64) float64 {
	r, quadrant := quarter(x)
	return turned(r, quadrant+1)
}

func quarter(x float64) (r float64, quadrant int) {
	x = float64(x) // may come from a product
	k := math.Floor(float64(x/(math.Pi/2)) + 0.5)
	r = x - float64(k*halfPiHigh)
	r -= float64(k * halfPiLow)
	return r, int(k)
}

// turned is sin(r + quadrant·π/2) for |r| ≤ π/4.
func turned(r float64, quadrant int) float64 {
	s := float64(r * r)
	var y float64
	if quadrant&1 == 0 {
		y = float64(r * polynomial(s, 1, -1.0/6, 1.0/120, -1.0/5040, 1.0/362880, -1.0/39916800, 1.0/6227020800, -1.0/1307674368000))
	} else {
		y = polynomial(s, 1, -1.0/2, 1.0/24, -1.0/720, 1.0/40320, -1.0/3628800, 1.0/479001600, -1.0/87178291200, 1.0/20922789888000)
	}
	if quadrant&2 != 0 {
		return -y
	}
	return y
}

// sameAcos is the angle from 0 to π whose cosine is x, by halving: 60 steps.
func sameAcos(x float64) float64 {
	lo, hi := 0.0, math.Pi
	for range 60 {
		middle := float64((lo + hi) * 0.5)
		if sameCos(middle) > x {
			lo = middle
		} else {
			hi = middle
		}
	}
	return float64((lo + hi) * 0.5)
}
