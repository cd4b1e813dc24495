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

// nextSoC is the first threshold between the reported SoC and where it goes
// that something waits for; the others are passed in silence.
func (m *machine) nextSoC(to float64, f *flow) (at float64, what event) {
	list := m.p.limits.soc
	if to >= m.soc {
		for i := m.ls; i < len(list) && list[i] <= to; i++ {
			if m.awaitsUp(i, to, f) {
				return list[i], socUp
			}
		}
		return 0, noEvent
	}
	for i := m.ls - 1; i >= 0 && list[i] > to; i-- {
		if m.awaitsDown(i, to, f) {
			return list[i], socDown
		}
	}
	return 0, noEvent
}

// awaitsUp tells whether anything waits for the reported SoC to rise to
// threshold i.
func (m *machine) awaitsUp(i int, to float64, f *flow) bool {
	s := &m.p.s
	return m.shed && i == s.back || m.stopped && i == s.resume ||
		m.gen.phase == loaded && (i == s.genStop || i == s.topUpTo) || m.bends(i, to, f)
}

// awaitsDown tells whether anything waits for the reported SoC to fall to
// threshold i.
func (m *machine) awaitsDown(i int, to float64, f *flow) bool {
	s := &m.p.s
	return !m.shed && i == s.shed || !m.stopped && i == s.stop ||
		m.p.gen != nil && m.gen.phase == standing && i == s.genStart || m.full && i == s.full || m.bends(i, to, f)
}

// bends tells whether the charge ceiling bends at threshold i and binds on its
// far side, up to the reported SoC that the segment goes to.
func (m *machine) bends(i int, to float64, f *flow) bool {
	p := m.p
	if f.current <= 0 || !m.following() || m.full || p.factorSlope[i] == p.factorSlope[i+1] && p.factorAt[i+1] == p.factorAt[i] {
		return false
	}
	if f.mode == ceiling {
		return true
	}
	far := p.factorAt[i+1] + p.factorSlope[i+1]*(to-p.limits.soc[i])
	return m.zoneCeiling()*min(far, p.factorAt[i+1]) < 1.01*f.current
}
