package sim

import "bankyear/sim/bank"

// justBelow keeps a voltage that an event has set exactly on a limit on its
// right side, V.
const justBelow = 1e-9

// settle finds the bank's current and the law that it follows: all that the
// sources can give, unless a voltage set-point or the charge ceiling is lower.
// Of two set-points the higher carries the taper.
func (m *machine) settle(f *flow, closed bool) {
	f.solarOff, f.genOff, f.genFirst, f.collapse = false, false, false, false
	if !f.alive {
		f.mode, f.current, f.volts = apart, 0, f.e
		return
	}
	if !closed {
		m.hold(f)
		return
	}
	solar, gen := f.solarW+f.solarA > 0, f.genW+f.genA > 0
	m.carry(f, solar, gen)
	switch low, high := min(f.setS, f.setG), max(f.setS, f.setG); {
	case !solar && !gen:
	case solar != gen || low == high:
		set := f.setS
		if !solar {
			set = f.setG
		}
		m.taper(f, set)
	case f.volts > low-justBelow:
		f.genFirst = f.setS == low
		m.carry(f, solar && !f.genFirst, gen && f.genFirst) // the higher one alone
		if f.volts <= low+justBelow {
			f.mode, f.v = constant, low
			break
		}
		f.solarOff, f.genOff = f.genFirst, !f.genFirst
		m.taper(f, high)
	}
	if f.mode == constant {
		if m.p.acid != nil {
			m.acidOhm(f, f.v > f.e)
		}
		f.current, f.volts = f.at(0), f.v
	}
	if f.current > f.ceilingA+justOffA || f.current > f.ceilingA-justOffA && m.rises(f) {
		if m.tripped&chargeTrips != 0 {
			m.push(f)
		} else {
			f.mode, f.c0, f.current = ceiling, f.ceilingA, f.ceilingA
			f.volts = f.e + f.current*f.r
		}
	}
	if f.current < 0 && (m.drained || m.tripped&dischargeTrips != 0) {
		if f.demand == 0 { // a rounding beside a set-point
			f.mode, f.current, f.volts = apart, 0, f.e
			return
		}
		m.drop(f)
		m.settle(f, closed)
	}
}

// push finds the voltage of a bus that the chargers hold without the bank: the
// higher of their set-points where those that have it carry the demand, and the
// others are shut; else the lower one, where those fill up.
func (m *machine) push(f *flow) {
	f.mode, f.current, f.collapse = pushed, 0, false
	f.solarOff, f.genOff, f.genFirst = false, false, false
	solar, gen := f.solarW+f.solarA > 0, f.genW+f.genA > 0
	switch {
	case !gen:
		f.volts = f.setS
	case !solar:
		f.volts = f.setG
	default:
		low, high := min(f.setS, f.setG), max(f.setS, f.setG)
		w, a := f.solarW, f.solarA
		if f.genFirst = f.setS < high; f.genFirst {
			w, a = f.genW, f.genA
		}
		if f.volts = low; low < high && w+a*high >= f.demand {
			f.volts, f.solarOff, f.genOff = high, f.genFirst, !f.genFirst
		}
	}
}

// rises tells whether a current that stands on the ceiling would go above it:
// whether it gains on the ceiling in the direction in which the charge goes.
func (m *machine) rises(f *flow) bool {
	slope, sign := 0., 1.
	down := f.current <= 0 // the modules' own draw takes the charge down
	if down {
		sign = -1
	}
	if f.mode == constant {
		slope = -(f.g + m.turning(sign) + f.current*f.rs) / (f.r - f.sense)
	}
	return down == (slope < f.c1)
}

// carry lets the named sources give all they can.
func (m *machine) carry(f *flow, solar, gen bool) {
	f.mode, f.p, f.source = power, -f.demand, 0
	if solar {
		f.p, f.source = f.p+f.solarW, f.source+f.solarA
	}
	if gen {
		f.p, f.source = f.p+f.genW, f.source+f.genA
	}
	if m.p.acid != nil {
		m.acidOhm(f, f.p+f.e*f.source > 0)
	}
	var ok bool
	f.current, f.root, ok = bank.CurrentA(f.e, f.r, f.p, f.source)
	f.collapse = !ok
	f.volts = f.e + f.current*f.r
}

// taper holds a set-point, or shuts every source off where the bus is above it
// without them.
func (m *machine) taper(f *flow, set float64) {
	if f.volts < set-justBelow {
		return
	}
	m.carry(f, false, false)
	if f.volts > set+justBelow {
		f.solarOff, f.genOff = true, true
		return
	}
	f.mode, f.v, f.collapse = constant, set, false
}

// hold is a bus that the chargers keep up without a bank: they carry all of the
// demand, or the bus goes down.
func (m *machine) hold(f *flow) {
	volts := max(f.setS, f.setG)
	m.offer(f, volts)
	if w := f.solarW + f.genW + (f.solarA+f.genA)*volts; w == 0 || w < f.demand {
		f.alive = false
		m.drop(f)
		f.mode, f.current, f.volts = apart, 0, f.e
		return
	}
	m.push(f)
	f.mode = apart
}

// drop takes every consumer off the DC bus.
func (m *machine) drop(f *flow) {
	f.inverterOn, f.acByInv, f.invIn, f.dcServed, f.own, f.heater, f.demand = false, 0, 0, 0, 0, 0, 0
}
