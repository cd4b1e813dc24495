package bank

import "math"

// Course is how the two wells go in a segment in which the current follows the
// level in a straight line, in closed form. Times are in s from its start.
type Course struct {
	battery        TwoWell
	level, bound   course
	currentA       float64 // into the wells at the start
	slopeA         float64 // of the current over the level
	pinned, steady bool
}

// Course starts from the wells with a current into them, A, and its slope along
// the level, A per unit of level: I(t) = currentA + slopeA·(h1(t) − h1(0)).
// Slope 0 is constant current (the paper's solution); a chord of the current
// that a held voltage or a held power drives is negative while it charges.
//
// With σ = −slope/(cQ) and u the level from where the current vanishes,
//
//	u′ = −σu + k(1−c)(v − u),  v′ = k·c(u − v)
//
// whose rates are real: 2λ = σ + k ± √((σ − k)² + 4σk(1−c)).
func (b TwoWell) Course(w Wells, currentA, slopeA float64) Course {
	c, k, q := b.AvailableFraction, b.RatePerS, b.CapacityAs
	h, p := w.Level, w.BoundLevel
	out := Course{battery: b, currentA: currentA, slopeA: slopeA}
	if slopeA == 0 {
		out.steady = true
		lead, settled := h-b.SoC(w), currentA*(1-c)/(k*c*q)
		out.level = course{start: h, perS: currentA / q, c1: lead - settled, r1: k}
		out.bound = course{start: p, perS: currentA / q, c1: (settled - lead) * c / (1 - c), r1: k}
		return out
	}
	sigma := -slopeA / (c * q)
	root := math.Sqrt((sigma+k)*(sigma+k) - 4*sigma*k*c)
	fast := (sigma + k + root) / 2
	slow := sigma * k * c / fast
	u := -currentA / (sigma * c * q)
	mode := func(start, x, rate float64) course {
		return course{start: start, c1: -(rate + slow*x) / root, r1: fast, c2: (rate + fast*x) / root, r2: slow}
	}
	out.level = mode(h, u, currentA/(c*q)+k*(1-c)*(p-h))
	out.bound = mode(p, p-h+u, k*c*(h-p))
	return out
}

// Pinned starts from the wells with the available one held where it is: the
// bound one fills by e^(−k·c·t), and the current is the acceptance.
func (b TwoWell) Pinned(w Wells) Course {
	h, p := w.Level, w.BoundLevel
	return Course{battery: b, pinned: true, currentA: b.AcceptedA(w),
		level: course{start: h},
		bound: course{start: p, c1: p - h, r1: b.RatePerS * b.AvailableFraction}}
}

// At are the wells at a time.
func (c *Course) At(timeS float64) Wells { return Wells{c.level.at(timeS), c.bound.at(timeS)} }

// Onto are the wells at a time at which the level is known: the available one
// is set exactly onto it and the bound one takes the rounding, so that no
// charge is lost.
func (c *Course) Onto(timeS, level float64) Wells {
	w, a := c.At(timeS), c.battery.AvailableFraction
	return Wells{level, w.BoundLevel + (w.Level-level)*a/(1-a)}
}

// Level is h1 at a time.
func (c *Course) Level(timeS float64) float64 { return c.level.at(timeS) }

// MeanLevel is the mean of h1 from the start to a time; what goes in a straight
// line with the level has its mean there.
func (c *Course) MeanLevel(timeS float64) float64 { return c.level.mean(timeS) }

// CurrentA is the current into the wells at a time.
func (c *Course) CurrentA(timeS float64) float64 {
	if c.pinned {
		return c.battery.AcceptedA(c.At(timeS))
	}
	return c.currentA + c.slopeA*(c.level.at(timeS)-c.level.start)
}

// ChargeAs is the charge that has gone into the wells until a time.
func (c *Course) ChargeAs(timeS float64) float64 {
	if c.steady {
		return c.currentA * timeS
	}
	b := c.battery
	return b.CapacityAs * (b.AvailableFraction*c.level.gone(timeS) + (1-b.AvailableFraction)*c.bound.gone(timeS))
}

// TurnS is the time at which the level turns; +Inf if it does not. It turns at
// most once.
func (c *Course) TurnS() float64 { return c.level.turn() }

// TimeToS is the first time after the start, up to horizonS, at which the
// level is reached; +Inf if it is not. A level on which the course starts
// counts only when it comes back to it.
func (c *Course) TimeToS(level, horizonS float64) float64 {
	turn := min(max(c.level.turn(), 0), horizonS)
	if t, ok := c.level.root(level, 0, turn); ok {
		return t
	}
	if t, ok := c.level.root(level, turn, horizonS); ok {
		return t
	}
	return math.Inf(1)
}
