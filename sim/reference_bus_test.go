package sim_test

import "math"

// linked tells whether chargers and inverter follow the BMS now, byVoltage
// whether they go by terminal voltage.
func (r *reference) linked() bool    { return r.dataLinked && !r.st.lost }
func (r *reference) byVoltage() bool { return !r.linked() }

// lostBy tells whether the link is lost with an outcome.
func (r *reference) lostBy(outcome string) bool { return r.st.lost && r.s.Bank.OnLinkLoss == outcome }

// hearingStop tells whether chargers that hear the link stand still for its loss.
func (r *reference) hearingStop() bool { return r.lostBy("charge_stops") || r.lostBy("all_stop") }

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
type refSource struct {
	p, a  float64
	set   float64 // voltage that it holds, where chargers have their own
	ohm   float64 // of the cable behind which it holds it
	bus   float64 // the bus voltage then
	hears bool
}

// solve finds the powers of this second from the state.
func (r *reference) solve() {
	st := &r.st
	f := refFlow{}
	if r.acid != nil {
		f.e = r.acid.rest(r.acid.available)
		f.r, f.rIn = r.acid.ohms(r.byC.at(st.cellC))
	} else {
		f.e = r.restV()
		f.r = r.m.ResistanceOhm*r.ohmGrown/r.n*r.byC.at(st.cellC)*r.bySoC.at(st.q/r.capacityAh) + r.s.Bank.CableOhm
		f.rIn = f.r
	}
	anyTrip := r.tripped(0, quantities)
	f.bankOn = !(anyTrip && r.oneSwitch) && st.latched == 0 && !st.asleep && !r.lostBy("bank_opens")
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
	case !f.bankOn && !(r.s.Controls.ChargersHoldBus && f.sourceW > 0 && f.sourceW >= f.demandW):
		r.deadBus(&f)
	case f.bankOn:
		r.withBank(&f, src[:k], guess)
		if f.i < 0 && (r.nothingLeft() || r.outBlocked()) { // nothing may be drawn: what the sources cannot carry is dropped
			g := f
			g.held, g.heldAC, g.atCeiling, g.atSetting, g.collapse = false, false, false, false, false
			g.solarOutW, g.solarUsedW, g.chargerOutW, g.sourceW = 0, 0, 0, 0
			g.dropConsumers()
			r.withBank(&g, src[:r.sources(&g, src[:], guess)], guess)
			f = g
		}
	case r.several():
		r.aim(&f, src[:k])
		r.standAlone(&f, src[:k])
		r.giveEach(&f, src[:k], nil)
	default:
		r.standAlone(&f, src[:k])
		r.share(&f, src[:k], f.demandW)
	}
	r.served(&f)
	r.flow = f
}

func (r *reference) deadBus(f *refFlow) {
	f.v, f.i = 0, 0
	f.dropConsumers()
	if !r.s.Inverter.PassesWithoutBank && !r.st.hand.cabled {
		f.passW = 0
	}
}

func (f *refFlow) dropConsumers() {
	f.invInW, f.invOutW, f.dcW, f.ownW, f.heaterW, f.demandW = 0, 0, 0, 0, 0, 0
}

// nothingLeft tells whether nothing can be drawn.
func (r *reference) nothingLeft() bool {
	if r.acid != nil {
		return r.acid.available <= 0
	}
	return r.st.q <= 0
}

// ampere is the bank's current at a bus voltage.
func (f *refFlow) ampere(v float64) float64 {
	if v > f.e {
		return (v - f.e) / f.rIn
	}
	return (v - f.e) / f.r
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
		ohm := f.r
		if power+f.e*ampere > f.demandW {
			ohm = f.rIn
		}
		b := f.e + ohm*ampere
		d := b*b + 4*ohm*(power-f.demandW)
		if d < 0 {
			return b / 2, false
		}
		v = (b + math.Sqrt(d)) / 2
	}
	return v, true
}

// withBank finds voltage and current of a bus with the bank on it.
func (r *reference) withBank(f *refFlow, src []refSource, guess float64) {
	if r.several() {
		r.withSeveral(f, src, guess)
		return
	}
	v, ok := f.full(src, guess)
	if !ok {
		f.collapse = true
		f.v, f.i = v, f.ampere(v)
		return
	}
	f.v, f.i = v, f.ampere(v)
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
		over := f.ampere(v) > f.ceilingA
		if over {
			f.atCeiling = true
			f.held, f.heldAC = false, false
			v = f.e + f.rIn*f.ceilingA
		}
		if f.v, f.i = v, f.ampere(v); over && r.chargeBlocked() {
			r.standAlone(f, src)
		}
	}
	r.share(f, src, f.demandW+f.v*f.i)
}

// standAlone is a bus that the chargers hold without the bank: it stands at the
// highest set-point at which the chargers that have it or a higher one carry all.
func (r *reference) standAlone(f *refFlow, src []refSource) {
	if !r.several() {
		for i := range src {
			src[i].set = f.setV
		}
		src[len(src)-1].set = f.setACV
	}
	f.alone, f.i, f.v = true, 0, 0
	for tried := 1e9; ; tried = f.v {
		next, most := 0.0, 0.0
		for _, s := range src {
			if s.p > 0 && s.a > 0 && s.set < tried {
				next = max(next, s.set)
			}
		}
		if next == 0 { // the lowest of them
			break
		}
		f.v = next
		for _, s := range src {
			if s.set >= next {
				most += min(s.p, s.a*next)
			}
		}
		if most >= f.demandW {
			break
		}
	}
	f.held, f.heldAC = f.setV <= f.v, f.setACV <= f.v
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
	if r.loaded() {
		f.genW = max(f.passW+f.chargerOutW/r.s.Inverter.ChargerEfficiencyFraction, refLeastW(r.spec()))
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
