package sim

import (
	"math"

	"bankyear/sim/bank"
)

// A glide is a segment in which nothing can come but what moves with the bank: a knot
// of the open-circuit voltage, or a threshold. It is a settled site by day or night,
// whose bank carries what the sun leaves, takes what its ceiling allows or is held at
// a voltage. It is the movement of solve, advance and commit for that case alone, with
// the same operations in the same order, so that its bits are the same (a test compares
// them). It is one function on local variables, and asks only what the state has not
// answered before: nine hours of ten are glides.

// nearV is how near to a threshold of voltage, or a set-point, a glide looks whether it
// comes there, and how clear of a charger's knee it has to stay, V. The voltage at its end is taken from slope and bend of the
// current, which for a current that changes by a fifth is within a thousandth of it.
const nearV = 0.01

// nearC is how near to a threshold of temperature a glide takes the cells for on it, K.
const nearC = 1e-9

// glides moves the state to the end, the next timer's or the first event before them. It
// answers false, having moved nothing, where anything may come that it does not follow.
func (m *machine) glides(end float64) bool {
	p, row := m.p, m.row
	if !m.calm || !m.gliding || row.rough || row.acAll > p.startW {
		return false
	}
	if m.due[tClock] <= m.now && len(p.sets) == 1 { // changes no flow, unless a run is wanted
		m.clockStep()
		m.calm = m.settled()
	}
	if due := m.soonest(); due < end {
		end = due
	}
	if !m.calm || end <= m.now || p.discharge != nil && !m.clearOfDischarge() {
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
	inv, dc := row.invAll, row.dcAll
	if m.shed {
		inv, dc = row.invEss, row.dcEss
	}
	demand := inv + dc + (p.ownW + row.nightDrawW)
	watts, sun := -demand, 0.
	if lit {
		if sun = row.solarOutW; sun > 0 {
			watts += sun
		}
	}
	tau := end - m.now
	if !m.predicted {
		m.predict()
	}
	k := &p.knots[knot]
	dx := q - k.q
	g, rs := k.g, m.ohm*k.fs
	e, r := k.e+g*dx, m.ohm*(k.f+k.fs*dx)+p.cableR
	disc := e*e + 4*r*watts
	if disc <= 0 || e <= 0 {
		return false
	}
	root := math.Sqrt(disc)
	i0, per := 2*watts/(e+root), 1/root
	volts := e + i0*r
	law, set, shut := power, 0., false
	if sun > 0 {
		if set = m.setV(0); volts >= set-justBelow { // held, if the bus does not stand above it anyhow
			alone, root, ok := bank.CurrentA(e, r, -demand, 0)
			if !ok {
				return false
			}
			if volts = e + alone*r; volts > set+justBelow {
				shut, watts, sun, i0, per = true, -demand, 0, alone, 1/root
			} else {
				law, i0, volts = constant, (set-e)/r, set
			}
		}
	}
	eta, perEta, ceilingA, c1 := 1., 1., math.Inf(1), 0.
	if i0 > 0 {
		if p.linked {
			ceilingA, c1 = m.linkedCeiling(e)
			if i0 > ceilingA-justOffA && (i0 > ceilingA+justOffA || m.rises(&flow{mode: law, current: i0, g: g, r: r, rs: rs, c1: c1})) {
				law, i0 = ceiling, ceilingA
				volts = e + i0*r
			}
		}
		if i0 > 0 {
			eta, perEta = p.eta, p.perEta
		}
	}
	if volts >= m.toV || volts < m.fromV || volts >= m.chargeV || m.holding || law == constant {
		if lit && !m.glideLit(law, demand, e, volts, volts) { // it is not the voltage: nothing may follow it
			return false
		}
		m.follow(volts)
	}
	switch {
	case m.lv > m.high, m.lv < m.low:
		return false
	case law == constant && !p.linked && m.stageActs(&flow{current: i0, demand: demand, volts: volts}):
		return false
	case i0 < 0:
		if -i0 > p.dischargeA || m.holding {
			return false
		}
	case i0 > p.chargeOverA, (volts >= m.chargeV || m.holding) && !m.holdsOn(i0):
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
	what, way := knotUp, p.knots[knot+1].q-q
	if r0 <= 0 {
		what, way = knotDown, k.q-q
	}
	c := &m.drift
	c.law, c.power, c.set, c.e, c.g, c.r, c.rs = law, watts, set, e, g, r, rs
	c.i0, c.r0, c.eta, c.perEta, c.draw, c.ceilingA, c.c1 = i0, r0, eta, perEta, draw, ceilingA, c1
	var x, i1 float64
	switch law {
	case power:
		gi := g + i0*rs
		slope := -gi * (i0 * per)
		bend := -(slope * per) * ((rs*i0 + gi + g + rs*(i0+i0)) + 2*r*slope)
		whole := r0 * tau
		z, y := eta*slope*tau, eta*bend*(whole*tau)
		if !(z > -mild && z < mild && y > -mild && y < mild) {
			return false
		}
		x = whole * series(z, y)
		c.slope, c.bend = slope, bend
	case ceiling:
		x = r0 * tau * bank.Growth(eta*c1*tau)
	default:
		x = c.held(tau, math.Abs(way))
	}
	if math.Abs(x) < math.Abs(way) {
		what = noEvent
	} else {
		x = way
	}
	whole := x
	switch law {
	case power:
		i1 = i0 + x*(c.slope+x*c.bend*.5)
		if ceilingA+c1*x-i1 <= .005*i0 { // near the ceiling
			if way := c.toCeiling(x); way < x && way >= 0 {
				x, what = way, turn
			}
			i1 = c.at(x)
		}
	case ceiling:
		i1 = i0 + c1*x
	}
	if what != noEvent {
		tau = c.after(x, tau)
	}
	if law == constant {
		to, at := m.turnsHeld(c, x, demand)
		what, x, tau = c.sooner(to, at, what, x, tau)
		i1 = c.at(x)
	}
	if r0 == 0 || !(tau > 0) {
		return false
	}

	// clear of all that something waits for?
	if i0 < 0 && q+x < z.floorTop || i1 < -.999*p.dischargeA || i1 > .999*p.chargeOverA {
		return false
	}
	end1 := set
	if law != constant {
		end1 = e + g*x + i1*(r+rs*x)
		if end1 > m.highV-nearV || end1 < m.lowV+nearV {
			to, at := c.toVolts(m, x, volts)
			if what, x, tau = c.sooner(to, at, what, x, tau); !(tau > 0) {
				return false
			}
			i1, end1 = c.at(x), c.volts(x)
		}
		if set > 0 && (shut && end1 < set+nearV || !shut && (end1 > set-nearV || volts > set-nearV)) {
			to, at := c.toSet(x, volts)
			if what, x, tau = c.sooner(to, at, what, x, tau); !(tau > 0) {
				return false
			}
			i1, end1 = c.at(x), c.volts(x)
		}
	}
	target := 0. // of the reported SoC
	if p.exact {
		if soc := (q + whole) / p.qMax; m.passesSoC(soc) {
			if p.discharge != nil {
				return false
			}
			var to event
			target, to = m.nextSoC(soc, i0, law == ceiling)
			if what, x, tau = c.sooner(to, target*p.qMax-q, what, x, tau); !(tau > 0) {
				return false
			}
			i1 = c.at(x)
		}
	}
	if lit && !m.glideLit(law, demand, e, volts, end1) {
		return false
	}

	// the cells' warmth
	mean := (x*(1/tau) + draw) * perEta
	other := mean
	if law != power {
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
	soc, level, passes := m.soc, m.ls, p.exact
	if p.reports && !p.exact {
		soc += m.within(m.countOf(through, tau))
		if passes = m.passesSoC(soc); passes {
			if p.discharge != nil || warmTo != noEvent {
				return false
			}
			var to event
			if target, to = m.nextSoC(soc, i0, law == ceiling); to != noEvent {
				if tau, x = c.toSoC(m, target, tau, x); !(tau > 0) {
					return false
				}
				i1, through, what = c.at(x), (x+draw*tau)*perEta, to
				heat, celsius = c.warmth(m, x, tau, i1)
			}
		}
	}
	q1 := q + x
	switch what {
	case knotUp:
		q1 = p.knots[knot+1].q
	case knotDown:
		q1 = k.q
	}
	if p.exact {
		soc = p.socOf(q1)
	}
	if passes {
		soc, level = m.readingAfter(what, soc, target)
	}

	// the books
	meanE := e + g*x/2
	charge, into := through*meanE, watts*tau
	switch law {
	case ceiling:
		into = charge + (i0+i1)/2*through*(r+rs*x/2)
	case constant:
		into = set * through
	}
	m.bookGlide(law, shut, tau, demand, sun, into, charge, x*meanE, draw*tau*meanE, through)
	if m.rec != nil {
		m.rec.glide(m, (volts+c.volts(x))/2, row.envC+heat*p.perW, celsius, tau, e)
	}

	// the state
	m.q, m.knot = q1, knot
	if what == knotUp && knot < len(p.knots)-2 {
		m.knot++
	}
	was := m.ls
	m.celsius, m.lossW, m.soc, m.ls = celsius, heat, soc, level
	switch what {
	case voltUp:
		m.lv, m.calm = m.high+1, false
	case voltDown:
		m.lv, m.calm = m.low-1, false
	}
	if level != was && warmTo == noEvent {
		m.calm = m.calm && m.silent(what, was)
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
