package sim_test

import (
	"math"
)

// generatorStep is the automaton of the sources of AC: which one is in charge,
// and when it runs.
func (r *reference) generatorStep() bool {
	if len(r.sets) == 0 {
		return false
	}
	for k := range r.sets {
		r.tick(k)
	}
	if r.sets[0].grid && r.gridDown() && r.st.charge == 0 && r.engine().phase != phaseOff {
		r.unload()
		r.engine().to(phaseOff, r.now)
		return true
	}
	if r.changeOver() {
		return true
	}
	st, f, spec, g := &r.st, &r.flow, r.spec(), r.engine()
	for i, rung := range spec.StartBelow { // looked at while it stands
		if g.rungs[i].past(g.phase == phaseOff && r.onRung(i), r.now, rung.HoldS) {
			g.asked = true
		}
	}
	if g.asked && !r.onAnyRung() && !st.stopped {
		g.asked = false
	}
	if spec.StartLoadW > 0 {
		if g.load.past(g.phase == phaseOff && !g.heavy && f.acWantW > spec.StartLoadW, r.now, spec.StartLoadHoldS) {
			g.heavy = true
		}
		g.heavy = g.heavy && f.acWantW > refStopLoadW(spec)
	}
	t := float64(r.now - g.since)
	next := g.phase
	switch g.phase {
	case phaseOff:
		return r.startIfAsked()
	case phaseStarting:
		if t < max(spec.StartDelayS, 1) {
			break
		}
		next = phaseWarm
		if spec.FailedStartFraction >= 1 { // between 0 and 1 a draw decides, which is not shared
			next, g.notBefore = phaseOff, r.now+int(spec.RetryS)
			if g.failures++; g.failures >= spec.StartTries {
				g.failures, g.notBefore, g.broken = 0, r.now+refCallOutS(spec, &r.s.Controls), true
			}
		}
	case phaseWarm:
		if t >= spec.WarmUpS {
			next = phaseLoaded
			g.refusal, g.refuses = refHold{}, false
			st.ac.begin()
		}
	case phaseLoaded:
		most := 3600 * spec.MaxRunH
		if g.run == 'e' {
			most = spec.Exercise.RunS
		}
		r.watchRefusal()
		switch {
		case g.run == 'e' && t >= most && r.askedBySoC():
			g.run = 's'
			return true
		case t >= most, r.capped(r.st.charge), (g.run == 'e' || t >= spec.MinRunS) && r.stopWish():
			r.unload()
			next = phaseCool
		}
	case phaseCool:
		if t >= spec.CoolDownS {
			next = phaseOff
		}
	}
	if g.phase >= phaseWarm && g.fuelL <= 0 {
		r.unload()
		next = phaseOff
	}
	if next == g.phase {
		return false
	}
	g.to(next, r.now)
	return true
}

// tick follows the time of day and the fuel store of one set.
func (r *reference) tick(k int) {
	g, spec, dayS := &r.st.engines[k], r.sets[k].spec, r.now%refDayS
	if g.ticked == r.now {
		return
	}
	g.ticked = r.now
	if dayS == 0 {
		g.todayS = 0
	}
	for _, span := range r.sets[k].noStart {
		if span[0] == dayS {
			g.topUp = false
		}
	}
	if spec.TopUp != nil && dayS == refClockS(spec.TopUp.At) {
		g.topUp = r.reads() && r.st.believed < spec.TopUp.IfSoCBelow
	}
	if e := spec.Exercise; e != nil && e.RunS > 0 && dayS == refClockS(e.At) {
		g.exercise = float64(r.now-g.lastRun) >= (e.EveryDays-.5)*refDayS
	}
	if g.broken && r.now >= g.notBefore {
		g.broken = false
	}
	if d := spec.Deliveries; d != nil {
		for _, at := range append(r.sets[k].deliveries, g.ordered) {
			if at == r.now && at > 0 {
				l := spec.FuelStoreL - g.fuelL
				if d.L > 0 {
					l = min(l, d.L)
				}
				g.fuelL += l
			}
		}
	}
}

// changeOver puts the first source in charge that could run; what runs gives way
// to the grid alone, and cools down beside it.
func (r *reference) changeOver() bool {
	now := r.engine()
	for k := range r.sets {
		if g := &r.st.engines[k]; k != r.st.charge && g.phase == phaseCool && float64(r.now-g.since) >= r.sets[k].spec.CoolDownS {
			g.to(phaseOff, r.now)
		}
	}
	for k := range r.sets {
		if !r.able(k) {
			continue
		}
		if k == r.st.charge {
			return false
		}
		if now.phase != phaseOff && now.phase != phaseCool || now.phase == phaseOff && now.notBefore > r.now && !now.broken {
			if !r.sets[k].grid {
				return false
			}
			switch now.phase {
			case phaseLoaded:
				r.unload()
				now.to(phaseCool, r.now)
			case phaseWarm:
				now.to(phaseCool, r.now)
			default:
				now.to(phaseOff, r.now)
			}
		}
		r.st.charge = k
		return true
	}
	return false
}

// able tells whether a source could run now.
func (r *reference) able(k int) bool {
	g, set := &r.st.engines[k], &r.sets[k]
	if set.grid {
		return !r.gridDown()
	}
	if g.broken {
		return false
	}
	if g.phase != phaseOff || g.notBefore > r.now {
		return true
	}
	free := !refWithin(set.noStart, r.now) || set.spec.OverrideWhenDark && r.flow.dark
	return g.fuelL > 0 && free && !r.capped(k)
}

func (r *reference) capped(k int) bool {
	most := 3600 * r.sets[k].spec.DailyCapH
	return most > 0 && r.st.engines[k].todayS >= most
}

func (r *reference) gridDown() bool {
	for _, out := range r.outages {
		if out[0] <= float64(r.now) && float64(r.now) < out[1] {
			return true
		}
	}
	return false
}

// startIfAsked begins a run that a rule asks for.
func (r *reference) startIfAsked() bool {
	st, f, spec, g, set := &r.st, &r.flow, r.spec(), r.engine(), &r.sets[r.st.charge]
	run := byte(0)
	switch {
	case set.grid && (r.s.Grid.Use == "backup" || f.dark), r.askedBySoC(), g.asked:
		run = 's'
	case g.topUp:
		run = 't'
	case g.heavy:
		run = 'l'
	case g.exercise:
		run = 'e'
	}
	free := !refWithin(set.noStart, r.now) || spec.OverrideWhenDark && f.dark
	signal := spec.StartSignal != "by_hand" && (f.v > 0 && !r.lostBy("all_stop") || spec.SignalFedFrom == "own_battery")
	if run == 0 || set.grid && r.gridDown() || !free || !signal || r.now < g.notBefore || g.fuelL <= 0 || r.capped(st.charge) {
		return false
	}
	g.begin(r.now, run)
	return true
}

// onRung tells whether the bus is below a rung, without the sag of the load where its
// controller knows that.
func (r *reference) onRung(i int) bool {
	rung, v := r.spec().StartBelow[i], r.busV()
	if rung.LoadCorrected {
		v += max(0, -r.flow.i) * (r.m.ResistanceOhm/r.whole + r.s.Bank.CableOhm)
	}
	return v < rung.V
}

func (r *reference) onAnyRung() bool {
	for i := range r.spec().StartBelow {
		if r.onRung(i) {
			return true
		}
	}
	return false
}

func (r *reference) askedBySoC() bool {
	return r.reads() && r.spec().StartSoCFraction > 0 && r.st.believed <= r.spec().StartSoCFraction
}

// begin gives the start signal.
func (g *refEngine) begin(now int, run byte) {
	g.run, g.asked, g.topUp, g.heavy, g.exercise, g.load = run, false, false, false, false, refHold{}
	g.to(phaseStarting, now)
}

func (g *refEngine) to(phase, now int) { g.phase, g.since = phase, now }

// unload ends a run on load.
func (r *reference) unload() {
	g, spec := r.engine(), r.spec()
	if g.phase != phaseLoaded {
		return
	}
	if e := spec.Exercise; e != nil && float64(r.now-g.since) >= e.RunS {
		g.lastRun = r.now
	}
	if d := spec.Deliveries; d != nil && d.OrderBelowL > 0 && g.fuelL < d.OrderBelowL && g.ordered <= r.now {
		g.ordered = (r.now/refDayS+int(math.Ceil(d.ArrivesAfterDays)))*refDayS + refDayS/2
		if g.ordered <= r.now {
			g.ordered += refDayS
		}
	}
}

// watchRefusal notes a bank that has refused all charge for the time.
func (r *reference) watchRefusal() {
	st, spec, g := &r.st, r.spec(), r.engine()
	if spec.StopRefusedS == 0 {
		return
	}
	refuses := r.chargeBlocked() || r.linked() && !st.bmsFull && r.linkedByC.at(st.cellC) <= 0 || r.lostBy("charge_stops") && !r.acDeaf
	low := r.askedBySoC()
	low = low || r.onAnyRung()
	cold, hot := r.windowStop()
	carries := r.flow.v > 0 && !st.stopped && !cold && !hot && !r.outBlocked() && r.flow.acWantW*r.apparent() <= r.in.ratedW
	g.refuses = g.refusal.past(refuses && carries && !low, r.now, spec.StopRefusedS)
}

// stopWish tells whether any stop rule holds.
func (r *reference) stopWish() bool {
	st, f, spec, g := &r.st, &r.flow, r.spec(), r.engine()
	if st.hand.cabled || r.sets[st.charge].grid && r.s.Grid.Use == "backup" || g.run == 'e' || spec.StartLoadW > 0 && f.acWantW > refStopLoadW(spec) {
		return false
	}
	if cold, hot := r.windowStop(); r.sets[st.charge].grid && (f.v <= 0 || st.stopped || cold || hot || r.outBlocked() || r.lostBy("all_stop")) {
		return false // the inverter could not carry the site
	}
	in := &r.s.Inverter
	if !st.inverterOn && in.PassesWithoutBank && !r.lostBy("all_stop") || !f.bankOn && in.ChargerStartsWithoutBank {
		return false // the site lives on the set alone
	}
	if g.run == 'l' && !r.askedBySoC() || g.refuses {
		return true
	}
	stop := spec.StopSoCFraction
	if g.run == 't' {
		stop = spec.TopUp.RunToSoCFraction
	}
	full := r.dataLinked && st.bmsFull && !r.byVoltage() || (r.byVoltage() || r.mixes() && r.acDeaf) && st.ac.floating
	tail := spec.StopTailA > 0 && f.heldAC && f.i <= spec.StopTailA
	return r.reads() && stop > 0 && st.believed >= stop || full || tail
}

// burn takes the fuel of this second from every set, and counts its time on
// load.
func (r *reference) burn() (l float64) {
	for k := range r.sets {
		g, spec, rate := &r.st.engines[k], r.sets[k].spec, 0.0
		switch g.phase {
		case phaseLoaded:
			rate = refFuelLPerH(&spec, r.flow.genW)
			g.todayS++
		case phaseWarm, phaseCool:
			rate = refFuelLPerH(&spec, 0)
		}
		if r.sets[k].grid {
			rate = 0
		}
		g.fuelL -= rate / 3600
		l += rate / 3600
	}
	return l
}
