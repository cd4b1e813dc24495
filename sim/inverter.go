package sim

import "math"

// inverterState is what the inverter does.
type inverterState uint8

const (
	running inverterState = iota
	off
	restarting
	overloaded // gave up on a load above its ratings; waits until it has fallen
)

// inverterStep starts and stops the inverter. It runs while the DC bus can
// carry it; it comes back restart_s after that is so again.
func (m *machine) inverterStep(f *flow) bool {
	p := m.p
	able := m.canInvert(f)
	bears, va := m.row.overAll, m.row.vaAll
	ac := m.row.acAll
	if m.shed {
		bears, va, ac = m.row.overEss, m.row.vaEss, m.row.acEss
	}
	if f.acByGen > 0 { // what the generator does not pass through
		bears = p.inverter.allowedS((ac - f.acByGen) * va / m.row.derate)
	}
	over := m.inv == running && !math.IsInf(bears, 1)
	if m.tiring(over) {
		bears = 1
	}
	gaveUp := m.held(tOverload, over && able, max(bears, 1))
	switch {
	case m.inv != off && !able:
		m.inv = off
		m.stop(tInverter)
	case m.inv == running && gaveUp:
		m.inv = overloaded
	case m.inv == overloaded && math.IsInf(bears, 1), m.inv == off && able:
		m.inv = restarting
		m.set(tInverter, m.now+p.inverter.restartS)
	case m.inv == restarting && m.ended(tInverter):
		m.inv, m.why = running, NoCause
		m.counts.restarts++
	default:
		return false
	}
	return true
}

// tiring follows the rest between overloads: it tells whether the inverter has not
// rested since the last, so that its short ratings do not hold.
func (m *machine) tiring(over bool) bool {
	x := &m.strain
	if m.ended(tRest) {
		x.tired = false
	}
	if x.over && !over {
		m.set(tRest, m.now+m.p.inverter.restS)
		x.tired = true
	}
	if over && !x.over {
		x.strained = x.tired
		x.tired = false
		m.stop(tRest)
	}
	x.over = over
	return over && x.strained
}

// strain is whether the load is above the inverter's rating, and whether it has
// rested since the last time.
type strain struct{ over, tired, strained bool }

// canInvert tells whether the DC bus would carry the inverter.
func (m *machine) canInvert(f *flow) bool {
	switch {
	case !f.alive, !m.loadOn(), m.tooHigh, m.siteStopped(), m.tripped&dischargeTrips != 0:
		return false
	case m.following() && (m.coldDischarge || m.hotDischarge):
		return false
	}
	return true
}

// dc is the inverter's DC input for an AC output, W (Schmidt & Sauer 1996), or
// in search mode.
func (r *inverterRules) dc(acW float64) float64 {
	if acW < r.searchBelowW {
		return acW + r.searchW
	}
	return acW + r.loss[0] + acW*(r.loss[1]+acW*r.loss[2])
}

// darkCause names what the site is in, in order of precedence.
func (m *machine) darkCause(f *flow) Cause {
	p := m.p
	open := m.tripped != 0
	switch {
	case (open && m.tripped&chargeTrips != 0 || m.latched&chargeTrips != 0) && p.oneSwitch:
		return ChargeTrip
	case m.asleep:
		return Asleep
	case m.latched&^(1<<tripDisA) != 0, open && m.tripped&(dischargeTrips&^(1<<tripDisA)) != 0:
		return ProtectionOff
	case m.lost && (p.onLoss == bankOpens || p.onLoss == allStop):
		return LinkLoss
	case m.stopped, m.inv == restarting && m.why != NoCause: // a stop that ended at once leaves the restart
		return m.why
	case m.following() && m.coldDischarge:
		return TooCold
	case m.following() && m.hotDischarge:
		return TooHot
	case m.discharging.stage == loadOff:
		return m.discharging.why
	case (m.tripped|m.latched)&(1<<tripDisA) != 0:
		return OverCurrent
	case m.inv == overloaded, m.tooHigh:
		return InverterLimit
	case m.lost:
		return LinkLoss
	case f.collapse, m.floorHit, m.drained:
		return Empty
	}
	return InverterLimit
}
