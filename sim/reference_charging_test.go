package sim_test

// The cycles of chargers without a link, the BMS's full, the counter's re-sets.

func (r *reference) stageStep() bool {
	f := &r.flow
	if f.v <= 0 { // chargers without voltage are off
		r.st.solar.begin()
		r.st.ac.begin()
		return false
	}
	if r.mixes() {
		changed := false
		if r.in.sun && f.setDeafV > 0 {
			changed = r.cycle(&r.st.solar, f.heldDeaf, f.solarOutW)
		}
		if r.loaded() && r.acDeaf {
			changed = r.cycle(&r.st.ac, f.heldAC, f.chargerOutW) || changed
		}
		return changed
	}
	if !r.byVoltage() {
		return false
	}
	changed := false
	if !r.in.sun {
		r.st.solar.equalises = false
	}
	if !r.loaded() {
		r.st.ac.equalises = false
	}
	if r.in.sun {
		held := f.held
		if r.disagree {
			held = f.heldSun
		}
		changed = r.cycle(&r.st.solar, held, f.solarOutW)
	}
	if r.loaded() && (!r.sets[r.st.charge].grid || r.s.Grid.ChargesBank) {
		changed = r.cycle(&r.st.ac, f.heldAC, f.chargerOutW) || changed
	}
	return changed
}

// cycle moves one kind of charger through absorption and float.
func (r *reference) cycle(g *refStage, held bool, outW float64) bool {
	f := &r.flow
	if g.equalises {
		if r.now < g.until {
			return false
		}
		*g, r.st.equalisedAt = refStage{floating: true, hollow: g.hollow}, r.now
		return true
	}
	if g.floating {
		if g.low.past(f.v < r.set.RestartV, r.now, r.set.RestartHoldS) {
			g.begin()
			return true
		}
		return false
	}
	if held && !g.held {
		g.held, g.heldSince = true, r.now
	}
	seen := f.i
	if r.set.TailSeen == "own_output" && f.v > 0 {
		seen = outW / f.v
	}
	tail := g.tail.past(held && seen <= r.set.TailA, r.now, r.set.TailHoldS)
	if tail || g.held && float64(r.now-g.heldSince) >= r.set.AbsorbMaxS {
		*g = refStage{floating: true, hollow: f.alone}
		s := &r.set
		if s.EqualiseV > 0 && s.EqualiseDays > 0 && float64(r.now-r.st.equalisedAt) >= 86400*s.EqualiseDays {
			*g = refStage{equalises: true, hollow: f.alone, until: r.now + int(s.EqualiseS)}
		}
		return true
	}
	return false
}

func (r *reference) fullStep() bool {
	if !r.linked() {
		return false
	}
	st, f, l := &r.st, &r.flow, &r.m.Linked
	was := st.bmsFull
	seen := f.bankOn && r.moduleV() >= l.FullV && f.i >= 0 && f.i <= l.FullA*r.n*r.known
	if st.fullHold.past(seen, r.now, l.FullHoldS) {
		st.bmsFull = true
		if r.counter.Kind != "exact" && !was {
			st.believed = 1
		}
	}
	low := st.againHold.past(st.bmsFull && f.bankOn && r.moduleV() < l.ResumeBelowV, r.now, l.FullHoldS)
	if st.bmsFull && (low || st.believed < l.ResumeBelowSoC) {
		st.bmsFull, st.fullHold, st.againHold = false, refHold{}, refHold{}
	}
	return was != st.bmsFull
}

func (r *reference) counterStep() bool {
	st, f, c := &r.st, &r.flow, &r.counter
	if c.Kind != "bms" && c.Kind != "shunt" && c.Kind != "inverter_own" {
		return false
	}
	was := st.believed
	v := f.v // of the bus; a BMS's is that of its cells
	if c.Kind == "bms" {
		v = 0
		if f.bankOn && f.v > 0 {
			v = r.moduleV()
		}
	}
	seen := v >= c.FullV && (f.i >= 0 || c.Kind == "inverter_own") && r.seenA() <= c.FullA
	switch {
	case !st.counterHold.past(seen, r.now, c.FullHoldS):
		st.fullArmed = st.fullArmed || !seen
	case st.fullArmed:
		st.fullArmed, st.believed = false, 1
		st.resets++
	}
	if c.LowKneeV > 0 && v > 0 {
		low := v <= c.LowKneeV
		if low && !st.atKnee { // once, as the voltage falls to it
			st.believed = min(st.believed, c.LowKneeSoCFraction)
		}
		st.atKnee = low
	}
	return was != st.believed
}

// reads tells whether anything reports a state of charge.
func (r *reference) reads() bool { return r.counter.Kind != "none" }

// seenA is the current that the counter sees: an inverter's own sees itself and its
// charger, and the solar chargers that tell it.
func (r *reference) seenA() float64 {
	f := &r.flow
	if r.counter.Kind != "inverter_own" || f.v <= 0 {
		return f.i
	}
	w := f.chargerOutW - f.invInW
	if r.s.Bank.Estimate.SeesSolar {
		w += f.solarOutW
	}
	return w / f.v
}

// count is what the counter adds in one second, as a fraction.
func (r *reference) count() float64 {
	c := &r.counter
	a := r.seenA()*(1+c.GainFraction) + c.OffsetA
	switch {
	case a > -c.DeadBandA && a < c.DeadBandA:
		a = 0
	case a > 0:
		a *= c.AssumedFraction
	}
	return (a - c.AssumedDrawA) / 3600 / c.AssumedAh
}
