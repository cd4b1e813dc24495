package bank

import "math"

// Course is how the two wells go in a segment in which the current follows the
// level in a straight line, in closed form; both wells have the same rates. Times
// are in s from its start.
type Course struct {
	battery      TwoWell
	level, bound course
	currentA     float64 // into the wells at the start
	slopeA       float64 // of the current over the level
	steady       bool    // the slope is 0
}

// Moment is a course at a time: the wells there, and the mean level until then.
type Moment struct {
	TimeS float64
	Wells
	MeanLevel float64
	perS      float64 // rate of the level
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
	var c Course
	c.begin(b, w, currentA, slopeA)
	return c
}

func (c *Course) begin(b TwoWell, w Wells, currentA, slopeA float64) {
	a, k, q := b.AvailableFraction, b.RatePerS, b.CapacityAs
	h, p := w.Level, w.BoundLevel
	c.battery, c.currentA, c.slopeA, c.steady = b, currentA, slopeA, slopeA == 0
	if c.steady {
		lead, settled := h-b.SoC(w), currentA*(1-a)/(k*a*q)
		c.level = course{start: h, perS: currentA / q, c1: lead - settled, r1: k}
		c.bound = course{start: p, perS: currentA / q, c1: (settled - lead) * a / (1 - a), r1: k}
		return
	}
	perCQ := 1 / (a * q)
	sigma := -slopeA * perCQ
	root := math.Sqrt((sigma+k)*(sigma+k) - 4*sigma*k*a)
	fast := (sigma + k + root) / 2
	slow := sigma * k * a / fast
	u, perRoot, flow := currentA/slopeA, 1/root, k*(p-h)
	mode := func(start, x, rate float64) course {
		return course{start: start, c1: -(rate + slow*x) * perRoot, r1: fast, c2: (rate + fast*x) * perRoot, r2: slow}
	}
	c.level = mode(h, u, currentA*perCQ+flow*(1-a))
	c.bound = mode(p, p-h+u, -flow*a)
}

// Moment is the course at a time.
func (c *Course) Moment(timeS float64) Moment {
	l, b := &c.level, &c.bound
	z1, z2 := -l.r1*timeS, -l.r2*timeS
	g1, g2 := Growth(z1), Growth(z2)
	gone1, gone2, along := z1*g1, z2*g2, l.perS*timeS
	return Moment{
		TimeS:     timeS,
		Wells:     Wells{l.start + (along + l.c1*gone1 + l.c2*gone2), b.start + (along + b.c1*gone1 + b.c2*gone2)},
		MeanLevel: l.start + (along/2 + l.c1*(g1-1) + l.c2*(g2-1)),
		perS:      l.perS - l.c1*l.r1*(1+gone1) - l.c2*l.r2*(1+gone2),
	}
}

// Between are the levels between which the course stays up to a moment of it.
func (c *Course) Between(end Moment) (lo, hi float64) {
	lo, hi = min(c.level.start, end.Level), max(c.level.start, end.Level)
	if c.level.perS-c.level.c1*c.level.r1-c.level.c2*c.level.r2 > 0 != (end.perS > 0) {
		if t := c.TurnS(); t < end.TimeS {
			turned := c.Level(t)
			lo, hi = min(lo, turned), max(hi, turned)
		}
	}
	return lo, hi
}

// At are the wells at a time.
func (c *Course) At(timeS float64) Wells { return c.Moment(timeS).Wells }

// Onto are the wells of a moment at which the level is known: the available one
// is set exactly onto it and the bound one takes the rounding, so that no charge
// is lost.
func (m Moment) Onto(b TwoWell, level float64) Wells {
	a := b.AvailableFraction
	return Wells{level, m.BoundLevel + (m.Level-level)*a/(1-a)}
}

// Level is h1 at a time.
func (c *Course) Level(timeS float64) float64 { return c.level.at(timeS) }

// MeanLevel is the mean of h1 from the start to a time; what goes in a straight
// line with the level has its mean there.
func (c *Course) MeanLevel(timeS float64) float64 { return c.Moment(timeS).MeanLevel }

// CurrentA is the current into the wells at a time.
func (c *Course) CurrentA(timeS float64) float64 {
	return c.CurrentAt(c.Level(timeS))
}

// CurrentAt is the current into the wells at a level of the course.
func (c *Course) CurrentAt(level float64) float64 { return c.currentA + c.slopeA*(level-c.level.start) }

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
