package sim

// Modules in parallel without an interlink open one by one: the one that carries
// most, or whose highest cell stands highest, opens first, and its current moves to
// the others, which may follow. With an interlink, which is the default, the first
// takes all of them along.

// lineUp is which of the modules that are in service are on the bus.
type lineUp struct {
	base     *Plan    // with all of them
	open     int      // modules that their own protection holds off the bus
	wanted   int      // likewise, once the next pass has taken them off
	by       tripKind // what opened the last
	stuck    bool     // they latched: until a visit
	parkedAs float64  // charge in them
	trips    int      // of single modules
	openS    float64  // time with any open
	since    float64
	rounds   [tripKinds]tripRun
	chain    chainState
	chainAs  float64 // charge of what is behind the break
}

// compileCascade makes the plans with fewer and fewer modules on the bus. What is
// off it stays warm with the others. The last to stand have no spread of cells
// above the mean.
func compileCascade(p *Plan, s *System, c *compiling) {
	if s.Bank.ActTogether() {
		return
	}
	for k := 1; k < s.Bank.Modules; k++ {
		less := c.withFewer(p, s, k, true)
		p.lesser = append(p.lesser, less)
	}
}

// cascades tells whether a trip takes one module off the bus and leaves others.
func (m *machine) cascades(k tripKind) bool {
	switch k {
	case tripOverV, tripChargeA, tripDisA:
		return m.line.wanted < len(m.line.base.lesser)
	}
	return false
}

// dropOne opens one module; the next pass takes it off the bus. The others bear its
// current for the shortest peak.
func (m *machine) dropOne(k tripKind) {
	l := &m.line
	l.wanted++
	l.by = k
	l.trips++
	m.counts.trips[k]++
	if l.wanted == 1 && m.latches(k, &l.rounds[k]) { // the same module each time
		l.stuck = true
	}
	m.stop(tCascade)
	m.peakStart, m.unrested = m.now, true
}

// lineStep takes modules that opened off the bus, and puts them back a re-close
// delay after what opened the last of them is over.
func (m *machine) lineStep() bool {
	l := &m.line
	changed := m.chainStep()
	if l.base.lesser == nil {
		return changed
	}
	if l.wanted != l.open {
		if l.open == 0 {
			l.since = m.now
		}
		l.open = l.wanted
		l.parkedAs += m.exchange(l.base.lesser[l.open-1])
		return true
	}
	released := l.open > 0 && !l.stuck && (l.by != tripOverV || m.lv <= m.p.v.overRelease)
	if m.held(tCascade, released, m.p.protection.RecloseS) {
		m.closeModules()
		changed = true
	}
	return changed
}

// closeModules puts all modules that opened back on the bus with their charge.
func (m *machine) closeModules() {
	l := &m.line
	if l.open == 0 {
		l.wanted = 0
		return
	}
	on := m.q // charge of those that stayed on the bus
	m.exchange(l.base)
	m.bring(on + l.parkedAs - m.q)
	l.openS += m.now - l.since
	l.open, l.wanted, l.parkedAs, l.stuck = 0, 0, 0, false
	m.stop(tCascade)
}

// bring adds charge that comes with modules.
func (m *machine) bring(as float64) {
	m.q = min(max(m.q+as, 0), m.p.topQ)
	m.knot = m.p.knotOf(m.q)
}

// openH is the time with any module open, h.
func (l *lineUp) openH(now float64) float64 {
	if l.open > 0 {
		return (l.openS + now - l.since) / 3600
	}
	return l.openS / 3600
}

// begin starts the counted year.
func (l *lineUp) begin() { l.trips, l.openS, l.since = 0, 0, 0 }
