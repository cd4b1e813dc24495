package sim

import "math"

// reckon finds what the counter adds over the segment,
//
//	dŝ/dt = [(1 + gain)·I·(I > 0 ? η̂ : 1) + offset − draw it assumes]/Q̂
//
// held in [0, 1], and ends the segment where the reported SoC passes a
// threshold. A measured current inside the dead band counts as none.
func (m *machine) reckon(s *stretch) {
	if m.p.exact || !m.p.reports {
		return
	}
	s.counted = m.counting(s)
	target, what := m.nextSoC(m.soc+s.counted, s.f.current, s.f.mode == ceiling)
	if what == noEvent {
		return
	}
	s.target = target
	want := target - m.soc
	m.shorten(s, m.tangents(want, s.tau, m.tally(s), s.f.current, func(t float64) (count, current float64) {
		current = m.glance(s, t, what)
		return m.tally(s), current
	}), what)
	if what == socUp && m.soc >= target || what == socDown && m.soc <= target {
		s.counted = 0
		return
	}
	s.counted = want
}

// tangents is the time, within a whole of a known count, at which the counter has
// added what it wants. look answers the count at a time and the current there. At a
// falling ceiling the count bends, never beyond its tangents.
func (m *machine) tangents(want, whole, counted, current float64, look func(t float64) (count, current float64)) (t float64) {
	count := 0.
	for range 12 {
		slope := m.countRate(current)
		if slope*want <= 0 { // not yet out of the dead band, or there already
			slope = counted / whole
		}
		if t += (want - count) / slope; t < 0 {
			t = 0
		} else if t > whole {
			t = whole
		}
		if count, current = look(t); math.Abs(want-count) < 1e-10 {
			break
		}
	}
	return t
}

// glance moves the segment's end to a time, as far as the count needs it, and
// answers the current there.
func (m *machine) glance(s *stretch, tau float64, what event) float64 {
	if m.p.ownCount || s.acid != nil {
		m.shorten(s, tau, what)
		return s.i1
	}
	if s.tau = tau; s.r0 != 0 {
		s.x = s.way(math.Inf(1))
	}
	return s.near(s.x)
}

// counting is the count of the segment as it stands, within what is left to the
// ends of the scale.
func (m *machine) counting(s *stretch) float64 {
	return m.within(m.tally(s))
}

// within is a count within what is left to the ends of the scale.
func (m *machine) within(count float64) float64 {
	if count < -m.soc {
		return -m.soc
	}
	if count > 1-m.soc {
		return 1 - m.soc
	}
	return count
}

// countRate is what the counter adds in a second at a bank current.
func (m *machine) countRate(current float64) float64 {
	c := &m.p.counter
	if m.p.ownCount {
		current -= m.unseenA
	}
	measured := current*(1+c.GainFraction) + c.OffsetA
	if measured < c.DeadBandA && measured > -c.DeadBandA {
		measured = 0
	} else if measured > 0 {
		measured *= c.AssumedFraction
	}
	return (measured - c.AssumedDrawA) * m.p.perCount
}

// countByCharge is what the reported SoC gains for the bank's charge at the
// charge ceiling, 1/As. The counter sees neither what the modules draw nor its
// own errors, so it is not one over the capacity.
func (m *machine) countByCharge(ceilingA, e float64) float64 {
	p := m.p
	switch {
	case p.exact:
		return 1 / p.qMax
	case !p.reports:
		return 0
	}
	stored := p.eta * ceilingA
	return m.countRate(ceilingA) / max(stored-m.drawW()/e-p.selfPS*m.q, stored/2)
}

// tally is the count of the segment as it stands, on a scale without ends.
func (m *machine) tally(s *stretch) float64 {
	s.through = (s.x + s.draw*s.tau) * s.perEta
	if s.r0 == 0 {
		s.through = s.f.current * s.tau
	}
	if m.p.ownCount {
		return m.countOf(m.seenAs(s), s.tau)
	}
	return m.countOf(s.through, s.tau)
}

// countOf is the count of a charge (As) through the terminals in a time.
func (m *machine) countOf(through, tau float64) float64 {
	c := &m.p.counter
	measured := through*(1+c.GainFraction) + c.OffsetA*tau
	if band := c.DeadBandA * tau; measured < band && measured > -band {
		measured = 0
	} else if measured > 0 {
		measured *= c.AssumedFraction
	}
	return (measured - c.AssumedDrawA*tau) * m.p.perCount
}
