package sim

import "math"

// book writes one segment into the ledger.
func (m *machine) book(s *stretch) {
	f, l, row, tau := s.f, m.books, m.row, s.tau
	l.darkness(m, s)
	consumers := f.demand * tau

	solarToLoad := min(s.solar, consumers)
	genToLoad := min(s.gen, consumers-solarToLoad)
	bankToLoad := consumers - solarToLoad - genToLoad
	bySun := row.acSunW > 0 && m.gen.phase != loaded // the AC charger runs from PV inverters
	acSun, acToLoad, acToBank := 0., 0., 0.
	if bySun {
		acToLoad, acToBank = f.acBySun*tau+genToLoad, s.gen-genToLoad
		acSun = (f.acBySun*tau + s.gen/m.p.genEta) * row.acSunInW / row.acSunW
	}
	used := acSun
	if s.solar > 0 {
		used += s.solar * row.perSolarEta
	}
	available := (row.solarInW + row.acSunInW) * tau
	if used > available || available-used < 1e-9*available {
		used = available
	}
	l.solarAvail += available
	l.solarToLoad += solarToLoad + acToLoad
	l.solarToBank += s.solar - solarToLoad + acToBank
	l.solarLoss += used - s.solar - acToLoad - acToBank
	lost := max(0, available-used)
	if lost > 0 {
		l.curtailed += lost
		l.curtBy[f.bind] += lost
	}
	m.weigh(s, lost)

	genAC := f.acByGen * tau
	genOut := s.gen
	if bySun {
		genOut, solarToLoad, genToLoad = 0, solarToLoad+genToLoad, 0
	}
	charger := 0.
	if genOut > 0 {
		charger = genOut / m.p.genEta
	}
	made := genAC + charger
	a := &l.ac[fromGenerator]
	if m.p.grid {
		a = &l.ac[fromGrid]
	}
	a.ac += genAC
	a.load += genToLoad
	a.bank += genOut - genToLoad
	a.loss += charger - genOut
	if m.gen.phase == loaded {
		if least := m.p.gen.MinLoadKW() * 1000 * tau; made < least {
			a.dumped += least - made
			made = least
			l.lowS += tau
		}
	}
	a.made += made
	l.fuelL += s.fuel
	m.gen.fuelL -= s.fuel
	m.gen.burntL += s.fuel
	switch ph := m.gen.phase; {
	case m.p.grid && ph == loaded:
		l.gridS += tau
	case ph == warming || ph == loaded || ph == cooling:
		l.genS += tau
	}
	if !m.aside.cooled {
		m.bookAside(tau)
	}

	demand := (row.acAll + row.dcAll) * tau
	byBus := (f.acByInv + f.dcServed) * tau // AC and DC load carried by the DC bus
	l.load += demand
	if consumers > 0 {
		part := byBus / consumers
		l.loadSolar += part * solarToLoad
		l.loadBank += part * bankToLoad
		a.served += part * genToLoad
	}
	a.served += genAC
	l.loadSolar += f.acBySun * tau
	unserved := max(0, demand-byBus-genAC-f.acBySun*tau)
	if unserved < 1e-12*demand { // a rounding
		unserved = 0
	}
	l.unserved += unserved
	if m.shed && !f.dark {
		l.shed += unserved
	}

	l.invIn += f.invIn * tau
	l.invOut += f.acByInv * tau
	l.dcLoad += f.dcServed * tau
	l.own += f.own * tau
	if f.heater > 0 {
		l.heat(f.heater*tau, solarToLoad, genToLoad, a)
	}
	if f.own == 0 {
		l.fan -= m.p.fanW * tau // counted by its hours, and a dead bus turns none
	}

	l.stored += s.stored
	l.resistive += s.resistive
	if s.through > 0 {
		l.charge += s.bank
		l.chargeAs += s.through
	} else {
		l.discharge -= s.bank
		l.dischargeAs -= s.through
	}
	mean := f.e + f.g*s.x/2
	inside := s.draw * tau * mean
	if s.acid != nil {
		inside = 0
		l.coulombic += s.acid.gasJ
	} else {
		l.coulombic += s.through*mean - s.stored - inside - s.lostV*s.x
		l.hysteresis += s.lostV * s.x
	}
	l.draw += inside
	m.stress(s)
}

// darkness counts the segment's downtime under the cause of the outage, which
// ends where the site is lit again.
func (l *ledger) darkness(m *machine, s *stretch) {
	if !s.f.dark {
		m.lightUp()
		return
	}
	l.downS += s.tau
	l.downBy[m.outage.cause] += s.tau
	m.outage.seconds += s.tau
	m.night.seconds += s.tau
}

// stress adds the times and charges that wear or explain.
func (m *machine) stress(s *stretch) {
	f, l := s.f, m.books
	if m.down {
		l.linkS += s.tau
	}
	if m.discharging.stage != allOn {
		l.heldBackS += s.tau
	}
	l.windowS[m.p.zones[m.lt].window] += s.tau
	switch m.out.phase {
	case outUnseen:
		m.out.unseenS += s.tau
		m.out.outS += s.tau
	case outSeen:
		m.out.outS += s.tau
	}
	switch f.blocked {
	case TooCold:
		l.blockedColdS += s.tau
	case TooHot:
		l.blockedHotS += s.tau
	}
	if f.mode == ceiling && f.ceilingA > 0 || f.bind == ChargeCeiling && m.row.solarInW > 0 {
		l.ceilingS += s.tau
	}
	if over := m.tooCold(s.through, s.tau); over > 0 {
		l.coldS += s.tau
		l.coldAs += over
	}
}

// tooCold is what of a charge is more than cold cells may take in a time, As. Where the
// ceiling is at its highest more is too much current, whatever the temperature.
func (m *machine) tooCold(through, tau float64) float64 {
	if through <= justOffA*tau || m.celsius >= 25 {
		return 0
	}
	ceilingA := m.zoneCeiling()
	if over := through - max(0, ceilingA)*tau; over > 1e-6*through && ceilingA < m.p.ceilingA*(1-1e-9) {
		return over
	}
	return 0
}

// extremes keeps the year's most and least.
func (m *machine) extremes(s *stretch) {
	m.mark(s.f.current)
	if m.rec != nil {
		m.rec.segment(m, s)
	}
}

// mark takes the state after a segment into the year's most and least. current
// was the bank's at its start.
func (m *machine) mark(current float64) {
	x, p := &m.extreme, m.p
	soc := m.trueSoC()
	if soc <= m.books.lowSoC {
		m.books.lowSoC = soc
		if soc < x.lowSoC {
			x.lowSoC, x.lowAt = soc, m.now
		}
	}
	if p.reports {
		if off := math.Abs(m.soc - soc); off > x.socError {
			x.socError = off
		}
	}
	if m.celsius < x.coldC {
		x.coldC = m.celsius
	}
	if m.celsius > x.hotC {
		x.hotC = m.celsius
	}
	if current > x.chargeA {
		x.chargeA = current
	}
	m.flow.Add(soc)
}
