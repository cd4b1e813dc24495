package sim

import "math"

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
	branch // of the open-circuit voltage
	floorDown
	floorUp
	fuelOut
	turn // the law changes; the next solve sees it for itself
)

// advance moves the state to the first event before a time, and books it.
func (m *machine) advance(f *flow, until float64) {
	p := m.p
	if p.acid != nil {
		m.acidAdvance(f, until)
		return
	}
	s := &m.stretch
	*s = stretch{f: f, eta: 1, perEta: 1, tau: until - m.now}
	if f.current > 0 {
		s.eta, s.perEta = p.eta, p.perEta
	}
	if m.q > 0 {
		s.draw = m.drawW()/f.e + p.selfPS*m.q
	}
	s.r0 = s.rate(f.current)
	switch {
	case s.r0 < 0 && m.q <= 0, s.r0 > 0 && m.q >= p.topQ:
		s.r0 = 0 // empty gives nothing; what goes in beyond the top is heat
		s.draw = 0
	case s.r0 < 0 && m.q <= p.knots[m.knot].q: // leaves a knot downward
		m.knot--
		f.g, f.rs = p.knots[m.knot].g, m.ohm*p.knots[m.knot].fs
	}
	if p.loop.HalfV > 0 {
		m.loopOf(s)
	}
	s.r1, s.i1, s.v1 = s.r0, f.current, f.volts
	if s.r0 != 0 {
		m.reach(s)
	}
	m.warmth(s)
	m.sink(s)
	m.overtake(s)
	m.reckon(s)
	m.burn(s)
	m.commit(s, until)
}

// shorten ends a segment sooner, by an event that is not the charge's own.
func (m *machine) shorten(s *stretch, tau float64, what event) {
	s.tau, s.what = max(tau, 0), what
	switch {
	case s.acid != nil:
		s.acid.to(m, s)
	case s.r0 != 0:
		s.run(math.Inf(1))
	}
	m.heatOf(s)
}
