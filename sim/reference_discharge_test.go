package sim_test

import "bankyear/sim"

// The discharge ceiling that a data-linked BMS reports.

// refHeldBack is what it keeps off: nothing, flexible load, or all of it.
type refHeldBack struct {
	stage  int
	over   refHold
	lookAt int
	cause  sim.Cause
}

// tellsDischarge tells whether the module states a discharge ceiling.
func (r *reference) tellsDischarge() bool {
	l := &r.m.Linked
	return len(l.DischargeByC) > 0 || len(l.DischargeBySoC) > 0
}

// outTables are the ceiling by temperature, for the modules that the BMS speaks for, and
// its factor.
func (r *reference) outTables() {
	byC, bySoC := r.m.Linked.DischargeByC, r.m.Linked.DischargeBySoC
	if byC == nil {
		byC = [][2]float64{{25, r.m.DischargeA}}
	}
	if bySoC == nil {
		bySoC = [][2]float64{{.5, 1}}
	}
	r.outByC, r.outBySoC, r.outMostA = newRefTable(byC, 1, r.known*r.n/r.m.WorstShare), newRefTable(bySoC, 1, 1), 0
	for _, a := range r.outByC.y {
		r.outMostA = max(r.outMostA, a)
	}
}

// outStep sheds flexible load a second after the bank has begun to give more than the
// ceiling, stops all load after another, and looks every five minutes whether what it
// took off last would take nine tenths of it at most.
func (r *reference) outStep() bool {
	st := &r.st
	h := &st.heldBack
	if !r.tellsDischarge() {
		return false
	}
	if r.byVoltage() {
		was := h.stage
		*h = refHeldBack{}
		return was != 0
	}
	byC, bySoC := r.outByC.at(st.cellC), r.outBySoC.at(st.believed)
	most, a := byC*bySoC, -r.flow.i
	if h.over.past(h.stage < 2 && r.flow.bankOn && a > most && a > 1e-6, r.now, 1) {
		h.stage, h.lookAt, h.over = h.stage+1, r.now+300, refHold{}
		switch {
		case h.stage < 2:
		case a > r.outMostA:
			h.cause = sim.OverCurrent
		case byC/r.outMostA > bySoC:
			h.cause = sim.Empty
		case st.cellC < 25:
			h.cause = sim.TooCold
		default:
			h.cause = sim.TooHot
		}
		return true
	}
	if h.stage == 0 || r.now < h.lookAt {
		return false
	}
	h.lookAt = r.now + 300
	flow, shed, on := r.flow, st.shed, st.inverterOn
	h.stage--
	st.shed, st.inverterOn = st.shedSoC || st.shedV || h.stage > 0 || st.hand.sheds, true
	r.solve()
	a = -r.flow.i
	r.flow, st.shed, st.inverterOn = flow, shed, on
	if a <= .9*most {
		return true
	}
	h.stage++
	return false
}
