package sim_test

// The automata on the load's side: low end, inverter, shedding.

// floorAh is the charge below which cold locks the rest.
func (r *reference) floorAh() float64 { return r.capacityAh * (1 - r.usable.at(r.st.cellC)) }

func (r *reference) lowEndStep() bool {
	st, f, low := &r.st, &r.flow, &r.s.Controls.LowEnd
	left := st.q
	if r.acid != nil { // the available well decides
		left = r.acid.available * r.capacityAh
	}
	if lock := r.floorAh(); left < lock { // charging or not
		st.atFloor = true
	} else if left >= lock+0.02*r.capacityAh {
		st.atFloor = false
	}
	alive := f.bankOn && f.v > 0
	slow := st.slow.past(r.byVoltage() && alive && f.v < low.CutOffV, r.now, low.CutOffDelayS)
	fast := st.fast.past(r.byVoltage() && alive && f.v < low.FastCutOffV, r.now, low.FastCutOffDelayS)
	lowest := st.lowest.past(alive && f.v < r.s.Inverter.MinV, r.now, 1)
	floor := alive && f.i < 0 && st.atFloor
	if st.stopped {
		if r.now > st.stoppedAt && r.mayReturn() {
			st.stopped = false
			return true
		}
		return false
	}
	byVoltage := slow || fast || lowest || floor || f.collapse
	bySoC := !r.byVoltage() && st.believed <= low.StopSoC
	if !byVoltage && !bySoC {
		return false
	}
	st.stopped, st.stoppedByV, st.stoppedAt = true, byVoltage, r.now
	if floor && len(r.sets) > 0 { // the voltage of cells at their end falls through every rung
		r.engine().asked = len(r.spec().StartBelow) > 0
	}
	if floor && r.s.Controls.ShedBelowV > 0 {
		st.shedV = true
	}
	st.sudden = st.believed > low.SuddenSoC && r.reads()
	if r.byVoltage() {
		st.cutOffs = append(st.cutOffs, r.now)
		for float64(r.now-st.cutOffs[0]) > low.LockOutS {
			st.cutOffs = st.cutOffs[1:]
		}
		if len(st.cutOffs) >= low.LockOutCount {
			st.locked, st.cutOffs = true, st.cutOffs[:0]
		}
	}
	return true
}

// loadMay tells whether neither low end nor discharge ceiling keeps all load off.
func (r *reference) loadMay() bool { return !r.st.stopped && r.st.heldBack.stage < 2 }

// mayReturn tells whether a stopped load may come back.
func (r *reference) mayReturn() bool {
	st, f, low := &r.st, &r.flow, &r.s.Controls.LowEnd
	high := f.v > low.ReturnV && (f.i > 0 || f.alone || !low.ReturnNeedsCharge)
	if st.locked || st.atFloor && !f.alone {
		return false
	}
	if r.byVoltage() {
		return high
	}
	return st.believed >= low.ResumeSoC && (high || !st.stoppedByV)
}

// windowStop names the linked window that forbids discharge.
func (r *reference) windowStop() (cold, hot bool) {
	if r.byVoltage() {
		return false, false
	}
	return r.st.coldOut, r.st.hotOut
}

// inverterMay tells whether the bus would carry the inverter.
func (r *reference) inverterMay() bool {
	cold, hot := r.windowStop()
	return r.flow.v > 0 && !r.lostBy("all_stop") && r.loadMay() && !r.st.tooHigh && !cold && !hot && !r.outBlocked()
}

func (r *reference) inverterStep() bool {
	st, f, in := &r.st, &r.flow, &r.in
	may := r.inverterMay()
	overloaded := st.overloaded
	if st.overloaded {
		st.overloaded = f.restW*r.apparent() > in.ratedW
	} else if st.inverterOn {
		over := f.restW*r.apparent() > in.ratedW
		bears := refBearsS(&r.s.Inverter, f.restW*r.apparent()/in.derate)
		if over && !st.overload.on { // begins
			st.overRested = !st.hadOver || float64(r.now-st.overEnd) >= r.s.Inverter.ShortRestS
		}
		if !st.overRested {
			bears = 0
		}
		if !over && st.overload.on {
			st.hadOver, st.overEnd = true, r.now
		}
		st.overloaded = st.overload.past(over, r.now, max(1, bears))
	}
	changed := overloaded != st.overloaded
	if st.inverterOn && (!may || st.overloaded) {
		if st.overload.on {
			st.hadOver, st.overEnd = true, r.now
		}
		st.inverterOn, st.restart, st.overload, changed = false, refHold{}, refHold{}, true
	}
	if !st.inverterOn && st.restart.past(may && !st.overloaded, r.now, r.s.Inverter.RestartS) {
		st.inverterOn, changed = true, true
		st.motorFailed = false
	}
	return changed
}

func (r *reference) shedStep() bool {
	st, c := &r.st, &r.s.Controls
	was := st.shed
	switch {
	case r.counter.Kind == "none":
	case st.shedSoC:
		st.shedSoC = st.believed < c.ReturnSoC
	default:
		st.shedSoC = st.believed <= c.ShedSoC
	}
	v := r.busV()
	if st.shedHold.past(c.ShedBelowV > 0 && !st.shedV && r.flow.v > 0 && v < c.ShedBelowV, r.now, c.ShedBelowHoldS) {
		st.shedV = true
	}
	if st.shedV && v > c.ReturnAboveV {
		st.shedV = false
	}
	r.handStep()
	st.shed = st.shedSoC || st.shedV || st.heldBack.stage > 0 || st.hand.sheds
	return was != st.shed
}
