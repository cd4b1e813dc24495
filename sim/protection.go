package sim

import (
	"math/bits"

	"bankyear/sim/bank"
)

// tripKind is one way in which the BMS's disconnect opens.
type tripKind uint8

const (
	tripCold    tripKind = iota // charge below the charge window
	tripHot                     // charge above it
	tripOverV                   // over-voltage
	tripChargeA                 // charge over-current
	tripUnderV                  // under-voltage
	tripDisCold                 // discharge below its window
	tripDisHot                  // discharge above it
	tripDisA                    // discharge over-current
	tripKinds

	chargeTrips    = 1<<tripCold | 1<<tripHot | 1<<tripOverV | 1<<tripChargeA
	dischargeTrips = 1<<tripUnderV | 1<<tripDisCold | 1<<tripDisHot | 1<<tripDisA
)

var tripNames = [tripKinds]string{"charge_too_cold", "charge_too_hot", "over_voltage", "charge_over_current",
	"under_voltage", "discharge_too_cold", "discharge_too_hot", "discharge_over_current"}

// guard is the protection's state.
type guard struct {
	tripped               uint16 // bit a kind
	coldWindow, hotWindow bool   // outside the charge window, with hysteresis
	coldDischarge         bool   // outside the discharge window, with hysteresis
	hotDischarge          bool
	peaking, unrested     bool // above the continuous discharge current; not rested since
	peakStart             float64
}

// window follows one side of a temperature window with its hysteresis.
func window(in *bool, beyond, back bool) bool {
	switch {
	case beyond && !*in:
		*in = true
	case back && *in:
		*in = false
	default:
		return false
	}
	return true
}

// windowStep follows the temperature windows and the heater.
func (m *machine) windowStep() bool {
	t := &m.p.t
	changed := window(&m.coldWindow, m.lt <= t.cold, m.lt > t.coldBack)
	changed = window(&m.hotWindow, m.lt > t.hot, m.lt <= t.hotBack) || changed
	changed = window(&m.coldDischarge, m.lt <= t.disCold, m.lt > t.disColdBack) || changed
	changed = window(&m.hotDischarge, m.lt > t.disHot, m.lt <= t.disHotBack) || changed
	if m.p.heaterW > 0 {
		changed = window(&m.heaterOn, m.lt <= t.heatOn, m.lt > t.heatOff) || changed
	}
	return m.fanStep() || changed
}

// beyond is the kinds of trip whose condition holds, a bit each. Charge-side quantities
// count only while the modules take charge: a current of charge_seen_a or more.
func (m *machine) beyond(f *flow) uint64 {
	p, v := m.p, &m.p.v
	on := m.connected()
	charging := on && f.current >= p.chargeSeenA
	asks := !m.following() // a linked bank asks the inverter to stop instead
	return bit(charging && m.coldWindow && m.lt <= p.t.cold, tripCold) |
		bit(charging && m.hotWindow && m.lt > p.t.hot, tripHot) |
		bit(on && f.mode != apart && m.lv > v.over, tripOverV) |
		bit(on && f.current > p.chargeOverA, tripChargeA) |
		bit(on && f.current <= 0 && !m.timers.running(tNursed) && m.lv <= v.under, tripUnderV) |
		bit(on && asks && m.coldDischarge, tripDisCold) |
		bit(on && asks && m.hotDischarge, tripDisHot) |
		bit(on && -f.current > p.dischargeA, tripDisA)
}

// protectStep trips and re-closes. A trip is released by its quantity, a charge-side
// one by temperature also when there is no charge voltage any more; it closes the
// re-close delay later.
func (m *machine) protectStep(f *flow) bool {
	p, v := m.p, &m.p.v
	m.ended(tNursed)
	changed := false
	beyond := m.beyond(f)
	for look := beyond &^ (1 << tripDisA); look != 0; look &= look - 1 {
		k := tripKind(bits.TrailingZeros64(look))
		changed = m.trip(k, p.tripDelayS[k]) || changed
	}
	changed = m.overCurrent(f, beyond>>tripDisA&1 != 0) || changed
	if m.tripped == 0 {
		return changed
	}
	on, present := m.connected(), m.chargePresent(f)
	changed = m.reclose(tripCold, m.lt > p.t.coldBack || !present) || changed
	changed = m.reclose(tripHot, m.lt <= p.t.hotBack || !present) || changed
	changed = m.reclose(tripOverV, m.lv <= v.overRelease) || changed
	changed = m.reclose(tripChargeA, true) || changed
	changed = m.reclose(tripUnderV, m.lv > v.underRelease || !on && m.lb > v.underRelease || p.oneSwitch && !m.asleep && m.wouldCharge(f)) || changed
	changed = m.reclose(tripDisCold, !m.coldDischarge) || changed
	changed = m.reclose(tripDisHot, !m.hotDischarge) || changed
	return m.reclose(tripDisA, true) || changed
}

// protectRest ends what no longer lasts once a moment has settled: a condition that
// breaks and holds again in one moment, such as a load that tries to start in vain, has
// lasted.
func (m *machine) protectRest(f *flow) {
	waits := m.timers.from(tTrip) & (1<<tripKinds - 1)
	if waits == 0 && !m.peaking {
		return
	}
	beyond := m.beyond(f)
	for over := waits &^ beyond; over != 0; over &= over - 1 {
		m.stop(tTrip + bits.TrailingZeros64(over))
	}
	if m.peaking && beyond>>tripDisA&1 == 0 {
		m.peaking, m.unrested = false, true
		m.stop(tPeak)
		m.set(tPeakRest, m.now+m.p.peakRestS)
	}
}

// bit is a kind of trip's bit where a condition holds.
func bit(condition bool, k tripKind) uint64 {
	if condition {
		return 1 << k
	}
	return 0
}

// tripDelays are the delays of each kind that a condition alone decides, s.
func tripDelays(p *bank.Protection) [tripKinds]float64 {
	t := p.TemperatureDelayS
	return [tripKinds]float64{tripCold: t, tripHot: t, tripOverV: p.OverDelayS, tripChargeA: p.ChargeOverDelayS,
		tripUnderV: p.UnderDelayS, tripDisCold: t, tripDisHot: t}
}

// trip opens once its condition, which holds, has lasted for the delay.
func (m *machine) trip(k tripKind, delay float64) bool {
	if !m.held(tTrip+int(k), m.tripped&(1<<k) == 0, delay) {
		return false
	}
	if m.cascades(k) {
		m.dropOne(k)
	} else {
		m.opened(k)
	}
	return true
}

// reclose closes once a release has lasted for the re-close delay.
func (m *machine) reclose(k tripKind, released bool) bool {
	if m.tripped&(1<<k) == 0 || !m.held(tClose+int(k), released, m.p.protection.RecloseS) {
		return false
	}
	m.tripped &^= 1 << k
	return true
}

// overCurrent trips a discharge above the continuous current once it has lasted
// as long as the curve of peaks allows its current, or after a second when the
// bank has not rested since the last peak.
func (m *machine) overCurrent(f *flow, over bool) bool {
	p := m.p
	if m.ended(tPeakRest) {
		m.unrested = false
	}
	if over && !m.peaking {
		m.peaking, m.peakStart = true, m.now
	}
	if !over {
		return false
	}
	at := m.peakStart + p.peakS(-f.current, m.unrested)
	if m.now < at {
		m.set(tPeak, at)
		return false
	}
	m.stop(tPeak)
	if m.cascades(tripDisA) {
		m.dropOne(tripDisA)
	} else {
		m.opened(tripDisA)
	}
	return true
}

// peakS is how long the bank bears a discharge current above the continuous
// one, s.
func (l *rules) peakS(current float64, unrested bool) float64 {
	for _, peak := range l.peaks {
		if current <= peak[0] && !unrested {
			return max(1, peak[1])
		}
	}
	return 1
}

// chargePresent tells whether charge voltage stands at the terminals: a bank
// that is on the bus and would be charged, or one that is off a bus which the
// chargers hold.
func (m *machine) chargePresent(f *flow) bool {
	if !m.sourcePresent(f) || !f.alive {
		return false
	}
	return f.solarW+f.genW+(f.solarA+f.genA)*f.volts > f.demand
}

// wouldCharge tells whether a bank that is off the bus would be charged if it
// closed: charge voltage closes an under-voltage trip.
func (m *machine) wouldCharge(f *flow) bool {
	p := m.p
	sun, set := m.sunStarts(), p.genStartsBus && f.genInput > 0
	if !sun && !set || !m.sourcePresent(f) || m.coldWindow || m.hotWindow {
		return false
	}
	return !m.following() || m.zoneCeiling() > 0
}

// sourcePresent tells whether any charger has power to give.
func (m *machine) sourcePresent(f *flow) bool {
	return m.row.solarInW > 0 && !m.sunStopped() || f.genInput > 0 && !m.acStopped()
}
