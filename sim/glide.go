package sim

import (
	"math"

	"bankyear/sim/bank"
)

// glide is a segment in which nothing can come but a knot of the open-circuit
// voltage: a settled site by day or night, whose bank carries what the sun
// leaves, or takes what its ceiling allows. It is the movement of solve, advance and commit
// for that case alone, with the same operations in the same order, so that its
// bits are the same (a test compares them).
type glide struct {
	ac, inv, dc, own, demand float64 // what the site takes, W
	sun                      float64 // what the chargers offer, W
	power                    float64 // what is left for the bank, W
	e, g, r, rs              float64 // open-circuit voltage and resistance, and their slopes
	i0, i1                   float64 // current at the start and the end
	ceilingA                 float64 // charge ceiling at the start
	eta, perEta, draw, r0    float64
	x, tau                   float64
	heatW, celsius           float64 // mean heat; cell temperature at the end
	through, counted         float64
	c1                       float64 // slope of the ceiling that holds the current, A/As
	knot                     int
	level                    int // of the reported SoC at the end
	what                     event
	held                     bool // a charge ceiling holds the current: 0 when the bank is full
}

// glides moves the state to end or to the knot before it. It answers false,
// having changed nothing, where anything else may come.
func (m *machine) glides(end float64) bool {
	p, row := m.p, m.row
	if !m.calm || !m.gliding || row.strained || row.acAll > p.startW || row.acSunW > 0 {
		return false
	}
	if m.due[tClock] <= m.now && len(p.sets) == 1 { // changes no flow, unless a run is wanted
		m.clockStep()
		m.calm = m.settled()
	}
	if !m.calm || m.soonest() < end {
		return false
	}
	m.align()
	var w glide
	w.tau, w.knot = end-m.now, m.knot
	ohm := m.resistance(w.tau)
	dx := m.q - p.q[w.knot]
	w.g, w.rs = p.g[w.knot], ohm*p.fs[w.knot]
	w.e, w.r = p.e[w.knot]+w.g*dx, ohm*(p.f[w.knot]+p.fs[w.knot]*dx)+p.cableR
	return m.glideFlows(&w) && m.glideWay(&w, ohm) && m.glideClear(&w) && m.glideOn(&w, end)
}

// glideFlows finds what the site takes, what the sun gives, and the bank's
// current.
func (m *machine) glideFlows(w *glide) bool {
	p, row, z := m.p, m.row, &m.p.zones[m.lt]
	if m.q <= 0 || m.q >= p.qMax || m.q < z.floorTop {
		return false
	}
	w.ac, w.inv, w.dc = row.acAll, row.invAll, row.dcAll
	if m.shed {
		w.ac, w.inv, w.dc = row.acEss, row.invEss, row.dcEss
	}
	w.own = p.ownW + row.nightDrawW
	w.demand = w.inv + w.dc + w.own
	set, leastA := p.pushedV, row.leastA
	if !p.linked { // a link that is down is not settled
		set, leastA = m.stages[0].volts(&p.solo)+p.compensate*(row.envC-25), min(leastA, p.setA)
		if row.solarInW > 0 != m.stages[0].sourced {
			return false
		}
	}
	w.power = -w.demand
	if row.solarInW > 0 {
		if w.sun = row.solarOutW; w.sun > 0 {
			w.power += w.sun
		}
	}
	disc := w.e*w.e + 4*w.r*w.power
	if disc < 0 || w.e <= 0 {
		return false
	}
	w.i0 = 2 * w.power / (w.e + math.Sqrt(disc))
	volts := w.e + w.i0*w.r
	w.eta, w.perEta = 1, 1
	w.ceilingA = math.Inf(1)
	if w.i0 > 0 {
		if p.linked {
			m.glideCeiling(w)
			if math.Abs(w.i0-w.ceilingA) <= 2*justOffA {
				return false
			}
			if w.held = w.i0 > w.ceilingA; w.held {
				w.i0 = w.ceilingA
				volts = w.e + w.i0*w.r
			}
		}
		if w.i0 > 0 {
			w.eta, w.perEta = p.eta, p.perEta
		}
	}
	m.follow(volts)
	switch {
	case w.i0 > p.chargeOverA, -w.i0 > p.dischargeA, volts >= m.highV, volts < m.lowV, w.i0 >= 0 && m.lv > m.fullLevel:
		return false
	case row.solarInW == 0:
	case w.e > set-nearV, volts > set-nearV, !m.full && p.linked && m.zoneCeiling() <= 0:
		return false
	case row.mostOutW > leastA*(min(w.e, volts)-nearV):
		return w.held && w.ceilingA == 0 && leastA*(w.e-nearV) > 1.1*w.demand
	}
	return true
}

// glideCeiling finds the linked charge ceiling and how it falls with the charge.
func (m *machine) glideCeiling(w *glide) {
	p, z := m.p, &m.p.zones[m.lt]
	w.ceilingA, w.c1 = 0, 0
	if m.full {
		return
	}
	whole := max(0, z.ceiling+z.ceilings*(m.middleC-z.lo))
	w.ceilingA = whole * (p.factorAt[m.ls] + p.factorSlope[m.ls]*(m.soc-m.levelSoC()))
	if w.c1 = whole * p.factorSlope[m.ls]; w.c1 != 0 {
		w.c1 *= m.countByCharge(w.ceilingA, w.e)
	}
}

// nearV keeps a glide clear of a set-point and of a charger's knee, V.
const nearV = 0.01

// nearC keeps the cells clear of a threshold of temperature, °C.
const nearC = 1e-9

// glideWay follows the charge, at most to the next knot.
func (m *machine) glideWay(w *glide, ohm float64) bool {
	p := m.p
	w.draw = p.drawW/w.e + p.selfPS*m.q
	w.r0 = w.eta*w.i0 - w.draw
	if w.r0 < 0 && m.q <= p.q[w.knot] { // leaves a knot downward
		w.knot--
		w.g, w.rs = p.g[w.knot], ohm*p.fs[w.knot]
	}
	w.x = w.r0 * w.tau
	if w.held {
		w.x *= bank.Growth(w.eta * w.c1 * w.tau)
	} else {
		per := 1 / (w.e + w.r*(w.i0+w.i0))
		g := w.g + w.i0*w.rs
		slope := -g * w.i0 * per
		bend := -slope * (w.rs*w.i0 + g + w.g + w.rs*(w.i0+w.i0) + 2*w.r*slope) * per
		slope, bend = w.eta*slope, w.eta*bend/2
		z, y := slope*w.tau, 2*bend*w.x*w.tau
		if !(z > -mild && z < mild && y > -mild && y < mild) {
			return false
		}
		w.x *= 1 + z/2 + (y+z*z)/6 + z*(4*y+z*z)/24
	}
	w.what = noEvent
	if w.r0 > 0 {
		if way := p.q[w.knot+1] - m.q; w.x >= way {
			w.x, w.what = way, knotUp
		}
	} else if way := p.q[w.knot] - m.q; w.x <= way {
		w.x, w.what = way, knotDown
	}
	if w.held {
		w.i1 = w.i0 + w.c1*w.x
	} else {
		e, r := w.e+w.g*w.x, w.r+w.rs*w.x
		disc := e*e + 4*r*w.power
		if disc < 0 || e <= 0 {
			return false
		}
		w.i1 = 2 * w.power / (e + math.Sqrt(disc))
	}
	if w.what != noEvent {
		r1 := w.eta*w.i1 - w.draw
		if r1*w.r0 <= 0 || w.x == 0 {
			return false
		}
		t := w.x / bank.LogMean(w.r0, r1)
		if t > w.tau {
			return false
		}
		w.tau = t
	}
	return w.r0 != 0
}

// glideClear tells whether the segment's end is clear of everything that
// something waits for.
func (m *machine) glideClear(w *glide) bool {
	p, row, z := m.p, m.row, &m.p.zones[m.lt]
	volts := w.e + w.g*w.x + w.i1*(w.r+w.rs*w.x)
	if volts >= m.highV || volts < m.lowV || w.i0 < 0 && (z.caps < 0 || m.q+w.x < p.qMax*(1-min(1, z.cap))) {
		return false
	}
	if w.sun > 0 {
		set, leastA := p.pushedV, row.leastA
		if !p.linked {
			set, leastA = m.stages[0].volts(&p.solo)+p.compensate*(row.envC-25), min(leastA, p.setA)
		}
		if volts > set-nearV || !w.held && w.i1 > w.ceilingA+w.c1*w.x {
			return false
		}
		if sure := leastA * (volts - nearV); row.mostOutW > sure && !(w.held && w.ceilingA == 0 && sure > 1.1*w.demand) {
			return false
		}
	}
	mean := (w.x/w.tau + w.draw) * w.perEta
	w.heatW = mean*(w.i0+w.i1)/2*(w.r+w.rs*w.x/2) + w.draw*w.e
	if w.i0 > 0 {
		w.heatW += (1 - w.eta) * w.e * mean
	}
	final := row.envC + w.heatW*p.perW
	w.celsius = final + (m.celsius-final)*bank.Decay(p.heat.rate*w.tau)
	if m.lt < len(p.celsius) && w.celsius > p.celsius[m.lt]-nearC || m.lt > 0 && w.celsius < p.celsius[m.lt-1]+nearC {
		return false
	}

	w.through = (w.x + w.draw*w.tau) * w.perEta
	w.counted, w.level = 0, m.ls
	if !p.reports {
		return true
	}
	w.counted = min(max(m.countOf(w.through, w.tau), -m.soc), 1-m.soc)
	at, to := p.limits.soc, m.soc+w.counted
	for ; w.level < len(at) && at[w.level] <= to; w.level++ {
		if m.actsUp(w.level) || m.bends(w.level, to, w.i0, w.held) {
			return false
		}
	}
	for ; w.level > 0 && at[w.level-1] > to; w.level-- {
		if m.actsDown(w.level-1) || m.bends(w.level-1, to, w.i0, w.held) {
			return false
		}
	}
	return true
}

// glideOn writes the books and moves the state.
func (m *machine) glideOn(w *glide, end float64) bool {
	p, l, row, tau := m.p, m.books, m.row, w.tau
	mean := w.e + w.g*w.x/2
	stored, charge := w.x*mean, w.through*mean
	into := w.power * tau
	if w.held {
		into = charge + (w.i0+w.i1)/2*w.through*(w.r+w.rs*w.x/2)
	}
	resistive := into - charge
	consumers := w.demand * tau
	need := consumers + into
	solar := w.sun * tau
	switch {
	case need <= 0 || solar == 0:
		solar = 0
	case w.held:
		solar = need
	default:
		solar *= max(0, need) / solar
	}

	solarToLoad := min(solar, consumers)
	bankToLoad := consumers - solarToLoad
	available, used := row.solarInW*tau, solar*row.perSolarEta
	if used > available || available-used < 1e-9*available {
		used = available
	}
	l.solarAvail += available
	l.solarToLoad += solarToLoad
	l.solarToBank += solar - solarToLoad
	l.solarLoss += used - solar
	lost := max(0, available-used)
	bind := NoCause
	if row.solarInW > 0 {
		bind = ChargerLimit
		switch {
		case !w.held:
		case m.full:
			bind = BankFull
		case m.zoneCeiling() < p.ceilingA*(1-1e-9):
			bind = m.side()
		default:
			bind = ChargeCeiling
		}
	}
	if lost > 0 {
		l.curtailed += lost
		l.curtBy[bind] += lost
	}
	demand, byBus := (row.acAll+row.dcAll)*tau, (w.ac+w.dc)*tau
	if b := &m.since; m.full || !p.linked && m.stages[0].float && !p.setLow {
		*b = balance{}
	} else {
		b.curtailed[bind] += lost
		b.load += demand
		b.sun += available
	}
	l.load += demand
	if consumers > 0 {
		part := byBus / consumers
		l.loadSolar += part * solarToLoad
		l.loadBank += part * bankToLoad
	}
	if m.shed {
		unserved := max(0, demand-byBus)
		l.unserved += unserved
		l.shed += unserved
	}
	l.invIn += w.inv * tau
	l.invOut += w.ac * tau
	l.dcLoad += w.dc * tau
	l.own += w.own * tau
	l.stored += stored
	l.resistive += resistive
	if w.through > 0 {
		l.charge += into
		l.chargeAs += w.through
	} else {
		l.discharge -= into
		l.dischargeAs -= w.through
	}
	inside := w.draw * tau * mean
	l.draw += inside
	l.coulombic += charge - stored - inside
	l.windowS[p.zones[m.lt].window] += tau
	if w.held && w.ceilingA > 0 {
		l.ceilingS += tau
	}
	if w.through > 0 && m.celsius < 25 {
		if over := w.through - max(0, m.zoneCeiling())*tau; over > 1e-6*w.through && w.through > justOffA*tau {
			l.coldS += tau
			l.coldAs += over
		}
	}

	m.knot = w.knot
	switch w.what {
	case knotUp:
		m.q = p.q[w.knot+1]
		if w.knot < len(p.g)-1 {
			m.knot++
		}
	case knotDown:
		m.q = p.q[w.knot]
	default:
		m.q += w.x
	}
	m.celsius, m.lossW = w.celsius, w.heatW
	m.soc += w.counted
	m.ls = w.level
	if m.now += tau; w.what == noEvent {
		m.now = end
	}
	if m.q <= 0 {
		m.drained, m.calm = true, false
	}
	if m.counted {
		m.mark(w.i0)
	}
	return true
}
