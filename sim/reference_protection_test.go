package sim_test

import "slices"

// The automata on the bank's side: link, windows, heater, disconnect. Each
// function looks at the powers of this second and tells whether it changed
// something.

func (r *reference) linkStep() bool {
	if !r.dataLinked {
		return false
	}
	st := &r.st
	st.linkDown = false
	for _, f := range r.faults {
		st.linkDown = st.linkDown || f[0] <= float64(r.now) && float64(r.now) < f[1]
	}
	if st.linkDown { // another fault
		st.seenNight, st.resetAt = false, 0
	}
	lost := st.linkTimer.past(st.linkDown, r.now, r.s.Bank.Link.TimeoutS) || st.lost && (st.linkDown || !r.linkReturns())
	if lost == st.lost {
		return false
	}
	st.lost = lost
	if lost {
		st.solar.begin()
		st.ac.begin()
	}
	st.bmsFull, st.fullHold, st.againHold = false, refHold{}, refHold{}
	return true
}

// linkReturns tells whether a loss ends now, the link being back.
func (r *reference) linkReturns() bool {
	st := &r.st
	switch r.s.Bank.OnLinkReturn {
	case "next_morning":
		st.seenNight = st.seenNight || !r.in.sunUp
		return st.seenNight && r.in.sunUp || st.resetAt != 0 // by who came to a dark site
	case "until_reset":
		if st.resetAt == 0 { // when somebody resets it
			remote := never
			if r.s.Controls.RemoteView {
				remote = r.now + int(3600*r.s.Controls.RemoteVisitH)
			}
			st.resetAt = remote
			if slices.Contains(r.s.Controls.Operator.Does, "reset") {
				st.resetAt, _ = r.someone(remote, 1)
			}
		}
		return r.now >= st.resetAt
	}
	return true
}

// windowStep keeps the four windows of cell temperature, each with its
// hysteresis, and the heater.
func (r *reference) windowStep() bool {
	st, p, e := &r.st, &r.m.Protection, &r.s.Bank.Enclosure
	changed := false
	set := func(state *bool, out, in bool) {
		if *state && in || !*state && out {
			*state, changed = !*state, true
		}
	}
	t := st.cellC
	if r.acid == nil {
		set(&st.coldCharge, t < p.ChargeColdC, t >= p.ChargeColdReleaseC)
		set(&st.hotCharge, t > p.ChargeHotC, t <= p.ChargeHotReleaseC)
		set(&st.coldOut, t < p.DischargeColdC, t >= p.DischargeColdReleaseC)
		set(&st.hotOut, t > p.DischargeHotC, t <= p.DischargeHotReleaseC)
	}
	if e.HeaterW > 0 {
		set(&st.heater, t <= e.HeaterOnC, t >= e.HeaterOffC)
	}
	if f := e.Fan; f != nil {
		set(&st.fan, t >= f.OnC, t < f.OffC)
	}
	return changed
}

// moduleV is the voltage on the cells' side of the modules' switches.
func (r *reference) moduleV() float64 {
	if r.flow.bankOn && !r.flow.alone {
		return r.busV() - r.flow.i*r.innerOhm
	}
	return r.flow.e
}

// busV is the voltage of the bus; the bank's where it is dead.
func (r *reference) busV() float64 {
	if r.flow.v > 0 {
		return r.flow.v
	}
	return r.flow.e
}

// protectionStep is the disconnect.
func (r *reference) protectionStep() bool {
	st, f, p := &r.st, &r.flow, &r.m.Protection
	if r.acid != nil { // no BMS
		return false
	}
	i, v := f.i, r.moduleV()
	charging := i >= p.ChargeSeenA*r.n
	outside := 0.0 // voltage behind an open disconnect
	if !f.bankOn {
		outside = f.v
	}
	noChargeVoltage := f.v <= 0 || f.sourceW <= f.demandW
	changed := false
	quantity := func(q int, beyond bool, delayS float64, released bool) {
		t := &st.trip[q]
		if t.tripped {
			if t.released.past(released, r.now, p.RecloseS) {
				*t, changed = refTrip{}, true
			}
			return
		}
		if t.beyond.past(beyond, r.now, delayS) {
			changed = true
			if r.opensAlone(q) {
				*t = refTrip{}
				return
			}
			*t = refTrip{tripped: true}
			r.opened(q)
		}
	}
	t := st.cellC
	quantity(qChargeCold, charging && t < p.ChargeColdC, p.TemperatureDelayS, t >= p.ChargeColdReleaseC || noChargeVoltage)
	quantity(qChargeHot, charging && t > p.ChargeHotC, p.TemperatureDelayS, t <= p.ChargeHotReleaseC || noChargeVoltage)
	quantity(qOverV, v >= r.overV, p.OverDelayS, v < p.OverReleaseV)
	quantity(qChargeOver, i > r.chargeOverA, p.ChargeOverDelayS, i <= r.chargeOverA)
	windows := r.byVoltage() // with a link the inverter is told to stop instead
	quantity(qOutCold, f.bankOn && windows && t < p.DischargeColdC, p.TemperatureDelayS, t >= p.DischargeColdReleaseC)
	quantity(qOutHot, f.bankOn && windows && t > p.DischargeHotC, p.TemperatureDelayS, t <= p.DischargeHotReleaseC)
	couldCharge := r.oneSwitch && !st.asleep && (r.sunStarts() || r.setStarts()) && !st.coldCharge && !st.hotCharge
	quantity(qUnderV, f.bankOn && i <= 0 && float64(r.now) >= st.broughtUp && v < p.UnderV, p.UnderDelayS, max(v, outside) > p.UnderReleaseV || couldCharge)
	quantity(qOutOver, r.overPeak(), 0, -i <= r.contA)
	return changed
}

// overPeak tells whether the discharge current has lasted longer than the
// peaks allow: the least listed peak that is not below it says how long, one
// second above all of them or without a rest before.
func (r *reference) overPeak() bool {
	st, a := &r.st, -r.flow.i
	if a <= r.contA {
		if st.peak.on {
			st.peak.on, st.hadPeak, st.peakEnd = false, true, r.now
		}
		return false
	}
	if !st.peak.on {
		st.peak = refHold{true, r.now}
		st.peakRested = !st.hadPeak || float64(r.now-st.peakEnd) >= r.m.PeakRestS
	}
	allowed := 1.0
	if st.peakRested {
		for _, pair := range r.m.PeakAS {
			if a <= pair[0]*r.n/r.m.WorstShare {
				allowed = pair[1]
				break
			}
		}
	}
	return float64(r.now-st.peak.since) >= allowed
}

// opened notes a trip of a quantity, which latches when it is the last of a
// number within a time.
func (r *reference) opened(q int) {
	p, count, seconds := &r.m.Protection, 0, 0.0
	switch q {
	case qChargeOver, qOutOver:
		count, seconds = p.OverALatchCount, p.OverALatchS
	case qOverV:
		count, seconds = p.OverVLatchCount, p.OverVLatchS
	default:
		return
	}
	at := append(r.st.trips[q], r.now)
	for float64(r.now-at[0]) > seconds {
		at = at[1:]
	}
	if len(at) >= count {
		r.st.latched |= 1 << q
		at = at[:0]
	}
	r.st.trips[q] = at
}
