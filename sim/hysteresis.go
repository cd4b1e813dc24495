package sim

import "math"

// The open-circuit voltage of cells with hysteresis is E(q) + h: m.offsetV is h. It
// is a straight line of the charge as the rest of the law is: with the slope of a
// turn between the branches, and where it reaches one a segment ends like at a knot.
// What ∫h dq puts in between the branches counts as stored, for it comes back; on a
// branch ∫h dq is loss and heat. So the stored energy follows from charge and offset,
// and a closed cycle loses the area of its loop.

// turning is what hysteresis adds to the slope of the open-circuit voltage against
// charge that moves in a direction, V/As.
func (m *machine) turning(sign float64) float64 {
	if m.p.loop.Way(m.offsetV, sign) == 0 {
		return 0
	}
	return m.p.loop.Slope
}

// loopOf finds how the segment's charge moves in the loop: along a branch, or on
// the way to it.
func (m *machine) loopOf(s *stretch) {
	if s.r0 == 0 {
		return
	}
	sign := math.Copysign(1, s.r0)
	s.toBranch = m.p.loop.Way(m.offsetV, sign)
	if s.toBranch == 0 {
		s.lostV = sign * m.p.loop.HalfV
	} else {
		s.f.g += m.p.loop.Slope
	}
}

// moveLoop moves the offset with the charge, by the event exactly onto the branch.
func (m *machine) moveLoop(s *stretch) {
	l := &m.p.loop
	m.offsetV = l.After(m.offsetV, s.x)
	if s.what == branch {
		m.offsetV = math.Copysign(l.HalfV, s.toBranch)
	}
}
