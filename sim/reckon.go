package sim

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
	target, what := m.nextSoC(m.soc+s.counted, s.f)
	if what == noEvent {
		return
	}
	want := target - m.soc
	s.target = target
	t := s.tau
	for range 2 { // the count is almost a straight line of time
		t = min(t*want/s.counted, t)
		m.shorten(s, t, what)
		s.counted = m.counting(s)
		if s.counted == 0 {
			break
		}
	}
	if what == socUp && m.soc >= target || what == socDown && m.soc <= target {
		s.counted = 0
		return
	}
	s.counted = want
}

// counting is the count of the segment as it stands.
func (m *machine) counting(s *stretch) float64 {
	c := &m.p.counter
	s.through = (s.x + s.draw*s.tau) / s.eta
	if s.r0 == 0 {
		s.through = s.f.current * s.tau
	}
	measured := s.through*(1+c.GainFraction) + c.OffsetA*s.tau
	if band := c.DeadBandA * s.tau; measured < band && measured > -band {
		measured = 0
	} else if measured > 0 {
		measured *= c.AssumedFraction
	}
	counted := (measured - c.AssumedDrawA*s.tau) / (c.AssumedAh * 3600)
	return min(max(counted, -m.soc), 1-m.soc)
}
