package sim

import "math"

// burn finds the generator's output and fuel over the segment, and ends the
// segment where the fuel does.
func (m *machine) burn(s *stretch) {
	m.energies(s)
	if m.p.gen == nil || m.gen.phase == standing {
		return
	}
	rate := m.fuelRate(s.output(m.p.genEta))
	if s.fuel = rate * s.tau; s.fuel > 0 && s.fuel >= m.gen.fuelL && m.counted {
		m.shorten(s, m.gen.fuelL/rate, fuelOut)
		m.energies(s)
		s.fuel = m.gen.fuelL
		if m.p.reports && !m.p.exact {
			s.counted = m.counting(s)
		}
	}
}

// output is the generator's mean useful output, W.
func (s *stretch) output(genEta float64) float64 {
	if s.tau == 0 {
		return s.f.acByGen
	}
	return s.f.acByGen + s.gen/s.tau/genEta
}

// energies finds what went through the bank's terminals and out of each charger
// over the segment. Where the power is constant the resistive loss is what is
// left of it; at a ceiling it is ∫I²R dt = ∫I·R dq, the current being a straight
// line of the way.
func (m *machine) energies(s *stretch) {
	f := s.f
	s.through = (s.x + s.draw*s.tau) * s.perEta
	if s.r0 == 0 {
		s.x, s.through = 0, f.current*s.tau
	}
	s.stored = s.x * (f.e + f.g*s.x/2 - s.lostV)
	mean := f.e + f.g*s.x/2 // over the way; over time it differs in third order
	charge := s.through * mean
	if s.acid != nil {
		s.stored, charge = s.acid.storedJ, s.acid.storedJ+s.acid.gasJ
	}
	switch f.mode {
	case power:
		s.bank = f.p*s.tau + f.source*s.tau*(f.volts+s.v1)/2
		if f.collapse {
			s.bank = s.through * f.volts
		}
	case ceiling:
		s.bank = charge + (f.current+s.i1)/2*s.through*(f.r+f.rs*s.x/2)
	case constant:
		s.bank = f.v*s.through + f.sense*(f.current+s.i1)/2*s.through
	case apart, pushed:
		s.bank = 0
	}
	s.resistive = s.bank - charge
	need := f.demand*s.tau + s.bank
	volts := (f.volts + s.v1) / 2
	solar, gen := 0., 0.
	if !f.solarOff {
		solar = (f.solarW + f.solarA*volts) * s.tau
	}
	if !f.genOff {
		gen = (f.genW + f.genA*volts) * s.tau
	}
	switch {
	case gen == 0:
		s.solar, s.gen = need, 0
	case f.genFirst:
		s.gen = min(gen, need)
		s.solar = need - s.gen
	default:
		s.solar = min(solar, need)
		s.gen = need - s.solar
	}
	if f.mode == power && !f.collapse { // every source gives all it can
		s.solar, s.gen = solar, gen
		switch total := solar + gen; {
		case gen == 0 && solar > 0:
			s.solar = need
		case total > 0:
			k := max(0, need) / total
			s.solar, s.gen = solar*k, gen*k
		}
	}
	if need <= 0 || solar+gen == 0 { // no source: the bank carries all
		s.solar, s.gen = 0, 0
	}
}

// leastAs is the charge below which a number loses its digits, As: nothing is left.
const leastAs = 1e-200

// commit moves the state onto the segment's end and writes the books.
func (m *machine) commit(s *stretch, until float64) {
	p := m.p
	m.book(s)
	switch s.what {
	case knotUp:
		m.q = p.knots[m.knot+1].q
		if m.knot < len(p.knots)-2 {
			m.knot++
		}
	case knotDown:
		m.q = p.knots[m.knot].q
	default:
		if m.q = min(max(m.q+s.x, 0), p.topQ); m.q < leastAs {
			m.q = 0
		}
	}
	if s.acid != nil {
		m.q = max(0, p.acidQ(s.acid.land))
	}
	if p.loop.HalfV > 0 {
		m.moveLoop(s)
	}
	m.drained = m.drained || m.q <= 0 && s.acid == nil
	m.thermometer(s)
	level := m.ls
	m.reading(s)
	switch s.what {
	case voltUp:
		m.lv = s.passed + 1
	case voltDown:
		m.lv = s.passed
	case floorDown:
		m.floorHit = true
	case floorUp:
		m.floorHit = false
	}
	m.lossW = s.heatW
	m.predicted = m.predicted && s.tau < steadyS
	m.calm = m.calm && !m.drained && m.silent(s.what, level)
	if s.what == noEvent {
		m.now = until
	} else {
		m.now += s.tau
	}
	if m.counted {
		m.extremes(s)
	}
}

// silent tells whether an event leaves every automaton alone. level was the
// reported SoC's before.
func (m *machine) silent(what event, level int) bool {
	switch what {
	case voltUp, voltDown, floorDown, floorUp, fuelOut:
		return false
	case tempUp:
		return !m.p.celsiusActs[m.lt-1]
	case tempDown:
		return !m.p.celsiusActs[m.lt]
	}
	for i := level; i < m.ls; i++ {
		if m.actsUp(i) {
			return false
		}
	}
	for i := m.ls; i < level; i++ {
		if m.actsDown(i) {
			return false
		}
	}
	return true
}

// thermometer moves the cell temperature; by an event exactly onto a threshold.
func (m *machine) thermometer(s *stretch) {
	m.celsius = m.cellAfter(s)
	if s.what == tempUp || s.what == tempDown {
		m.celsius = m.onto(s.what, m.celsius)
		m.overThreshold(s.what, s.tau)
	}
}

// onto is the cell temperature once an event has reached a threshold, which was located
// nearly: on it or beyond.
func (m *machine) onto(what event, celsius float64) float64 {
	if what == tempDown {
		return min(celsius, m.p.celsius[m.lt-1])
	}
	if at := m.p.celsius[m.lt]; celsius < at+1e-9 {
		return at
	}
	return celsius
}

// overThreshold takes the level of the cell temperature over the threshold that an event
// reaches at the end of a time.
func (m *machine) overThreshold(what event, tau float64) {
	if what == tempUp {
		m.lt++
	} else {
		m.lt--
	}
	m.predicted = false
	m.tempDwell = m.now + tau + dwellS
}

// reading moves the reported SoC.
func (m *machine) reading(s *stretch) {
	soc := m.soc
	switch {
	case !m.p.reports:
		return
	case !m.p.exact:
		soc += s.counted
	case s.x != 0:
		soc = m.trueSoC()
	}
	m.soc, m.ls = m.readingAfter(s.what, soc, s.target)
}

// readingAfter is the reported SoC and its level after a segment at whose end it is soc,
// or by an event a threshold: exactly that, and on its far side.
func (m *machine) readingAfter(what event, soc, target float64) (float64, int) {
	switch what {
	case socUp:
		soc = target
	case socDown:
		soc = math.Nextafter(target, 0)
	}
	at, level := m.p.limits.soc, m.ls
	for level < len(at) && at[level] <= soc {
		level++
	}
	for level > 0 && at[level-1] > soc {
		level--
	}
	return soc, level
}
