package sim

import (
	"math"

	"bankyear/sim/bank"
)

// A glide is a segment in which nothing can come but a knot of the open-circuit
// voltage: a settled site by day or night, whose bank carries what the sun
// leaves, or takes what its ceiling allows. It is the movement of solve, advance and commit
// for that case alone, with the same operations in the same order, so that its
// bits are the same (a test compares them). It is one function on local variables,
// and asks only what the state has not answered before: nine hours of ten are glides.

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
	if !m.calm || !m.gliding || row.rough || row.acAll > p.startW {
		return false
	}
	if m.due[tClock] <= m.now && len(p.sets) == 1 { // changes no flow, unless a run is wanted
		m.clockStep()
		m.calm = m.settled()
	}
	if !m.calm || m.soonest() < end || p.discharge != nil && !m.clearOfDischarge() {
		return false
	}
	lit := row.solarInW > 0
	if !p.linked && lit != m.stages[0].sourced { // a link that is down is not settled
		return false
	}
	if lit && (m.coldWindow || m.hotWindow) { // charge would trip, or is refused
		return false
	}
	m.align()
	q, knot, z := m.q, m.knot, &p.zones[m.lt]
	if q <= 0 || q >= p.qMax || q < z.floorTop {
		return false
	}

	// what the site takes, what the sun gives, and the bank's current
	ac, inv, dc := row.acAll, row.invAll, row.dcAll
	if m.shed {
		ac, inv, dc = row.acEss, row.invEss, row.dcEss
	}
	own := p.ownW + row.nightDrawW
	demand := inv + dc + own
	power, sun := -demand, 0.
	if lit {
		if sun = row.solarOutW; sun > 0 {
			power += sun
		}
	}
	tau := end - m.now
	perTau := 1 / tau
	if !m.predicted {
		m.predict()
	}
	k := &p.knots[knot]
	dx := q - k.q
	g, rs := k.g, m.ohm*k.fs
	e, r := k.e+g*dx, m.ohm*(k.f+k.fs*dx)+p.cableR
	disc := e*e + 4*r*power
	if disc <= 0 || e <= 0 {
		return false
	}
	root := math.Sqrt(disc)
	i0, per := 2*power/(e+root), 1/root
	eta, perEta, ceilingA, c1, held := 1., 1., math.Inf(1), 0., false
	if i0 > 0 {
		if p.linked {
			ceilingA, c1 = m.glideCeiling(e)
			if held = i0 > ceilingA+justOffA || i0 > ceilingA-justOffA && c1 <= 0; held {
				i0 = ceilingA
			}
		}
		if i0 > 0 {
			eta, perEta = p.eta, p.perEta
		}
	}
	volts := e + i0*r
	if volts >= m.toV || volts < m.fromV {
		if lit && !m.glideLit(held, demand, e, volts, volts) { // it is not the voltage
			return false
		}
		m.follow(volts)
	}
	switch {
	case volts >= m.highV, volts < m.lowV:
		return false
	case i0 < 0:
		if -i0 > p.dischargeA {
			return false
		}
	case volts >= m.chargeV, i0 > p.chargeOverA:
		return false
	}

	// its way
	draw := p.drawW/e + p.selfPS*q
	r0 := eta*i0 - draw
	if r0 < 0 && q <= k.q { // leaves a knot downward
		knot--
		k = &p.knots[knot]
		g, rs = k.g, m.ohm*k.fs
	}
	var x, slope, bend float64 // of the current, with the way
	if held {
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
	what := noEvent
	if r0 > 0 {
		if way := p.knots[knot+1].q - q; x >= way {
			x, what = way, knotUp
		}
	} else if way := k.q - q; x <= way {
		x, what = way, knotDown
	}
	i1 := i0 + x*(slope+x*bend*.5)
	if held {
		i1 = i0 + c1*x
	}
	gapA := ceilingA + c1*x - i1 // to the ceiling
	closes := !held && gapA <= .005*i0
	if what != noEvent || closes {
		c := drift{power, e, g, r, rs, i0, r0, eta, perEta, draw, ceilingA, c1, slope, bend, held}
		if closes {
			if way := c.toCeiling(x); way < x && way >= 0 {
				x, what = way, turn
			}
			i1 = c.at(x)
		}
		if what != noEvent {
			tau = c.after(x, tau)
			perTau = 1 / tau
		}
	}
	if r0 == 0 || !(tau > 0) {
		return false
	}

	// clear of all that something waits for?
	end1 := e + g*x + i1*(r+rs*x)
	if i0 < 0 && q+x < z.floorTop || i1 < -.999*p.dischargeA || i1 > .999*p.chargeOverA {
		return false
	}
	if end1 > m.highV-nearV || end1 < m.lowV+nearV {
		c := drift{power, e, g, r, rs, i0, r0, eta, perEta, draw, ceilingA, c1, slope, bend, held}
		to, at := c.toVolts(m, x)
		if to != noEvent {
			if what != noEvent && math.Abs(at) > math.Abs(x)*(1-1e-9) { // which of two comes first
				return false
			}
			what, x = to, at
			i1, tau = c.at(x), c.after(x, tau)
			perTau = 1 / tau
			if !(tau > 0) {
				return false
			}
		}
		end1 = e + g*x + i1*(r+rs*x)
	}
	if lit && !m.glideLit(held, demand, e, volts, end1) {
		return false
	}

	// the cells' warmth
	mean := (x*perTau + draw) * perEta
	other := mean
	if held {
		other = (i0 + i1) / 2
	}
	heat := mean*other*(r+rs*x*.5) + draw*e
	if i0 > 0 {
		heat += (1 - eta) * e * mean
	}
	final := row.envC + heat*p.perW
	left := p.wholeLeft
	if tau != p.wholeS {
		left = bank.Decay(p.heat.rate * tau)
	}
	celsius := final + (m.celsius-final)*left
	warmTo := noEvent
	if celsius > z.to-nearC || celsius < z.from+nearC {
		c := drift{power, e, g, r, rs, i0, r0, eta, perEta, draw, ceilingA, c1, slope, bend, held}
		target := z.to
		if warmTo = tempUp; final < m.celsius {
			target, warmTo = z.from, tempDown
		}
		var at float64
		if at, x, heat, celsius = c.toCelsius(m, target, heat, tau, x); !(at > 0 && at < tau) {
			return false
		}
		what, tau, i1, celsius = warmTo, at, c.at(x), m.onto(warmTo, celsius)
	}

	// the count
	through := (x + draw*tau) * perEta
	soc, level := m.soc, m.ls
	if p.reports {
		soc += m.within(m.countOf(through, tau))
		if at := p.limits.soc; level < len(at) && at[level] <= soc || level > 0 && at[level-1] > soc {
			if p.discharge != nil || warmTo != noEvent {
				return false
			}
			if target, to := m.nextSoC(soc, i0, held); to != noEvent {
				c := drift{power, e, g, r, rs, i0, r0, eta, perEta, draw, ceilingA, c1, slope, bend, held}
				if tau, x = c.toSoC(m, target, tau, x); !(tau > 0) {
					return false
				}
				i1, through, what = c.at(x), (x+draw*tau)*perEta, to
				heat, celsius = c.warmth(m, x, tau, i1)
				if soc = target; to == socDown {
					soc = math.Nextafter(target, 0)
				}
			}
			for level < len(at) && at[level] <= soc {
				level++
			}
			for level > 0 && at[level-1] > soc {
				level--
			}
		}
	}

	// the books
	l := m.books
	meanE := e + g*x/2
	stored, charge := x*meanE, through*meanE
	into := power * tau
	if held {
		into = charge + (i0+i1)/2*through*(r+rs*x/2)
	}
	consumers, wanted, byBus := demand*tau, (row.acAll+row.dcAll)*tau, (ac+dc)*tau
	solarToLoad, part := 0., 0.
	if consumers > 0 {
		part = byBus / consumers
	}
	if lit {
		solarToLoad = m.glideSun(consumers+into, consumers, tau, sun, wanted, held)
		l.loadSolar += part * solarToLoad
	} else {
		m.since.load += wanted
		if m.full || !p.linked && m.stages[0].filled() && !p.setLow {
			m.since = balance{}
		}
	}
	l.load += wanted
	l.loadBank += part * (consumers - solarToLoad)
	if m.shed {
		unserved := max(0, wanted-byBus)
		l.unserved += unserved
		l.shed += unserved
	}
	l.invIn += inv * tau
	l.invOut += ac * tau
	l.dcLoad += dc * tau
	l.own += own * tau
	l.stored += stored
	l.resistive += into - charge
	if through > 0 {
		l.charge += into
		l.chargeAs += through
		if m.celsius < 25 {
			if over := through - max(0, m.zoneCeiling())*tau; over > 1e-6*through && through > justOffA*tau {
				l.coldS += tau
				l.coldAs += over
			}
		}
		if held && !m.full {
			l.ceilingS += tau
		}
	} else {
		l.discharge -= into
		l.dischargeAs -= through
	}
	inside := draw * tau * meanE
	l.draw += inside
	l.coulombic += charge - stored - inside
	l.windowS[z.window] += tau

	if m.rec != nil {
		c := drift{power, e, g, r, rs, i0, r0, eta, perEta, draw, ceilingA, c1, slope, bend, held}
		v1 := e + g*x + c.at(x)*(r+rs*x)
		m.rec.glide(m, (volts+v1)/2, row.envC+heat*p.perW, celsius, tau, e)
	}

	// the state
	m.knot = knot
	switch what {
	case knotUp:
		m.q = p.knots[knot+1].q
		if knot < len(p.knots)-2 {
			m.knot++
		}
	case knotDown:
		m.q = k.q
	default:
		m.q = q + x
	}
	was := m.ls
	m.celsius, m.lossW, m.soc, m.ls = celsius, heat, soc, level
	switch what {
	case voltUp:
		m.lv, m.calm = m.high+1, false
	case voltDown:
		m.lv, m.calm = m.low-1, false
	case socUp, socDown:
		m.calm = m.silent(what, was)
	}
	m.predicted = tau < steadyS
	if warmTo != noEvent {
		m.overThreshold(warmTo, tau)
		m.calm = m.silent(warmTo, was)
	}
	if m.now += tau; what == noEvent {
		m.now = end
	}
	if m.q <= 0 {
		m.drained, m.calm = true, false
	}
	if m.counted {
		m.mark(i0)
	}
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

// glideLit tells whether by day no charger comes to its set-point or its ampere
// limit, from the voltages at rest and at the start to that at the end.
func (m *machine) glideLit(held bool, demand, rest, start, end float64) bool {
	p, row := m.p, m.row
	set, leastA := p.pushedV, row.leastA
	if !p.linked {
		set, leastA = m.stages[0].volts(&p.solo)+p.compensate*(row.envC-25), min(leastA, p.setA)
	}
	if top := set - nearV; rest > top || start > top || end > top {
		return false
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
	return row.mostOutW <= sure || held && m.full && sure > 1.1*demand
}

// glideSun books what the sun gave by day, of a need of bank and consumers (J), and
// answers what of it went to the consumers.
func (m *machine) glideSun(need, consumers, tau, sun, wanted float64, held bool) (solarToLoad float64) {
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
	case !held:
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
		b.load += wanted
		b.sun += available
	}
	return solarToLoad
}
