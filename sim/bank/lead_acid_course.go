package bank

// AcidCourse is a course of the wells with what flows at the terminals: the
// current into the wells and the gassing one. Between two knots of the level the
// current is straight, with the slope of its law's chord, from the law's own
// value at the start; it is meant to be left at the next knot, KnotS.
type AcidCourse struct {
	Course
	terminalA, terminalSlopeA float64
}

// TerminalA is the current at the terminals, A, at a time (s).
func (c *AcidCourse) TerminalA(timeS float64) float64 {
	return c.terminalA + c.terminalSlopeA*(c.level.at(timeS)-c.level.start)
}

// TerminalAs is the charge through the terminals until a time (s). Less
// ChargeAs it is what gassed.
func (c *AcidCourse) TerminalAs(timeS float64) float64 {
	return (c.terminalA + c.terminalSlopeA*(c.level.mean(timeS)-c.level.start)) * timeS
}

// KnotS is the first time, s, up to horizonS at which the level comes onto a
// knot, and that knot; +Inf if it does not.
func (c *AcidCourse) KnotS(horizonS float64) (timeS, level float64) {
	start := c.level.start
	below, above := knotBelow(start), knotAbove(start)
	timeS, level = c.TimeToS(above, horizonS), above
	if t := c.TimeToS(below, horizonS); t < timeS {
		timeS, level = t, below
	}
	if knotAbove(below) == start { // it stands on a knot and may come back to it
		if t := c.TimeToS(start, horizonS); t < timeS {
			timeS, level = t, start
		}
	}
	return timeS, level
}

// Held is the course while the terminals are held at a voltage, at a cell
// temperature (°C). LevelAtV at the tail current is the level at which it ends.
func (a *AcidVoltage) Held(b TwoWell, w Wells, terminalV, celsius float64) AcidCourse {
	gas := a.GassingA(terminalV, celsius)
	start := a.HeldA(w.Level, terminalV)
	lo, hi := knotsAround(b, w, start-gas)
	slope := (a.HeldA(hi, terminalV) - a.HeldA(lo, terminalV)) / (hi - lo)
	return AcidCourse{b.Course(w, start-gas, slope), start, slope}
}

// Carried is the course at a constant current at the terminals (A).
func (a *AcidVoltage) Carried(b TwoWell, w Wells, currentA, celsius float64) AcidCourse {
	gas := func(level float64) float64 { return a.GassingA(a.TerminalV(level, currentA), celsius) }
	start := currentA - gas(w.Level)
	lo, hi := knotsAround(b, w, start)
	return AcidCourse{b.Course(w, start, (gas(lo)-gas(hi))/(hi-lo)), currentA, 0}
}

// Powered is the course at a constant power of the bus (W) beside sources of
// constant current (A), both positive into the bank; ok is false when the
// voltage collapses before the next knot below.
func (a *AcidVoltage) Powered(b TwoWell, w Wells, powerW, sourceA, celsius float64) (c AcidCourse, ok bool) {
	ok = true
	law := func(level float64) (currentA, gasA float64) {
		i, real := a.PowerA(level, powerW, sourceA)
		ok = ok && real
		return i, a.GassingA(a.TerminalV(level, i), celsius)
	}
	start, gas := law(w.Level)
	lo, hi := knotsAround(b, w, start-gas)
	first, firstGas := law(lo)
	last, lastGas := law(hi)
	slope := (last - first) / (hi - lo)
	return AcidCourse{b.Course(w, start-gas, slope-(lastGas-firstGas)/(hi-lo)), start, slope}, ok
}

// Filled is the course of a full available well under a current at the terminals
// (A) above what the bound well accepts: the rest is gas.
func (a *AcidVoltage) Filled(b TwoWell, w Wells, currentA float64) AcidCourse {
	return AcidCourse{b.Pinned(w), currentA, 0}
}

// acidKnots are the levels between which a current is straight. Towards full the
// distance to the end of the charge law falls by 15 in a hundred from each to the
// next, so that the voltage of a charge current, and what it gasses, bend little.
var acidKnots = [...]float64{
	0, .2, .38, .52, .62, .7, .76, .81, .85, .881, .899, .9143, .9273, .9384, .9478, .9557, .9625, .9683,
	.9732, .9774, .9809, .9839, .9865, .9887, .9905, .9921, .9934, .9946, .9955, .9963, .997, .998, .999, 1,
}

// knotAbove is the next knot above a level, the end of the charge law above all.
func knotAbove(level float64) float64 {
	for _, k := range acidKnots {
		if k > level {
			return k
		}
	}
	return acidRiseEnd
}

// knotBelow is the next knot below a level, −1 below all.
func knotBelow(level float64) float64 {
	for i := len(acidKnots) - 1; i >= 0; i-- {
		if acidKnots[i] < level {
			return acidKnots[i]
		}
	}
	return -1
}

// knotsAround are the knots on both sides of the level of the wells. On a knot
// it is the pair towards which a current into the wells (A) moves the level.
func knotsAround(b TwoWell, w Wells, currentA float64) (lo, hi float64) {
	level := w.Level
	lo, hi = knotBelow(level), knotAbove(level)
	if knotAbove(lo) == level {
		if currentA > b.AcceptedA(w) { // more than what flows on into the bound well
			return level, hi
		}
		return lo, level
	}
	return lo, hi
}
