package bank

import "math"

// course is a sum of a straight line and two exponentials, written for its
// change so that short times keep their digits:
//
//	x(t) = start + perS·t + c1·(e^(−r1·t) − 1) + c2·(e^(−r2·t) − 1)
//
// Either perS or c2 is 0; that is what makes it turn at most once.
type course struct{ start, perS, c1, r1, c2, r2 float64 }

func (c *course) gone(t float64) float64 {
	x := c.perS*t + c.c1*math.Expm1(-c.r1*t)
	if c.c2 != 0 {
		x += c.c2 * math.Expm1(-c.r2*t)
	}
	return x
}

func (c *course) at(t float64) float64 { return c.start + c.gone(t) }

func (c *course) rate(t float64) float64 {
	x := c.perS - c.c1*c.r1*math.Exp(-c.r1*t)
	if c.c2 != 0 {
		x -= c.c2 * c.r2 * math.Exp(-c.r2*t)
	}
	return x
}

// turn is the time after 0 at which x turns, +Inf if it does not.
func (c *course) turn() float64 {
	ratio, rate := c.c1*c.r1/c.perS, c.r1
	if c.c2 != 0 {
		ratio, rate = -c.c1*c.r1/(c.c2*c.r2), c.r1-c.r2
	}
	if ratio > 1 && !math.IsInf(ratio, 1) {
		return math.Log(ratio) / rate
	}
	return math.Inf(1)
}

// root is the time in (lo, hi], where x does not turn, at which x is a target:
// Newton's method, and a bisection where it would leave what is known to hold
// the root.
func (c *course) root(target, lo, hi float64) (float64, bool) {
	from, to := c.at(lo)-target, c.at(hi)-target
	if lo >= hi || from == 0 || from > 0 == (to > 0) && to != 0 {
		return 0, false
	}
	if to == 0 {
		return hi, true
	}
	t := lo + (hi-lo)*from/(from-to)
	for range 100 {
		x := c.at(t) - target
		if x == 0 {
			return t, true
		}
		if from > 0 == (x > 0) {
			lo = t
		} else {
			hi = t
		}
		next := t - x/c.rate(t)
		if !(next > lo && next < hi) { // also for NaN
			next = lo + (hi-lo)/2
		}
		if math.Abs(next-t) <= 1e-14*hi || next == lo || next == hi {
			return next, true
		}
		t = next
	}
	return t, true
}
