package sim_test

import "bankyear/sim/genset"

// generatorStep is the generator's automaton.
func (r *reference) generatorStep() bool {
	if r.gen == nil {
		return false
	}
	st, f, spec := &r.st, &r.flow, r.gen
	g := &st.generator
	dayS := r.now % genset.DayS
	for i, rung := range spec.StartBelow { // looked at while it stands
		if g.rungs[i].past(g.phase == phaseOff && r.moduleV() < rung.V, r.now, rung.HoldS) {
			g.asked = true
		}
	}
	if g.asked && r.moduleV() > spec.StartBelow[0].V && !st.stopped {
		g.asked = false
	}
	t := float64(r.now - g.since)
	next := g.phase
	switch g.phase {
	case phaseOff:
		topUp := spec.TopUp != nil && dayS == spec.TopUp.AtS() && st.believed < spec.TopUp.IfSoCBelow
		want := spec.StartSoCFraction > 0 && st.believed <= spec.StartSoCFraction || g.asked || topUp
		free := genset.MayStartAt(r.noStart, dayS) || spec.OverrideWhenDark && f.dark
		signal := spec.StartSignal != "by_hand" && (f.v > 0 || spec.SignalFedFrom == "own_battery")
		if want && free && signal && r.now >= g.notBefore && st.fuelL > 0 {
			g.begin(r.now, topUp)
			return true
		}
	case phaseStarting:
		if t < max(spec.StartDelayS, 1) {
			break
		}
		next = phaseWarm
		if spec.FailedStartFraction >= 1 { // between 0 and 1 a draw decides, which is not shared
			next, g.notBefore = phaseOff, r.now+int(spec.RetryS)
			if g.failures++; g.failures >= spec.StartTries {
				g.failures, g.notBefore = 0, r.now+int(3600*spec.CallOutH)
			}
		}
	case phaseWarm:
		if t >= spec.WarmUpS {
			next = phaseLoaded
			st.ac.begin()
		}
	case phaseLoaded:
		if t >= 3600*spec.MaxRunH || t >= spec.MinRunS && r.stopWish() {
			next = phaseCool
		}
	case phaseCool:
		if t >= spec.CoolDownS {
			next = phaseOff
		}
	}
	if g.phase >= phaseWarm && st.fuelL <= 0 {
		next = phaseOff
	}
	if next == g.phase {
		return false
	}
	g.phase, g.since = next, r.now
	return true
}

// begin gives the start signal.
func (g *refEngine) begin(now int, topUp bool) {
	g.phase, g.since, g.topUp, g.asked = phaseStarting, now, topUp, false
}

// stopWish tells whether any stop rule holds.
func (r *reference) stopWish() bool {
	st, f, spec := &r.st, &r.flow, r.gen
	stop := spec.StopSoCFraction
	if st.generator.topUp {
		stop = spec.TopUp.RunToSoCFraction
	}
	full := r.dataLinked && st.bmsFull && !r.byVoltage() || (r.byVoltage() || r.mixes() && r.acDeaf) && st.ac.floating
	tail := spec.StopTailA > 0 && f.heldAC && f.i <= spec.StopTailA
	return stop > 0 && st.believed >= stop || full || tail
}

// fuelLPerH is what the generator burns now.
func (r *reference) fuelLPerH() float64 {
	switch r.st.generator.phase {
	case phaseLoaded:
		return r.gen.FuelLPerH(r.flow.genW / 1000)
	case phaseWarm, phaseCool:
		return r.gen.NoLoadFuelLPerH()
	}
	return 0
}
