package sim

import (
	"math"

	"bankyear/sim/bank"
)

// event is what ends a segment before its time.
type event uint8

const (
	noEvent event = iota
	knotUp
	knotDown
	voltUp
	voltDown
	tempUp
	tempDown
	socUp
	socDown
	floorDown
	floorUp
	fuelOut
	turn // the law changes; the next solve sees it for itself
)

// stretch is one segment's movement.
type stretch struct {
	f          *flow
	eta        float64 // charge stored for charge taken in
	draw       float64 // current taken inside the modules, A
	r0, r1     float64 // rate of charge at the start and the end, A
	x          float64 // way of the charge, As
	i1, v1     float64 // bank current and voltage at the end
	tau        float64 // length, s
	what       event
	heatW      float64 // mean heat in the cells
	counted    float64 // what the counter adds to the reported SoC
	target     float64 // threshold that the reported SoC stops at
	passed     int     // threshold that the voltage passes
	fuel       float64 // l
	solar, gen float64 // energy from the solar chargers and from the AC charger, J
	bank       float64 // energy into the bank's terminals, J
	stored     float64 // ∫E dq, J
	through    float64 // ∫I dt, As
	resistive  float64
	genEta     float64 // AC charger's efficiency
}

// rate is the change of charge at a bank current, A.
func (s *stretch) rate(current float64) float64 { return s.eta*current - s.draw }

// advance moves the state to the first event before a time, and books it.
func (m *machine) advance(f *flow, until float64) {
	p := m.p
	s := stretch{f: f, eta: 1, tau: until - m.now}
	if f.current > 0 {
		s.eta = p.eta
	}
	if m.q > 0 {
		s.draw = m.drawW()/f.e + p.selfPS*m.q
	}
	s.r0 = s.rate(f.current)
	switch {
	case s.r0 < 0 && m.q <= 0, s.r0 > 0 && m.q >= p.qMax:
		s.r0 = 0 // empty gives nothing; what goes in beyond full is heat
		s.draw = 0
	case s.r0 < 0 && m.q <= p.q[m.knot]: // leaves a knot downward
		m.knot--
		f.g, f.rs = p.g[m.knot], f.ohm*p.fs[m.knot]
	}
	s.r1, s.i1, s.v1 = s.r0, f.current, f.volts
	if s.r0 != 0 {
		m.reach(&s)
	}
	m.warmth(&s)
	m.sink(&s)
	m.reckon(&s)
	m.burn(&s)
	m.commit(&s, until)
}

// shorten ends a segment sooner, by an event that is not the charge's own.
func (m *machine) shorten(s *stretch, tau float64, what event) {
	s.tau, s.what = max(tau, 0), what
	if s.r0 != 0 {
		s.run(math.Inf(1))
	}
}

// run follows the charge for the segment's time, at most to a way of limit (its
// sign does not matter), with the rate a straight line of the way: exact at
// constant current, at constant voltage and on a straight derating, second
// order at constant power.
func (s *stretch) run(limit float64) {
	whole := s.r0 * s.tau
	x := whole
	for range 2 {
		if x > limit {
			x = limit
		} else if x < -limit {
			x = -limit
		}
		if x == 0 {
			break
		}
		z := (s.rate(s.f.at(x)) - s.r0) / x * s.tau
		x = whole * bank.Growth(z)
		if z*z < straight || s.f.rs == 0 && s.f.mode != power { // one look is enough for a straight line
			break
		}
	}
	s.land(x)
}

// straight bounds the square of the growth of the rate below which its bend is
// not looked at again.
const straight = 1e-6

// land sets the segment's end at a way.
func (s *stretch) land(x float64) {
	s.x, s.i1 = x, s.f.at(x)
	s.r1 = s.rate(s.i1)
	s.v1 = s.f.e + s.f.g*x + s.i1*(s.f.r+s.f.rs*x)
	switch s.f.mode {
	case constant:
		s.v1 = s.f.v
	case apart:
		s.v1 = s.f.volts
	}
}

// reach follows the charge to the end of the time or to its first event.
func (m *machine) reach(s *stretch) {
	p, f := m.p, s.f
	what, knot := knotUp, p.q[m.knot+1]-m.q
	if s.r0 < 0 {
		what, knot = knotDown, p.q[m.knot]-m.q
	}
	s.run(math.Abs(knot))
	first, which := math.Inf(1), noEvent
	if math.Abs(s.x) >= math.Abs(knot) {
		s.land(knot)
		first, which = knot, what
	}
	sign := math.Copysign(1, s.r0)
	end := s.x
	consider := func(x float64, e event) {
		if x*sign < 0 {
			x = 0
		}
		if math.Abs(x) <= math.Abs(end) && math.Abs(x) < math.Abs(first) {
			first, which = x, e
		}
	}
	m.voltageEvents(s, consider)
	if f.mode == constant {
		m.currentEvents(s, consider)
	}
	if f.mode != ceiling && s.i1 > f.ceilingA+f.c1*end && f.current < f.ceilingA-justOffA {
		consider(f.wayToCeiling(end, s.i1), turn)
	}
	if p.exact {
		if at, what := m.nextSoC((m.q+end)/p.qMax, f); what != noEvent {
			s.target = at
			consider(at*p.qMax-m.q, what)
		}
	}
	if back := drainedBack*p.qMax - m.q; m.drained && s.r0 > 0 && end >= back {
		consider(back, turn)
	}
	if which == noEvent {
		return
	}
	s.land(first)
	if s.r1*s.r0 <= 0 { // only approached, never reached
		s.run(math.Abs(first))
		return
	}
	tau := 0.
	if first != 0 {
		tau = first / bank.LogMean(s.r0, s.r1)
	}
	if tau > s.tau {
		s.run(math.Abs(first))
		return
	}
	s.tau, s.what = tau, which
}

// voltageEvents considers the thresholds, set-points and charger knees that the
// voltage passes.
func (m *machine) voltageEvents(s *stretch, consider func(float64, event)) {
	f, at := s.f, m.p.volts
	if f.mode == constant || f.mode == apart && s.v1 == f.volts {
		return
	}
	up := s.v1 > f.volts
	if i, what := m.nextVolt(s.v1); what != noEvent && up == (what == voltUp) {
		s.passed = i
		consider(f.wayTo(at[i], s.r0), what)
	}
	if f.solarW+f.solarA+f.genW+f.genA == 0 {
		return
	}
	for _, set := range [2]float64{f.setS, f.setG} {
		if up && f.volts < set-justBelow && s.v1 >= set || !up && f.volts > set+justBelow && s.v1 <= set {
			consider(f.wayTo(set, s.r0), turn)
		}
	}
	for _, knee := range f.knees[:m.p.chargers+1] {
		if knee == 0 {
			continue
		}
		if up && f.volts < knee && s.v1 > knee+kneeV {
			consider(f.wayTo(knee+kneeV, s.r0), turn)
		} else if !up && f.volts > knee && s.v1 < knee-kneeV {
			consider(f.wayTo(knee-kneeV, s.r0), turn)
		}
	}
}

// kneeV is how far beyond a charger's knee its law changes, V.
const kneeV = 1e-6

// wayTo is the way, in the direction of the sign, at which the terminal voltage
// is v.
func (f *flow) wayTo(v, sign float64) float64 {
	switch f.mode {
	case apart:
		return (v - f.e) / f.g
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
func (m *machine) currentEvents(s *stretch, consider func(float64, event)) {
	f, p := s.f, m.p
	lo, hi := min(f.current, s.i1), max(f.current, s.i1)
	if f.current < s.i1 {
		lo += justOffA
	} else {
		hi -= justOffA
	}
	for _, i := range [...]float64{0, p.solo.tailA, p.solo.tailA - f.demand/f.v, p.fullA, p.counter.FullA, p.stopTailA} {
		if i > lo && i < hi {
			consider((f.v-f.e-f.r*i)/(f.g+f.rs*i), turn)
		}
	}
	if most := f.offered()/f.v + f.offeredA(); s.i1 > most+justOffA { // the sources no longer hold the voltage
		v := f.v - kneeV
		i := f.offered()/v + f.offeredA()
		consider((v-f.e-f.r*i)/(f.g+f.rs*i), turn)
	}
	if s.i1 < -f.demand/f.v-justOffA { // nor does the bank need them for it: its resistance falls with its charge
		v := f.v + kneeV
		i := -f.demand / v
		consider((v-f.e-f.r*i)/(f.g+f.rs*i), turn)
	}
}
