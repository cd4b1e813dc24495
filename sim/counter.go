package sim

// fullStep is the BMS's end of charge: at the full voltage with a small current
// for a time it asks for no more charge, until the reported SoC has fallen, or the voltage
// for as long a time.
func (m *machine) fullStep(f *flow) bool {
	p := m.p
	if !m.following() {
		return false
	}
	if m.full {
		again := m.held(tAgain, m.lv <= p.v.resume && f.mode != apart, p.fullHoldS)
		if again || m.ls <= p.s.full {
			m.stop(tAgain)
			m.full = false
			return true
		}
		return false
	}
	at := m.lv > p.v.full && f.current >= 0 && f.mode != apart
	if m.held(tFull, at && below(&m.tail.full, f.current, p.fullA), p.fullHoldS) {
		m.full = true
		m.sawFull()
		m.report(1)
		m.tail.say(m.counts.segments) // it is the same counter's
		return true
	}
	return false
}

// countStep re-sets the counter: to full at its own end of charge, once in a hold,
// also where it reads full already; and a bms counter at the low knee.
func (m *machine) countStep(f *flow) bool {
	p, c := m.p, &m.p.counter
	if p.exact || !p.reports {
		return false
	}
	changed := false
	volts, live := m.lb, f.alive
	if c.Kind == "bms" { // it measures on the cells' side
		volts, live = m.lv, f.mode != apart
	}
	at := live && volts > p.v.countFull && (f.current >= 0 || p.ownCount)
	at = at && below(&m.tail.count, m.seenA(f), c.FullA)
	if m.held(tCount, !m.tail.keep(at, m.counts.segments) && at, c.FullHoldS) {
		m.tail.say(m.counts.segments) // what falls while it still looks full stays
		m.report(1)
		changed = true
	}
	if c.LowKneeV > 0 && live && window(&m.atKnee, volts <= p.v.knee, volts > p.v.knee) &&
		m.atKnee && m.soc > c.LowKneeSoCFraction { // once, as the voltage falls to it
		m.report(c.LowKneeSoCFraction)
		changed = true
	}
	return changed
}

// report sets the reported SoC, unless it is exact or there is none.
func (m *machine) report(soc float64) {
	if m.p.exact || !m.p.reports {
		return
	}
	m.resets.note(m.now)
	was := m.soc
	m.soc = soc
	m.ls = level(m.p.limits.soc, soc)
	if m.rec != nil {
		m.rec.reset(m, was)
	}
}

// reportedSoC is what the counter says; nil where there is none.
func (m *machine) reportedSoC() *float64 {
	if !m.p.reports {
		return nil
	}
	soc := m.soc
	return &soc
}
