package sim

import (
	"math"

	"bankyear/sim/bank"
)

// glide is a segment in which nothing can come but a knot of the open-circuit
// voltage: a settled site by day or night, whose bank carries what the sun
// leaves, or takes what its ceiling allows. It is the movement of solve, advance and commit
// for that case alone, with the same operations in the same order, so that its
// bits are the same (a test compares them). What the next hour waits for, from
// temperature and charge to temperature and charge, stands in local variables.
type glide struct {
	ac, inv, dc, own, demand float64 // what the site takes, W
	sun                      float64 // what the chargers offer, W
	power                    float64 // what is left for the bank, W
	e, g, r, rs              float64 // open-circuit voltage and resistance, and their slopes
	i0, i1                   float64 // current at the start; at the end, where a ceiling holds it
	eta, draw                float64
	x, tau                   float64
	through, counted         float64
	level                    int // of the reported SoC at the end
	knot                     int
	what                     event
	held                     bool // a charge ceiling holds the current: 0 when the bank is full
}

// nearV is how clear of a threshold of voltage, a set-point and a charger's knee a
// glide has to stay, V. The voltage at its end is taken from slope and bend of the
// current, which for a current that changes by a fifth is within a thousandth of it.
const nearV = 0.01

// nearC keeps the cells clear of a threshold of temperature, °C.
const nearC = 1e-9

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
	if !p.linked && row.solarInW > 0 != m.stages[0].sourced { // a link that is down is not settled
		return false
	}
	q, knot, z := m.q, m.knot, &p.zones[m.lt]
	if q <= 0 || q >= p.qMax || q < z.floorTop {
		return false
	}

	var w glide
	w.ac, w.inv, w.dc = row.acAll, row.invAll, row.dcAll
	if m.shed {
		w.ac, w.inv, w.dc = row.acEss, row.invEss, row.dcEss
	}
	w.own = p.ownW + row.nightDrawW
	demand := w.inv + w.dc + w.own
	power := -demand
	if row.solarInW > 0 {
		if w.sun = row.solarOutW; w.sun > 0 {
			power += w.sun
		}
	}

	// the bank, and its current
	tau := end - m.now
	perTau := 1 / tau
	if !m.predicted {
		m.predict()
	}
	ohm := m.ohm
	dx := q - p.q[knot]
	g, rs := p.g[knot], ohm*p.fs[knot]
	e, r := p.e[knot]+g*dx, ohm*(p.f[knot]+p.fs[knot]*dx)+p.cableR
	disc := e*e + 4*r*power
	if disc <= 0 || e <= 0 {
		return false
	}
	root := math.Sqrt(disc)
	i0, per := 2*power/(e+root), 1/root
	eta, perEta, ceilingA, c1 := 1., 1., math.Inf(1), 0.
	if i0 > 0 {
		if p.linked {
			ceilingA, c1 = m.glideCeiling(e)
			if math.Abs(i0-ceilingA) <= 2*justOffA {
				return false
			}
			if w.held = i0 > ceilingA; w.held {
				i0 = ceilingA
			}
		}
		if i0 > 0 {
			eta, perEta = p.eta, p.perEta
		}
	}
	volts := e + i0*r
	m.follow(volts)
	if i0 > p.chargeOverA || -i0 > p.dischargeA || volts >= m.highV || volts < m.lowV || i0 >= 0 && m.lv > m.fullLevel {
		return false
	}

	// its way
	draw := p.drawW/e + p.selfPS*q
	r0 := eta*i0 - draw
	if r0 < 0 && q <= p.q[knot] { // leaves a knot downward
		knot--
		g, rs = p.g[knot], ohm*p.fs[knot]
	}
	var x, slope, bend float64 // of the current, with the way
	if w.held {
		x = r0 * tau * bank.Growth(eta*c1*tau)
	} else {
		gi := g + i0*rs
		slope = -gi * (i0 * per)
		bend = -(slope * per) * ((rs*i0 + gi + g + rs*(i0+i0)) + 2*r*slope)
		whole := r0 * tau
		z, y := eta*slope*tau, eta*bend*(whole*tau)
		if !(z > -mild && z < mild && y > -mild && y < mild) {
			return false
		}
		x = whole * series(z, y)
	}
	if r0 > 0 {
		if way := p.q[knot+1] - q; x >= way {
			x, w.what = way, knotUp
		}
	} else if way := p.q[knot] - q; x <= way {
		x, w.what = way, knotDown
	}
	i1 := i0 + x*(slope+x*bend*.5)
	if w.held {
		i1 = i0 + c1*x
	}
	if w.what != noEvent {
		tau = crossing(e+g*x, r+rs*x, power, r0, x, eta, draw, tau, i1, w.held)
		perTau = 1 / tau
	}
	if r0 == 0 || !(tau > 0) {
		return false
	}

	w.e, w.i0 = e, i0
	// clear of all that something waits for?
	end1 := e + g*x + i1*(r+rs*x)
	if end1 > m.highV-nearV || end1 < m.lowV+nearV || i0 < 0 && (z.caps < 0 || q+x < p.qMax*(1-min(1, z.cap))) {
		return false
	}
	if row.solarInW > 0 && !m.glideLit(&w, demand, min(volts, end1), max(volts, end1), ceilingA+c1*x-i1) {
		return false
	}

	// the cells' warmth
	mean := (x*perTau + draw) * perEta
	other := mean
	if w.held {
		other = (i0 + i1) / 2
	}
	heat := mean*other*(r+rs*x*.5) + draw*e
	if i0 > 0 {
		heat += (1 - eta) * e * mean
	}
	final := row.envC + heat*p.perW
	celsius := final + (m.celsius-final)*m.decay(tau)
	if m.lt < len(p.celsius) && celsius > p.celsius[m.lt]-nearC || m.lt > 0 && celsius < p.celsius[m.lt-1]+nearC {
		return false
	}

	w.demand, w.power, w.e, w.g, w.r, w.rs, w.i0, w.i1, w.eta, w.draw, w.x, w.tau, w.knot = demand, power, e, g, r, rs, i0, i1, eta, draw, x, tau, knot
	w.through = (x + draw*tau) * perEta
	if p.reports && !m.glideCount(&w) {
		return false
	}
	m.glideBook(&w)
	m.glideOn(&w, celsius, heat, end)
	return true
}

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

// crossing is the time to a knot at a way x, where the open-circuit voltage is e and
// the resistance r; 0 where it is only approached, or not within tau.
func crossing(e, r, power, r0, x, eta, draw, tau, i1 float64, held bool) float64 {
	if !held {
		disc := e*e + 4*r*power
		if disc < 0 || e <= 0 {
			return 0
		}
		i1 = 2 * power / (e + math.Sqrt(disc))
	}
	r1 := eta*i1 - draw
	if r1*r0 <= 0 || x == 0 {
		return 0
	}
	if t := x / bank.LogMean(r0, r1); t <= tau {
		return t
	}
	return 0
}

// glideLit tells whether by day, between a least and a most voltage, no charger
// comes to its set-point or its ampere limit, nor the current to its ceiling, from
// which it is gapA away at the end.
func (m *machine) glideLit(w *glide, demand, least, most, gapA float64) bool {
	p, row := m.p, m.row
	set, leastA := p.pushedV, row.leastA
	if !p.linked {
		set, leastA = m.stages[0].volts(&p.solo)+p.compensate*(row.envC-25), min(leastA, p.setA)
	}
	if max(w.e, most) > set-nearV || !m.full && p.linked && m.zoneCeiling() <= 0 || !w.held && gapA <= .005*w.i0 {
		return false
	}
	sure := leastA * (min(w.e, least) - nearV)
	return row.mostOutW <= sure || w.held && m.full && sure > 1.1*demand
}

// glideCount finds what the counter adds, and tells whether nothing waits for what
// it passes.
func (m *machine) glideCount(w *glide) bool {
	w.counted, w.level = min(max(m.countOf(w.through, w.tau), -m.soc), 1-m.soc), m.ls
	at, to := m.p.limits.soc, m.soc+w.counted
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

// glideBook writes the books.
func (m *machine) glideBook(w *glide) {
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
	if need <= 0 || solar == 0 {
		solar = 0
	} else {
		solar = need
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
	if w.held && !m.full {
		l.ceilingS += tau
	}
	if w.through > 0 && m.celsius < 25 {
		if over := w.through - max(0, m.zoneCeiling())*tau; over > 1e-6*w.through && w.through > justOffA*tau {
			l.coldS += tau
			l.coldAs += over
		}
	}
}

// glideOn moves the state.
func (m *machine) glideOn(w *glide, celsius, heatW, end float64) {
	p := m.p
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
	m.celsius, m.lossW = celsius, heatW
	m.predicted = m.predicted && w.tau < steadyS
	m.soc += w.counted
	m.ls = w.level
	if m.now += w.tau; w.what == noEvent {
		m.now = end
	}
	if m.q <= 0 {
		m.drained, m.calm = true, false
	}
	if m.counted {
		m.mark(w.i0)
	}
}
