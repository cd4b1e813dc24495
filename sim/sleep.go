package sim

// sleep is the state of modules that protected themselves from over-discharge:
// an under-voltage trip that nothing relieves for a time puts them to sleep,
// off the bus, until something that may wake them puts voltage on their
// terminals.
type sleep struct{ asleep bool }

// sleepStep puts the bank to sleep and wakes it.
func (m *machine) sleepStep() bool {
	p := m.p
	if !m.asleep {
		if !m.held(tSleep, m.tripped&(1<<tripUnderV) != 0, p.asleepAfterS) {
			return false
		}
		m.asleep = true
		m.counts.sleeps++
		if m.outage.cause != NoCause {
			m.outage.cause = Asleep // from now on it is this that keeps the site dark
		}
		return true
	}
	if set := p.wokenByGen && p.genStartsBus && m.gen.phase == loaded; !set && !m.sunWakes() {
		return false
	}
	m.wake()
	return true
}

// sunWakes tells whether the sun wakes a bank that sleeps now.
func (m *machine) sunWakes() bool {
	return m.p.wokenBySun && m.sunStarts()
}

// sunStarts tells whether a solar charger puts voltage on a dead bus now.
func (m *machine) sunStarts() bool {
	starts := m.p.sunStartsBus
	if m.chargersStopped() {
		starts = m.p.mixed && m.p.deafStartsBus
	}
	return starts && m.row.solarInW > 0
}

// wake closes a bank that slept.
func (m *machine) wake() {
	m.asleep = false
	m.tripped &^= 1 << tripUnderV
	m.stop(tClose + int(tripUnderV))
	m.stop(tTrip + int(tripUnderV))
}

// drawW is the BMS's draw, W.
func (m *machine) drawW() float64 {
	if m.asleep {
		return m.p.asleepW
	}
	return m.p.drawW
}
