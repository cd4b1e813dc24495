package sim

import (
	"math"

	"bankyear/sim/bank"
)

// quiet runs a stretch in which nothing but a knot of the open-circuit voltage
// can come, without looking for events: the site is lit, nothing is tripped, stopped, timed or warmed, every
// level stays what it is, and the bank's power is constant. It uses the same
// functions as the located path in the same order, so that its bits are the
// same, and answers false, having changed nothing, where any of that fails.
func (m *machine) quiet(end float64) bool {
	p, row := m.p, m.row
	if !m.calm || row.acSunW > 0 || m.soonest() < end || !math.IsInf(row.overAll, 1) || row.solarOutW > 0 != m.stages[0].sourced && !m.following() {
		return false
	}
	f, s := &m.still.flow, &m.still.stretch
	dx := m.q - p.q[m.knot]
	ohm := m.resistance(end - m.now)
	f.ohm = ohm
	f.e, f.g = p.e[m.knot]+p.g[m.knot]*dx, p.g[m.knot]
	f.r, f.rs = ohm*(p.f[m.knot]+p.fs[m.knot]*dx)+p.cableR, ohm*p.fs[m.knot]
	ac, inv, dc := row.acAll, row.invAll, row.dcAll
	if m.shed {
		ac, inv, dc = row.acEss, row.invEss, row.dcEss
	}
	f.acByInv, f.invIn, f.dcServed = ac, inv, dc
	f.own = p.ownW + row.nightDrawW
	f.demand = f.invIn + f.dcServed + f.own
	f.acServed, f.solarW = ac, row.solarOutW
	f.ceilingA, f.c1 = math.Inf(1), 0
	m.limit(f)
	if !m.fill(f) {
		return false
	}
	return m.drift(f, s, end)
}

// fill finds the bank's current, and whether it is clear of every limit.
func (m *machine) fill(f *flow) bool {
	p, row := m.p, m.row
	m.carry(f, f.solarW > 0, false)
	if f.solarW > 0 && f.volts > f.setS-justBelow {
		if f.current = (f.setS - f.e) / f.r; f.current <= f.ceilingA+justOffA {
			return false
		}
	}
	if f.current > f.ceilingA+justOffA {
		f.mode, f.c0, f.current = ceiling, f.ceilingA, f.ceilingA
		f.volts = f.e + f.current*f.r
	}
	switch {
	case f.collapse, f.current > p.chargeOverA:
		return false
	case f.mode == power && f.current > f.ceilingA-justOffA, f.current < -p.dischargeA:
		return false
	case m.passes(f.volts):
		return false
	case m.drained, m.q < m.floorQ(m.celsius), f.current >= 0 && (m.lv > p.v.full || m.lv > p.v.countFull):
		return false
	}
	return row.mostOutW <= m.wattsBelow(min(f.e, f.volts))
}

// passes tells whether an awaited threshold lies between the level of the
// voltage and a voltage.
func (m *machine) passes(volts float64) bool {
	_, what := m.nextVolt(volts)
	return what != noEvent
}

// wattsBelow is the power up to which no charger is at its ampere limit at a
// voltage.
func (m *machine) wattsBelow(volts float64) float64 {
	a := m.row.leastA
	if !m.following() {
		a = min(a, m.p.setA)
	}
	return a * volts
}

// drift moves the state over a quiet stretch.
func (m *machine) drift(f *flow, s *stretch, end float64) bool {
	p := m.p
	s.eta, s.tau = 1, end-m.now
	if f.current > 0 {
		s.eta = p.eta
	}
	s.draw = p.drawW/f.e + p.selfPS*m.q
	s.r0 = s.rate(f.current)
	if s.r0 < 0 && m.q <= p.q[m.knot] { // leaves a knot downward
		m.knot--
		f.g, f.rs = p.g[m.knot], f.ohm*p.fs[m.knot]
	}
	way := p.q[m.knot+1] - m.q
	if s.r0 < 0 {
		way = m.q - p.q[m.knot]
	}
	if s.r0 == 0 || way <= 0 {
		return false
	}
	s.what = noEvent
	s.run(way)
	if math.Abs(s.x) >= way && !s.toKnot(way) {
		return false
	}
	end1 := m.q + s.x
	switch {
	case m.passes(s.v1):
		return false
	case f.solarW > 0 && (s.v1 >= f.setS || m.row.mostOutW > m.wattsBelow(s.v1)), f.mode == power && s.i1 > f.ceilingA+f.c1*s.x:
		return false
	}
	m.heatOf(s)
	if !m.clearOfFloor(s) && m.aboveFloor(s) < 0 {
		return false
	}
	final := m.row.envC + s.heatW*p.perW
	if final > m.celsius && m.lt < len(p.celsius) && p.celsius[m.lt] < final || final < m.celsius && m.lt > 0 && p.celsius[m.lt-1] > final {
		if !m.staysInZone(s) {
			return false
		}
	}
	s.counted = 0
	if p.reports {
		to := end1 / p.qMax
		if !p.exact {
			s.counted = m.counting(s)
			to = m.soc + s.counted
		}
		if _, what := m.nextSoC(to, f); what != noEvent {
			return false
		}
	}
	if f.blocked = m.refusal(f); m.row.solarInW > 0 {
		f.bind = m.refusedBy(f)
	}
	m.follow(f.volts)
	m.energies(s)
	m.commit(s, end)
	return true
}

// nearC is how near to a threshold the cell temperature is left to the located
// path, °C.
const nearC = 1e-9

// settled tells whether no automaton has anything to do until something changes.
func (m *machine) settled() bool {
	permanent := 0
	if m.timers.running(tLink) {
		permanent++
	}
	if m.timers.running(tClock) {
		permanent++
	}
	if m.timers.running(tModule) {
		permanent++
	}
	return m.timers.count == permanent && m.tripped == 0 && !m.down && !m.asleep && m.latched == 0 && m.outage.cause == NoCause && !m.stopped && m.inv == running &&
		m.gen.phase == standing && !m.gen.rung && !m.gen.topUp && !m.coldWindow && !m.hotWindow &&
		!m.coldDischarge && !m.hotDischarge && !m.heaterOn && !m.floorHit && !m.peaking && !m.atKnee
}

// toKnot ends the segment on the knot that lies a way ahead, unless the charge
// only comes near it.
func (s *stretch) toKnot(way float64) bool {
	what := knotUp
	if s.r0 < 0 {
		way, what = -way, knotDown
	}
	s.land(way)
	if s.r1*s.r0 <= 0 {
		return false
	}
	tau := way / bank.LogMean(s.r0, s.r1)
	if tau > s.tau {
		return false
	}
	s.tau, s.what = tau, what
	return true
}

// staysInZone tells whether the cell temperature passes no threshold in the
// segment.
func (m *machine) staysInZone(s *stretch) bool {
	after := m.cellAfter(s)
	return (m.lt == len(m.p.celsius) || after < m.p.celsius[m.lt]-nearC) && (m.lt == 0 || after > m.p.celsius[m.lt-1]+nearC)
}
