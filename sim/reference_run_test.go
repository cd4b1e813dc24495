package sim_test

import "bankyear/sim"

// run integrates the first days, second by second.
func (r *reference) run(days int) {
	r.hours = make([]refHour, days*86400/r.w.StepS)
	for i := range r.hours {
		if i > 0 {
			r.load(i)
		}
		if r.in.morning {
			r.st.solar.begin()
		}
		r.st.motorGapS = 0
		for r.now = i * r.w.StepS; r.now < (i+1)*r.w.StepS; r.now++ {
			back := r.ahead()
			r.settle()
			back()
			r.record(&r.hours[i])
			r.advance()
			r.hours[i].fuel += r.burnt
		}
		r.hours[i].soc, r.hours[i].believed, r.hours[i].endC = min(1, r.st.q/r.capacityAh), r.st.believed, r.st.cellC
	}
	if n := len(r.dark); n > 0 && r.dark[n-1].to == 0 {
		r.dark[n-1].to = r.now
	}
}

// ahead puts both states of charge where they will be in half a second, and tells how
// to put them back: what is looked at there is noticed half a second early as often as
// late, and the powers are those of the second's middle.
func (r *reference) ahead() (back func()) {
	st := &r.st
	moves, counts := r.into/2, 0.0
	if r.counter.Kind != "none" && r.counter.Kind != "exact" {
		counts = r.count() / 2
	}
	q, believed := st.q, st.believed
	st.q = max(q+moves, 0)
	st.believed = min(max(believed+counts, 0), 1)
	if r.counter.Kind == "exact" {
		st.believed = min(1, st.q/r.capacityAh)
	}
	moves, reads := st.q-q, st.believed
	return func() {
		st.q = max(st.q-moves, 0)
		if st.believed == reads { // not set anew
			st.believed = believed
		}
	}
}

// settle runs the transitions of this second until nothing changes.
func (r *reference) settle() {
	took, a := false, 0.0
	for pass := range 16 {
		r.solve()
		if pass == 0 {
			took, a = r.takesCharge(), r.flow.i
		}
		if r.inverterStep() { // what it gives up weighs on nothing any more
			continue
		}
		changed := r.linkStep()
		changed = r.lineStep() || changed
		changed = r.windowStep() || changed
		changed = r.protectionStep() || changed
		changed = r.sleepStep() || changed
		changed = r.visitStep() || changed
		changed = r.lowEndStep() || changed
		changed = r.outStep() || changed
		changed = r.highStep() || changed
		changed = r.motorStep() || changed
		changed = r.generatorStep() || changed
		changed = r.bypassStep() || changed
		changed = r.stageStep() || changed
		changed = r.fullStep() || changed
		changed = r.counterStep() || changed
		changed = r.shedStep() || changed
		changed = r.shiftStep() || changed
		if !changed {
			if took && !r.takesCharge() && a >= r.m.Protection.ChargeSeenA*r.n {
				r.openings++
				r.openingA = max(r.openingA, a)
			}
			r.watch()
			return
		}
	}
	panic("reference: transitions do not come to rest")
}

// advance moves the state by one second at the powers of its start.
func (r *reference) advance() {
	st, f := &r.st, &r.flow
	if r.acid != nil {
		heatW := f.heaterW + r.acid.step(r.moduleV(), r.moduleV()-f.i*f.sense, f.i, st.cellC)
		st.cellC += (heatW + (r.enclosureC()-st.cellC)/r.airCPerW()) / r.heatJPerC
		st.q = r.acid.soc() * r.capacityAh
		r.passSecond()
		return
	}
	heatW, into := f.i*f.i*f.r+f.heaterW, f.i
	if f.i > 0 {
		into *= r.m.CoulombicFraction
		heatW += (f.i - into) * f.e
	}
	if st.q > 0 {
		self := r.m.SelfDischargeFraction * st.q / 730
		drawW := r.m.BMSDrawW * r.n
		if st.asleep {
			drawW = r.m.Protection.AsleepDrawW * r.n
		}
		heatW += drawW + self*f.e
		into -= drawW/f.e + self
	}
	was := st.q
	st.q = max(st.q+into/3600, 0)
	if over := st.q - r.openCircuit.x[len(r.openCircuit.x)-1]; over > 0 { // beyond the table it is heat
		st.q -= over
		heatW += over * 3600 * f.e
	}
	r.into = st.q - was
	heatW += r.turn(st.q - was)
	st.cellC += (heatW + (r.enclosureC()-st.cellC)/r.airCPerW()) / r.heatJPerC
	r.passSecond()
}

// airCPerW is the thermal resistance to the air outside.
func (r *reference) airCPerW() float64 {
	if r.st.fan {
		return r.s.Bank.Enclosure.SurfaceCPerW
	}
	return r.thermalCPerW
}

// passSecond moves fuel and counter.
func (r *reference) passSecond() {
	st := &r.st
	r.burnt = r.burn()
	r.takeShifted()
	switch r.counter.Kind {
	case "none":
	case "exact":
		st.believed = min(1, st.q/r.capacityAh)
	default:
		st.believed = min(max(st.believed+r.count(), 0), 1)
	}
}

// record writes this second into its hour and follows downtime.
func (r *reference) record(h *refHour) {
	st, f, in := &r.st, &r.flow, &r.in
	h.available += in.sumArrayW
	h.used += f.solarUsedW
	ac, dc := r.shifted()
	h.load += in.demandW + ac + dc + r.lost
	r.lost = 0
	h.served += f.servedW
	h.bank += f.v * f.i
	h.bankA += f.i
	if len(r.sets) > 0 && r.sets[st.charge].grid {
		h.grid += f.genW
	} else {
		h.gen += f.genW
	}
	h.invLoss += f.invInW - f.invOutW
	h.heater += f.heaterW
	h.heaterSun += min(f.heaterW, f.solarOutW)
	if st.hand.cabled {
		st.hand.cabledS++
	}
	h.cellC += st.cellC / float64(r.w.StepS)
	h.volts += r.busV() / float64(r.w.StepS)
	if lost := in.sumArrayW - f.solarUsedW; lost > 0.01 {
		h.curtailed += lost
		h.curtailedBy[r.refusedBy()] += lost
	}
	if !f.dark {
		if st.dark {
			r.dark[len(r.dark)-1].to = r.now
			st.dark = false
		}
		return
	}
	if !st.dark {
		st.dark, st.darkCause = true, r.cause()
		r.nextVisit(1)
		r.dark = append(r.dark, refOutage{from: r.now, cause: st.darkCause, soc: st.q / r.capacityAh, believed: st.believed, cellC: st.cellC})
	}
	h.down++
	h.downBy[st.darkCause]++
}

// cause is the first that holds of the causes of downtime.
func (r *reference) cause() sim.Cause {
	st := &r.st
	cold, hot := r.windowStop()
	switch {
	case r.oneSwitch && (r.chargeBlocked() || st.latched&(1<<firstOutQuantity-1) != 0):
		return sim.ChargeTrip
	case st.asleep:
		return sim.Asleep
	case r.tripped(firstOutQuantity, qOutOver), st.latched&^(1<<qOutOver) != 0:
		return sim.ProtectionOff
	case r.lostBy("bank_opens"), r.lostBy("all_stop"):
		return sim.LinkLoss
	case st.motorFailed && !st.inverterOn && !st.stopped:
		return sim.Inrush
	case st.stopped && st.sudden:
		return sim.SuddenStop
	case st.stopped:
		return sim.Empty
	case cold:
		return sim.TooCold
	case hot:
		return sim.TooHot
	case st.heldBack.stage == 2:
		return st.heldBack.cause
	case st.trip[qOutOver].tripped, st.latched != 0:
		return sim.OverCurrent
	case st.overloaded, st.tooHigh:
		return sim.InverterLimit
	}
	return sim.NoCause
}

// refusedBy names what holds the sun back, as the laws order it.
func (r *reference) refusedBy() sim.Cause {
	st, f := &r.st, &r.flow
	warm := st.cellC > 25
	lost := st.lost && r.s.Bank.OnLinkLoss != "fall_back"
	held := f.held || f.atCeiling || f.atSetting || !f.bankOn || f.v <= 0 || f.sensorShut || lost
	byTemperature := func() sim.Cause {
		if warm {
			return sim.TooHot
		}
		return sim.TooCold
	}
	switch {
	case !held:
		return sim.ChargerLimit
	case st.asleep:
		return sim.Asleep
	case st.latched != 0, r.chargeBlocked(), !f.bankOn && r.tripped(0, quantities):
		return sim.ProtectionOff
	case lost:
		return sim.LinkLoss
	case f.sensorShut:
		return byTemperature()
	case !r.byVoltage() && st.bmsFull, (r.byVoltage() || r.mixes() && !f.atCeiling) && st.solar.floating && !st.solar.hollow && f.held:
		return sim.BankFull
	case f.atCeiling && r.linkedByC.at(st.cellC) < r.linkedByC.at(25):
		return byTemperature()
	case f.atCeiling, f.atSetting && !f.held:
		return sim.ChargeCeiling
	case f.held:
		return sim.VoltageTaper
	}
	return sim.ChargerLimit
}
