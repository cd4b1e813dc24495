package sim_test

import "math"

// linked tells whether the chargers follow the BMS now; byVoltage whether they
// follow their own settings. A lost link that neither falls back is neither.
func (r *reference) linked() bool { return r.dataLinked && !r.st.lost }

func (r *reference) byVoltage() bool {
	return !r.dataLinked || r.st.lost && r.s.Bank.OnLinkLoss == "fall_back"
}

// lostBy tells whether the link is lost with an outcome.
func (r *reference) lostBy(outcome string) bool { return r.st.lost && r.s.Bank.OnLinkLoss == outcome }

func (r *reference) tripped(from, to int) bool {
	for i := from; i < to; i++ {
		if r.st.trip[i].tripped {
			return true
		}
	}
	return false
}

func (r *reference) chargeBlocked() bool { return r.tripped(0, firstOutQuantity) }
func (r *reference) outBlocked() bool    { return r.tripped(firstOutQuantity, quantities) }

// refSource is one source on the bus: it gives p watts or a amperes, whichever
// is less.
type refSource struct{ p, a float64 }

// solve finds the powers of this second from the state.
func (r *reference) solve() {
	st := &r.st
	f := refFlow{e: r.openCircuit.at(st.q)}
	f.r = r.m.ResistanceOhm/r.n*r.byC.at(st.cellC)*r.bySoC.at(st.q/r.capacityAh) + r.s.Bank.CableOhm
	anyTrip := r.tripped(0, quantities)
	f.bankOn = !(anyTrip && r.oneSwitch) && !r.lostBy("bank_opens")
	guess := r.flow.v
	if guess <= 0 {
		guess = f.e
	}

	r.demand(&f)
	r.setPoints(&f)
	var src [5]refSource
	k := r.sources(&f, src[:], guess)
	f.heaterW = r.heaterW(&f)
	r.dcLoad(&f)
	f.demandW = f.invInW + f.dcW + f.ownW + f.heaterW

	switch {
	case f.bankOn && anyTrip && r.outBlocked() && f.sourceW < f.demandW,
		!f.bankOn && !(r.s.Controls.ChargersHoldBus && f.sourceW > 0 && f.sourceW >= f.demandW):
		r.deadBus(&f)
	case f.bankOn:
		r.withBank(&f, src[:k], guess)
	default:
		f.v = max(f.setV, f.setACV)
		r.share(&f, src[:k], f.demandW)
	}
	r.served(&f)
	r.flow = f
}

// demand is what is asked of inverter and generator.
func (r *reference) demand(f *refFlow) {
	st, in := &r.st, &r.in
	f.acWantW, f.dcWantW = in.acEss, in.dcEss
	if !st.shed {
		f.acWantW += in.acFlex
		f.dcWantW += in.dcFlex
	}
	loaded := st.generator.phase == phaseLoaded
	through := loaded && (f.bankOn || r.s.Inverter.PassesWithoutBank) && !r.lostBy("all_stop")
	if through {
		f.passW = min(f.acWantW, in.passLimitW)
	}
	f.restW = f.acWantW - f.passW
	f.ownW = r.s.Controls.HousekeepingW + in.nightW
	full := 0.0
	if !through || f.restW > 0 {
		full = r.s.Inverter.DCPowerW(f.restW)
	}
	if st.inverterOn {
		f.invOutW, f.invInW = f.restW, full
	} else {
		f.ownW += r.s.Inverter.OffDrawW
	}
	f.wouldDemandW = full + f.dcWantW + r.s.Controls.HousekeepingW + in.nightW
}

// setPoints is what holds the sources back.
func (r *reference) setPoints(f *refFlow) {
	f.ceilingA = math.Inf(1)
	switch {
	case r.byVoltage():
		shift := 0.0
		if r.set.CompensationV != 0 {
			shift = r.set.CompensationV * (r.enclosureC() - 25)
		}
		f.setV, f.setACV = r.set.AbsorbV+shift, r.set.AbsorbV+shift
		if r.st.solar.floating {
			f.setV = r.set.FloatV + shift
		}
		if r.st.ac.floating {
			f.setACV = r.set.FloatV + shift
		}
	default:
		f.setV, f.setACV = r.m.Linked.VoltageV, r.m.Linked.VoltageV
		f.ceilingA = r.linkedByC.at(r.st.cellC) * r.linkedBySoC.at(r.st.believed)
		if r.st.bmsFull || r.st.lost {
			f.ceilingA = 0
		}
	}
	if r.chargeBlocked() {
		f.ceilingA = 0
	}
}

// sources lists the solar chargers and then the AC charger.
func (r *reference) sources(f *refFlow, src []refSource, guess float64) int {
	st, in := &r.st, &r.in
	own := math.Inf(1)
	if r.byVoltage() {
		own = r.set.ChargeA
	}
	stopped := r.lostBy("all_stop") || r.lostBy("charge_stops")
	k := 0
	for c := range r.chargers {
		s := refSource{in.solarW[c], min(in.solarA[c], own)}
		if r.byVoltage() && r.chargers[c].TemperatureSensor && (st.coldCharge || st.hotCharge) {
			s, f.sensorShut = refSource{}, true
		}
		if stopped {
			s = refSource{}
		}
		src[k] = s
		f.sourceW += min(s.p, s.a*guess)
		k++
	}
	s := refSource{}
	if st.generator.phase == phaseLoaded && !stopped {
		s = refSource{(in.passLimitW - f.passW) * r.s.Inverter.ChargerEfficiencyFraction, min(r.s.Inverter.ChargerA, own)}
	}
	src[k] = s
	f.fullChargerW = min(s.p, s.a*guess)
	f.sourceW += f.fullChargerW
	return k + 1
}

// heaterW is what the bank heater takes.
func (r *reference) heaterW(f *refFlow) float64 {
	if !r.st.heater {
		return 0
	}
	e := &r.s.Bank.Enclosure
	if w := e.HeaterW * r.n; e.HeaterFrom == "sources_and_bank" {
		return w
	} else {
		return min(w, f.sourceW)
	}
}

// dcLoad is the DC load that is on.
func (r *reference) dcLoad(f *refFlow) {
	if !r.st.dcOff || f.fullChargerW > f.dcWantW+r.s.Controls.HousekeepingW {
		f.dcW = f.dcWantW
	}
}

func (r *reference) deadBus(f *refFlow) {
	f.v, f.i = 0, 0
	f.invInW, f.invOutW, f.dcW, f.ownW, f.heaterW, f.demandW = 0, 0, 0, 0, 0, 0
	if !r.s.Inverter.PassesWithoutBank {
		f.passW = 0
	}
}

// full is the bus voltage with all of the sources at their most.
func (f *refFlow) full(src []refSource, guess float64) (v float64, ok bool) {
	v = guess
	last := -1
	for range 6 {
		power, ampere, mask := 0.0, 0.0, 0
		for i, s := range src {
			if s.p <= s.a*v {
				power += s.p
			} else {
				ampere += s.a
				mask |= 1 << i
			}
		}
		if mask == last {
			break
		}
		last = mask
		b := f.e + f.r*ampere
		d := b*b + 4*f.r*(power-f.demandW)
		if d < 0 {
			return b / 2, false
		}
		v = (b + math.Sqrt(d)) / 2
	}
	return v, true
}

// withBank finds voltage and current of a bus with the bank on it.
func (r *reference) withBank(f *refFlow, src []refSource, guess float64) {
	v, ok := f.full(src, guess)
	if !ok {
		f.collapse = true
		f.v, f.i = v, (v-f.e)/f.r
		return
	}
	f.v, f.i = v, (v-f.e)/f.r
	solar, ac := src[:len(src)-1], src[len(src)-1:]
	limit := max(f.setV, f.setACV) // of the sources that are still taken
	if v > min(f.setV, f.setACV) || f.i > f.ceilingA {
		bare, _ := f.full(nil, f.e)
		if f.setV != f.setACV && v > min(f.setV, f.setACV) {
			high := solar
			if f.setACV > f.setV {
				high = ac
			}
			low := min(f.setV, f.setACV)
			alone, _ := f.full(high, guess)
			f.held, f.heldAC = f.setV < f.setACV, f.setACV < f.setV
			if alone <= low {
				limit = low
			} else {
				v = min(v, alone)
			}
		}
		if v >= limit {
			v = max(limit, bare)
			f.held = f.held || f.setV <= v
			f.heldAC = f.heldAC || f.setACV <= v
		}
		if i := (v - f.e) / f.r; i > f.ceilingA {
			f.atCeiling = true
			f.held, f.heldAC = false, false
			v = f.e + f.r*f.ceilingA
		}
		f.v, f.i = v, (v-f.e)/f.r
	}
	if f.i < 0 && r.outBlocked() { // only charge may pass: the sources carry the bus
		f.i, f.v = 0, limit
	}
	r.share(f, src, f.demandW+f.v*f.i)
}

// share has the sources give w watts: sun first, except where the generator's
// higher set-point shuts the sun.
func (r *reference) share(f *refFlow, src []refSource, w float64) {
	for i := range src {
		src[i].p = min(src[i].p, src[i].a*f.v)
	}
	solar, ac := src[:len(src)-1], src[len(src)-1]
	if r.byVoltage() {
		for c := range solar {
			f.atSetting = f.atSetting || r.in.solarA[c] > r.set.ChargeA && r.in.solarW[c] > r.set.ChargeA*f.v
		}
	}
	switch {
	case f.setV < f.setACV && f.held && f.v > f.setV: // sun shut
		f.chargerOutW = max(0, w)
	case f.setV < f.setACV && f.held: // generator in full, sun fills up
		f.chargerOutW = ac.p
		r.giveSolar(f, solar, w-ac.p)
	default:
		r.giveSolar(f, solar, w)
		f.chargerOutW = max(0, w-f.solarOutW)
	}
}

// served is what reaches the load, and what the generator makes for it.
func (r *reference) served(f *refFlow) {
	in := &r.in
	ac := f.passW + f.invOutW
	f.servedW = ac + f.dcW
	f.dark = ac < in.acEss-1e-6 || f.dcW < in.dcEss-1e-6
	if r.st.generator.phase == phaseLoaded {
		f.genW = max(f.passW+f.chargerOutW/r.s.Inverter.ChargerEfficiencyFraction, 1000*r.gen.MinLoadKW())
	}
}

// giveSolar takes up to w from the solar chargers.
func (r *reference) giveSolar(f *refFlow, solar []refSource, w float64) {
	all := 0.0
	for _, s := range solar {
		all += s.p
	}
	if all <= 0 || w <= 0 {
		return
	}
	f.solarOutW = min(all, w)
	for i, s := range solar {
		f.solarUsedW += s.p * f.solarOutW / all / r.chargers[i].EfficiencyFraction
	}
}
