package sim

// lowEnd is where discharge stops: by reported SoC while the chargers follow
// the BMS, by voltage else.
type lowEnd struct {
	stopped   bool
	byVoltage bool  // the stop came from voltage, not from the reported SoC
	why       Cause // SuddenStop or Empty
	cutOffs   tripRun
	locked    bool // off until a visit
}

// lowEndStep stops the load and lets it come back.
func (m *machine) lowEndStep(f *flow) bool {
	p, v := m.p, &m.p.v
	if m.stopped {
		return m.comeBack(f)
	}
	m.stop(tStopped)
	on := f.alive && m.connected()
	slow := m.held(tCut, on && !m.following() && m.lb <= v.cut, p.controls.LowEnd.CutOffDelayS)
	fast := m.held(tFast, on && !m.following() && m.lb <= v.fast, p.controls.LowEnd.FastCutOffDelayS)
	low := m.held(tMinV, on && m.lb <= v.minV, 1)
	voltage := slow || fast || low || on && (f.collapse || m.floorHit && f.current < 0)
	soc := on && m.following() && m.ls <= p.s.stop
	if !voltage && !soc {
		return false
	}
	m.stopped, m.byVoltage, m.why = true, !soc, Empty
	if !soc && p.reports && m.ls > p.s.sudden {
		m.why = SuddenStop
		m.counts.suddenStops++
	}
	if m.floorHit { // the voltage of cells at their end falls through every rung, and that of shedding
		m.gen.rung = len(p.v.ladder) > 0
		m.shedByV = m.shedByV || p.shedsByVoltage()
	}
	m.set(tStopped, m.now+dwellS) // never back in the same instant
	m.stop(tCut)
	m.stop(tFast)
	m.stop(tMinV)
	if !m.following() {
		m.lockOut()
	}
	return true
}

// loadOn tells whether neither the low end nor the discharge ceiling keeps all load off.
func (m *machine) loadOn() bool { return !m.stopped && m.discharging.stage != loadOff }

// lockOut keeps the load off until a visit after several cut-offs in a time.
func (m *machine) lockOut() {
	c := &m.p.controls.LowEnd
	if m.cutOffs.last(m.now, c.LockOutCount, c.LockOutS) {
		m.locked = true
	}
}

// comeBack ends a stop: by reported SoC when data-linked, and above the return
// voltage when voltage caused it. Chargers that hold the bus without the bank count
// as charge, whatever the cells could give.
func (m *machine) comeBack(f *flow) bool {
	p, bankless := m.p, f.bankless()
	waits := !m.ended(tStopped) && m.timers.running(tStopped)
	switch {
	case waits, m.locked, m.floorHit && !bankless:
		return false
	case m.following() && m.ls <= p.s.resume:
		return false
	case (m.byVoltage || !m.following()) && m.lb <= p.v.back:
		return false
	case !m.following() && p.controls.LowEnd.ReturnNeedsCharge && f.current <= 0 && !bankless:
		return false
	}
	m.stopped = false
	return true
}
