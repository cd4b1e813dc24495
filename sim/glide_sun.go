package sim

import "math"

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
