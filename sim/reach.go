package sim

import (
	"math"

	"bankyear/sim/bank"
)

// reach follows the charge to the end of the time or to its first event.
func (m *machine) reach(s *stretch) {
	p, f := m.p, s.f
	what, knot := knotUp, p.knots[m.knot+1].q-m.q
	if s.r0 < 0 {
		what, knot = knotDown, p.knots[m.knot].q-m.q
	}
	if s.toBranch != 0 && math.Abs(s.toBranch) < math.Abs(knot) {
		what, knot = branch, s.toBranch
	}
	s.run(math.Abs(knot))
	s.first, s.which = math.Inf(1), noEvent
	if math.Abs(s.x) >= math.Abs(knot) {
		s.land(knot)
		s.first, s.which = knot, what
	}
	s.sign, s.end = math.Copysign(1, s.r0), s.x
	switch f.mode {
	case constant:
		m.currentEvents(s)
		m.taperEvents(s)
	case power, ceiling:
		m.voltageEvents(s)
		m.limitEvents(s)
	case apart, pushed:
		if i, what := m.nextVolt(f.e + f.g*s.end); what != noEvent && (what == voltUp) == (s.sign > 0) {
			s.passed = i
			s.consider((m.p.volts[i]-f.e)/f.g, what)
		}
	}
	if f.mode != ceiling && s.i1 > f.ceilingA+f.c1*s.end && f.current < f.ceilingA-justOffA {
		s.consider(f.wayToCeiling(s.end, s.i1), turn)
	}
	if p.exact {
		if at, what := m.nextSoC((m.q+s.end)/p.qMax, f.current, f.mode == ceiling); what != noEvent {
			s.target = at
			s.consider(at*p.qMax-m.q, what)
		}
	}
	if m.drained && s.r0 > 0 {
		if back := drainedBack*p.qMax - m.q; s.end >= back {
			s.consider(back, turn)
		}
	}
	if s.which == noEvent {
		return
	}
	s.land(s.first)
	if s.r1*s.r0 <= 0 { // only approached, never reached
		s.run(math.Abs(s.first))
		return
	}
	tau := 0.
	if s.first != 0 {
		tau = s.first / bank.LogMean(s.r0, s.r1)
	}
	if tau > s.tau {
		s.run(math.Abs(s.first))
		return
	}
	s.tau, s.what = tau, s.which
}

// consider takes an event at a way for the first where it comes before what was
// found so far. One that lies behind the start comes at once.
func (s *stretch) consider(x float64, e event) {
	if x*s.sign < 0 {
		x = 0
	}
	if math.Abs(x) <= math.Abs(s.end) && math.Abs(x) < math.Abs(s.first) {
		s.first, s.which = x, e
	}
}

// voltageEvents considers the thresholds, set-points and charger knees that the
// voltage passes.
func (m *machine) voltageEvents(s *stretch) {
	f := s.f
	up := s.v1 > f.volts
	inner := s.v1 - s.i1*f.cable
	if i, what := m.nextVolt(inner); what != noEvent && (inner > f.inner()) == (what == voltUp) {
		s.passed = i
		if at := m.p.volts[i]; (inner > f.inner()) == (f.inner() >= at) { // within the slack of a level
			s.consider(0, what)
		} else {
			s.consider(f.wayToSensed(at, f.cable, s.r0), what)
		}
	}
	if f.cable > 0 {
		m.busEvents(s)
	}
	if m.p.v.sagless && f.mode == power {
		m.rungEvents(f, func(volts float64) { s.pastKnee(volts, up) })
	}
	if m.disagrees() {
		m.partyEvents(s)
	}
	if f.solarW+f.solarA+f.genW+f.genA == 0 {
		return
	}
	if f.solarW+f.solarA > 0 {
		s.pastSet(f.setS)
	}
	if f.genW+f.genA > 0 {
		s.pastSet(f.setG)
	}
	m.kneeEvents(s, up)
}

// pastSet considers the set-point of chargers that have something to give.
func (s *stretch) pastSet(set float64) {
	f := s.f
	if up := s.v1 > f.volts; up && f.volts < set-justBelow && s.v1 >= set || !up && f.volts > set+justBelow && s.v1 <= set {
		s.consider(f.wayTo(set, s.r0), turn)
	}
}

// kneeEvents considers the voltages at which the chargers change between their ampere
// limits and their powers.
func (m *machine) kneeEvents(s *stretch, up bool) {
	f, row := s.f, m.row
	sure := m.wattsBelow(min(f.volts, s.v1) - kneeV) // what any charger gives without being at its ampere limit
	if f.genInput == 0 && (row.mostOutW <= sure || f.mode == ceiling && f.ceilingA == 0 && sure > 1.05*f.demand) {
		return
	}
	base := m.i * m.p.chargers
	for k := range m.p.chargers {
		w, a := m.p.sky.solarW[base+k], m.solarLimitA(base+k)
		if w > 0 && f.setS > 0 && !m.sensorStops(k) {
			s.pastKnee(w/a, up)
		}
	}
	if w := f.genInput * m.p.genEta; w > 0 && f.setG > 0 {
		if a := m.acLimitA(); a > 0 {
			s.pastKnee(w/a, up)
		}
	}
}

// pastKnee considers the voltage at which a charger changes from amperes to
// watts.
func (s *stretch) pastKnee(knee float64, up bool) {
	f := s.f
	if up && f.volts < knee && s.v1 > knee+kneeV {
		s.consider(f.wayToSensed(knee+kneeV, 0, s.r0), turn)
	} else if !up && f.volts > knee && s.v1 < knee-kneeV {
		s.consider(f.wayToSensed(knee-kneeV, 0, s.r0), turn)
	}
}

// kneeV is how far beyond a charger's knee its law changes, V.
const kneeV = 1e-6

// wayTo is the way, in the direction of the sign, at which the terminal voltage
// is v.
func (f *flow) wayTo(v, sign float64) float64 {
	switch f.mode {
	case power:
		i := f.p/v + f.source
		return (v - f.e - i*f.r) / (f.g + i*f.rs)
	}
	// ceiling: c1·rs·x² + (g + c1·r + c0·rs)·x + e + c0·r − v = 0
	a, b, c := f.c1*f.rs, f.g+f.c1*f.r+f.c0*f.rs, f.e+f.c0*f.r-v
	if a == 0 {
		return -c / b
	}
	root := math.Sqrt(max(0, b*b-4*a*c))
	q := -(b + math.Copysign(root, b)) / 2
	x1, x2 := q/a, c/q
	if x1*sign < 0 || x2*sign >= 0 && math.Abs(x2) < math.Abs(x1) {
		return x2
	}
	return x1
}

// wayToCeiling is the way at which the current reaches a charge ceiling that
// falls towards it, between the start and a way at which it is i1: by the secant
// between the nearest ways known before and beyond it.
func (f *flow) wayToCeiling(x, i1 float64) float64 {
	before, gap := 0., f.ceilingA-f.current
	over := f.ceilingA + f.c1*x - i1
	for range 3 {
		at := before + (x-before)*gap/(gap-over)
		if d := f.ceilingA + f.c1*at - f.at(at); d > 0 {
			before, gap = at, d
		} else {
			x, over = at, d
		}
	}
	return before + (x-before)*gap/(gap-over)
}

// offered is the power that the sources which are not shut off offer the bank
// beside their current, W.
func (f *flow) offered() float64 {
	w := -f.demand
	if !f.solarOff {
		w += f.solarW
	}
	if !f.genOff {
		w += f.genW
	}
	return w
}

// offeredA is the current that they offer beside, A.
func (f *flow) offeredA() float64 {
	a := 0.
	if !f.solarOff {
		a += f.solarA
	}
	if !f.genOff {
		a += f.genA
	}
	return a
}

// justOffA is how near to a deciding current the bank counts as being on it, A.
const justOffA = 1e-6

// currentEvents considers the currents that decide at a voltage limit: where it
// turns from discharge to charge, the tail, the full currents, and the most and
// the least that the sources can hold it with.
func (m *machine) currentEvents(s *stretch) {
	f, p := s.f, m.p
	lo, hi := min(f.current, s.i1), max(f.current, s.i1)
	if f.current < s.i1 {
		lo += justOffA
	} else {
		hi -= justOffA
	}
	tail := p.solo.tailA
	if p.mixed {
		tail = m.stageSet().tailA
	}
	for _, i := range [...]float64{0, tail, tail - f.demand/behind(f.v, f.sense, -f.demand, tail), p.fullA, p.counter.FullA, p.stopTailA} {
		if i > lo && i < hi {
			s.consider((f.v-f.e-(f.r-f.sense)*i)/(f.g+f.rs*i), turn)
		}
	}
	if most := f.offered()/s.v1 + f.offeredA(); s.i1 > most+justOffA { // the sources no longer hold the voltage
		v := behind(f.v, f.sense, f.offered(), f.offeredA()) - kneeV
		i := f.offered()/v + f.offeredA()
		s.consider((v-f.e-f.r*i)/(f.g+f.rs*i), turn)
	}
	if s.i1 < -f.demand/s.v1-justOffA { // nor does the bank need them for it: its resistance falls with its charge
		v := behind(f.v, f.sense, -f.demand, 0) + kneeV
		i := -f.demand / v
		s.consider((v-f.e-f.r*i)/(f.g+f.rs*i), turn)
	}
}

// limitEvents considers the currents beyond which the protection counts time, where
// the bank's goes there.
func (m *machine) limitEvents(s *stretch) {
	f, p := s.f, m.p
	if f.collapse {
		return
	}
	s.beyond(-p.dischargeA)
	s.beyond(p.chargeOverA)
	if m.coldWindow || m.hotWindow {
		s.beyond(p.chargeSeenA)
	}
	if m.lv <= p.v.under {
		s.beyond(math.Copysign(0, -1))
	}
	if m.peaking {
		for _, peak := range p.peaks {
			s.beyond(-peak[0])
		}
	}
}

// beyond considers where the current, at constant power or at a ceiling, goes beyond
// one of its own direction.
func (s *stretch) beyond(limitA float64) {
	f, sign := s.f, math.Copysign(1, limitA)
	if i := limitA + sign*justOffA; (limitA-f.current)*sign > -justOffA/2 && (s.i1-i)*sign > 0 {
		if f.mode == ceiling {
			s.consider((i-f.c0)/f.c1, turn)
		} else {
			s.consider((f.p/(i-f.source)-f.e-f.r*i)/(f.g+f.rs*i), turn)
		}
	}
}
