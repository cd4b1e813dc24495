package sim

// floorBack is the part of the capacity by which charge has to rise above what
// cold cells lock before they discharge again.
const floorBack = 0.02

// drainedBack is the part of the capacity by which a bank that was drained to
// nothing has to be charged before anything is drawn from it again: a source
// weaker than the draws would else fill and drain it without end.
const drainedBack = 0.001

// spent tells whether the cells are empty for good: nothing is drawn any more, and
// what a bound well still holds does not rise to where anything would be. (Its last
// runs over ever more slowly and never ends.)
func (m *machine) spent() bool {
	left := m.q / m.p.qMax
	if a := m.p.acid; a != nil {
		left = a.wells.SoC(m.wells)
	}
	return m.drained && left <= drainedBack
}

// floorQ is the charge that the cells lock at a temperature of the present
// zone, As: q_min(T) = Q·(1 − f(T)).
func (m *machine) floorQ(celsius float64) float64 {
	z := &m.p.zones[m.lt]
	return m.p.qMax * (1 - min(1, z.cap+z.caps*(celsius-z.lo)))
}

// readyQ is the charge that stands against the floor, As: all of it, or as much as
// there would be with both wells at the level of the available one.
func (m *machine) readyQ() float64 {
	if m.p.acid != nil {
		return m.wells.Level * m.p.qMax
	}
	return m.q
}

// watchFloor follows the floor where the charge is found on its other side. It
// tells whether a drained bank gives again.
func (m *machine) watchFloor() (gives bool) {
	q := m.readyQ()
	if m.drained && q >= drainedBack*m.p.qMax*(1-1e-9) {
		m.drained, gives = false, true
	}
	floor := m.floorQ(m.celsius)
	switch {
	case !m.floorHit && q < floor:
		m.floorHit = true
	case m.floorHit && q >= floor+floorBack*m.p.qMax:
		m.floorHit = false
	}
	return gives
}

// sink ends the segment where the charge meets the floor, which moves with the
// cell temperature: downward while discharging, or upward where discharge is
// free again.
func (m *machine) sink(s *stretch) {
	back, what := 0., floorDown
	if m.floorHit {
		back, what = floorBack*m.p.qMax, floorUp
	} else if m.clearOfFloor(s) {
		return
	}
	above := m.q - m.floorQ(m.celsius) - back
	after := m.aboveFloor(s) - back
	if after < 0 == m.floorHit { // on the same side still
		return
	}
	whole := s.tau
	for range 3 { // charge and floor are almost straight lines of time
		if above == after {
			break
		}
		m.shorten(s, min(s.tau*above/(above-after), whole), what)
		after = m.aboveFloor(s) - back
	}
}

// clearOfFloor tells whether a segment is far from the floor of any temperature
// in the zone.
func (m *machine) clearOfFloor(s *stretch) bool {
	z := &m.p.zones[m.lt]
	return s.f.current >= 0 || z.caps >= 0 && m.q+s.x >= m.p.qMax*(1-min(1, z.cap))
}

// aboveFloor is how far the charge is above the floor at the segment's end, As.
func (m *machine) aboveFloor(s *stretch) float64 {
	return m.q + s.x - m.floorQ(m.cellAfter(s))
}
