package sim

import "math"

// glideCeiling finds the linked charge ceiling, A, and how it falls with the
// charge, A/As, at an open-circuit voltage.
func (m *machine) glideCeiling(e float64) (ceilingA, slope float64) {
	if m.full {
		return 0, 0
	}
	p, z := m.p, &m.p.zones[m.lt]
	whole := max(0, z.ceiling+z.ceilings*(m.middleC-z.lo))
	ceilingA = whole * (p.factorAt[m.ls] + p.factorSlope[m.ls]*(m.soc-m.levelSoC()))
	if slope = whole * p.factorSlope[m.ls]; slope != 0 {
		slope *= m.countByCharge(ceilingA, e)
	}
	return ceilingA, slope
}

// glideLit tells whether by day no charger comes to its ampere limit, from the voltages
// at rest and at the start to that at the end, and none is refused all charge.
func (m *machine) glideLit(law flowMode, demand, rest, start, end float64) bool {
	p, row := m.p, m.row
	leastA := row.leastA
	if !p.linked {
		leastA = min(leastA, p.setA)
	}
	if !m.full && p.linked && m.zoneCeiling() <= 0 {
		return false
	}
	least := rest
	if start < least {
		least = start
	}
	if end < least {
		least = end
	}
	sure := leastA * (least - nearV)
	return row.mostOutW <= sure || law == ceiling && m.full && sure > 1.1*demand
}

// glideSun books what the sun gave by day, of a need of bank and consumers (J), and
// answers what of it went to the consumers; nothing from chargers that are shut.
func (m *machine) glideSun(need, consumers, tau, sun, wanted float64, law flowMode, shut bool) (solarToLoad float64) {
	p, l, row := m.p, m.books, m.row
	solar := 0.
	if need > 0 && sun*tau != 0 {
		solar = need
	}
	solarToLoad = min(solar, consumers)
	available, used := row.solarInW*tau, solar*row.perSolarEta
	if used > available || available-used < 1e-9*available {
		used = available
	}
	l.solarAvail += available
	l.solarToLoad += solarToLoad
	l.solarToBank += solar - solarToLoad
	l.solarLoss += used - solar
	lost := max(0, available-used)
	bind := ChargerLimit
	switch {
	case law == power && !shut:
	case law == constant, shut:
		if bind = VoltageTaper; !p.linked && m.stages[0].filled() {
			bind = BankFull
		}
	case m.full:
		bind = BankFull
	case m.zoneCeiling() < p.ceilingA*(1-1e-9):
		bind = m.side()
	default:
		bind = ChargeCeiling
	}
	if lost > 0 {
		l.curtailed += lost
		l.curtBy[bind] += lost
	}
	if b := &m.since; m.full || !p.linked && m.stages[0].filled() && !p.setLow {
		*b = balance{}
	} else {
		b.curtailed[bind] += lost
		if m.wrongly(bind) {
			b.wrong += lost
		}
		b.load += wanted
		b.sun += available
	}
	return solarToLoad
}

// turnsHeld is the first current that decides anything on the way along which the sun
// holds a voltage, or that it cannot hold it with, and the way to it: 0 for a charge
// ceiling.
func (m *machine) turnsHeld(c *drift, x, demand float64) (what event, way float64) {
	f := flow{mode: constant, e: c.e, g: c.g, r: c.r, rs: c.rs, v: c.set, current: c.i0, volts: c.set,
		demand: demand, solarW: c.power + demand}
	s := stretch{f: &f, end: x, i1: c.at(x), v1: c.set, sign: math.Copysign(1, c.r0), first: math.Inf(1)}
	if s.i1 > c.ceilingA+c.c1*x && c.i0 < c.ceilingA-justOffA {
		return turn, 0
	}
	m.currentEvents(&s)
	return s.which, s.first
}
