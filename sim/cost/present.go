package cost

import "math"

// Annuity is the present value of 1 paid at the end of each of n years at a
// rate (fraction a year): (1 − (1 + r)^−n)/r, and n at a rate of 0. Also near 0 no
// digits are lost.
func Annuity(rate float64, n int) float64 {
	if rate == 0 {
		return float64(n)
	}
	return -math.Expm1(-float64(n)*math.Log1p(rate)) / rate
}

// Discount is the present value of 1 paid in t years: (1 + r)^−t.
func Discount(rate, t float64) float64 { return math.Pow(1+rate, -t) }

// replaced is the present value of what is bought again each time that a life of
// so many years is over, within the horizon: at L, 2L, … below n. times is how
// often. A life without end is never over.
func replaced(price, lifeY, rate float64, n int) (present float64, times int) {
	for k := 1; float64(k)*lifeY < float64(n)-1e-9; k++ {
		present += price * Discount(rate, float64(k)*lifeY)
		times++
	}
	return present, times
}

// residual is the present value of what the last one bought is still worth at the
// horizon: the part of its life that is left, of its price.
func residual(price, lifeY, rate float64, n int, times int) float64 {
	if math.IsInf(lifeY, 1) {
		return price * Discount(rate, float64(n))
	}
	used := float64(n) - float64(times)*lifeY
	return price * max(0, 1-used/lifeY) * Discount(rate, float64(n))
}
