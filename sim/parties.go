package sim

import "math"

// offered is what a party can give, and the bus voltages of its set-point: at once,
// and with no current in the bank's cable.
type offered struct{ w, a, set, still float64 }

// mixture is the parties as they are offered.
type mixture struct {
	of      [maxChargers + 1]offered
	hearing uint32 // bit a party that follows the BMS
}

// solveParties finds the flows where the chargers hold voltages of their own.
func (m *machine) solveParties(f *flow, closed bool) {
	p := m.p
	if p.acid == nil { // that has no switches, nor thresholds behind them
		f.cable = p.parties.sensedOhm
	}
	if m.mixes() {
		shift := p.moves * (m.feltC() - 25)
		f.setD = m.stages[0].volts(&p.hand) + shift
		if p.acToo {
			f.setG = m.stages[1].volts(&p.hand) + shift
		}
	}
	m.offerParties(f, f.e)
	m.warm(f)
	m.settleParties(f, closed)
	if was, on := m.amperes(), f.on; f.alive {
		if m.offerParties(f, f.volts); m.amperes() != was {
			m.settleParties(f, closed)
		} else {
			m.takeParties(f, on)
		}
	}
}

// amperes are what the parties at their ampere limits give.
func (m *machine) amperes() (list [maxChargers + 1]float64) {
	for k, of := range m.mixture.of {
		list[k] = of.a
	}
	return list
}

// setPoint is what a party is told to hold the voltage at, V; 0 where it is told to
// stop.
func (m *machine) setPoint(f *flow, k int) float64 {
	to := &m.p.parties.list[k]
	switch {
	case to.ac:
		return f.setG
	case to.deaf && m.mixes():
		return f.setD
	}
	return f.setS
}

// offerParties finds what each party can give at a bus voltage. A charger that senses
// at the bank holds V − I·R_cable there: with the bank's current at that voltage,
//
//	I = (V_set − E)/(R − R_cable),  V_bus = V_set + I·R_cable.
func (m *machine) offerParties(f *flow, volts float64) {
	p, x := m.p, &m.mixture
	x.of, x.hearing = [maxChargers + 1]offered{}, 0
	for k := range p.parties.list {
		to, of := &p.parties.list[k], &x.of[k]
		if !to.deaf {
			x.hearing |= 1 << k
		}
		if set := m.setPoint(f, k); set > 0 {
			of.still = set + to.offsetV
			of.set = of.still
			if to.ohm > 0 {
				of.set += (of.still - f.e) / (m.ohmAt(f, of.still) - to.ohm) * to.ohm
			}
		}
	}
	if base := m.i * p.chargers; m.row.solarInW > 0 && f.alive {
		for k := range p.chargers {
			of := &x.of[p.parties.of[k]]
			w, a := p.sky.solarW[base+k], m.solarLimitA(base+k)
			if of.still == 0 || (!m.following() || p.deaf[k]) && p.sensor[k] && (m.coldWindow || m.hotWindow) {
				continue
			}
			if w > a*volts {
				of.a += a
			} else {
				of.w += w
			}
		}
	}
	if w := f.genInput * p.genEta; w > 0 && f.setG > 0 && f.alive {
		of := &x.of[p.parties.ac()]
		if a := m.acLimitA(); w > a*volts {
			of.a = a
		} else {
			of.w = w
		}
	}
	m.takeParties(f, 1<<len(p.parties.list)-1)
}

// ohmAt is the bank's resistance at a voltage, with its cable.
func (m *machine) ohmAt(f *flow, volts float64) float64 {
	if m.p.acid == nil {
		return f.r
	}
	with := *f
	m.acidOhm(&with, volts > f.e)
	return with.r
}

// takeParties makes the flow's sources those of some parties.
func (m *machine) takeParties(f *flow, on uint32) {
	f.solarW, f.solarA, f.genW, f.genA = 0, 0, 0, 0
	for k, to := range m.p.parties.list {
		switch of := &m.mixture.of[k]; {
		case on>>k&1 == 0:
		case to.ac:
			f.genW, f.genA = of.w, of.a
		default:
			f.solarW, f.solarA = f.solarW+of.w, f.solarA+of.a
		}
	}
	f.on = on
}

// settleParties is settle for parties of several set-points: the lowest is shut
// first, and the ceiling holds back those that hear of it, unless the others alone
// push the bank beyond it.
func (m *machine) settleParties(f *flow, closed bool) {
	f.solarOff, f.genOff, f.genFirst, f.collapse, f.hearShut, f.tooHigh = false, false, false, false, false, false
	f.sense, f.holders = 0, 0
	if !f.alive {
		f.mode, f.current, f.volts = apart, 0, f.e
		return
	}
	all := m.offering()
	if !closed {
		m.holdParties(f, all)
		return
	}
	m.share(f, all)
	if f.current > f.ceilingA+justOffA || f.current > f.ceilingA-justOffA && m.rises(f) {
		if m.tripped&chargeTrips != 0 {
			m.pushParties(f, all)
		} else if m.share(f, all&^m.mixture.hearing); f.current >= f.ceilingA {
			f.hearShut = true
		} else {
			m.takeParties(f, all)
			f.solarOff, f.genOff, f.collapse = false, false, false
			f.sense, f.holders = 0, 0
			f.genFirst = m.p.mixed && m.p.acToo
			f.mode, f.c0, f.current = ceiling, f.ceilingA, f.ceilingA
			f.volts = f.e + f.current*f.r
		}
	}
	if f.current < 0 && (m.drained || m.tripped&dischargeTrips != 0) {
		if f.demand == 0 {
			f.mode, f.current, f.volts = apart, 0, f.e
			return
		}
		m.drop(f)
		m.settleParties(f, closed)
	}
}

// offering are the parties that have something to give.
func (m *machine) offering() (all uint32) {
	for k, of := range m.mixture.of {
		if of.w+of.a > 0 {
			all |= 1 << k
		}
	}
	return all
}

// holdParties is hold for them.
func (m *machine) holdParties(f *flow, all uint32) {
	for k, of := range m.mixture.of {
		if all>>k&1 != 0 {
			f.volts = max(f.volts, of.still)
		}
	}
	m.offerParties(f, f.volts)
	if w := f.solarW + f.genW + (f.solarA+f.genA)*f.volts; w == 0 || w < f.demand {
		f.alive = false
		m.drop(f)
		f.mode, f.current, f.volts = apart, 0, f.e
		return
	}
	m.pushParties(f, all)
	f.mode = apart
}

// pushParties is push for them: the bus stands at the highest set-point at which those
// that are not shut carry the demand.
func (m *machine) pushParties(f *flow, all uint32) {
	x := &m.mixture
	f.mode, f.current, f.sense = pushed, 0, 0
	f.solarOff, f.genOff, f.collapse = false, false, false
	for on, w := uint32(0), -1.; on != all && w < f.demand; {
		f.volts, w, f.holders = 0, 0, 0
		for k, of := range x.of {
			if (all&^on)>>k&1 != 0 {
				f.volts = max(f.volts, of.still)
			}
		}
		for k, of := range x.of {
			if all>>k&1 != 0 && of.still >= f.volts {
				on |= 1 << k
				w += of.w + of.a*f.volts
				if of.still == f.volts {
					f.holders |= 1 << k
				}
			}
		}
		m.takeParties(f, on)
	}
	f.genFirst = x.of[m.p.parties.ac()].still > f.volts
}

// share lets parties give all they can, but those whose set-points the bus would
// pass.
func (m *machine) share(f *flow, on uint32) {
	x, ac := &m.mixture, uint32(1)<<m.p.parties.ac()
	f.genFirst, f.sense, f.holders = false, 0, 0
	for {
		m.takeParties(f, on)
		m.carry(f, true, true)
		low, first := math.Inf(1), 0
		for k, of := range x.of {
			if on>>k&1 != 0 && of.set < low {
				low, first = of.set, k
			}
		}
		if f.volts < low-justBelow {
			return
		}
		rest := on
		for k, of := range x.of {
			if of.set <= low {
				rest &^= 1 << k
			}
		}
		f.tooHigh = f.tooHigh || on&^rest&^ac != 0 // the last one holds it
		m.takeParties(f, rest)
		m.carry(f, true, true)
		if f.volts <= low+justBelow {
			m.takeParties(f, on)
			f.genFirst, f.holders = rest&ac != 0, on&^rest
			f.mode, f.v, f.sense, f.collapse = constant, x.of[first].still, m.p.parties.list[first].ohm, false
			if m.p.acid != nil {
				m.acidOhm(f, f.v > f.e)
			}
			f.current = f.at(0)
			f.volts = f.v + f.current*f.sense
			return
		}
		if on = rest; on == 0 {
			f.solarOff, f.genOff = true, true
			return
		}
	}
}

// holds tells whether a kind of charger, 0 solar and 1 AC, that works by voltage holds
// the bus at its set-point.
func (m *machine) holds(f *flow, kind int) bool {
	for k, to := range m.p.parties.list {
		if f.holders>>k&1 != 0 && to.ac == (kind == 1) && (to.deaf || !m.mixes()) {
			return true
		}
	}
	return false
}
