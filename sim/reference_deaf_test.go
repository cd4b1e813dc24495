package sim_test

import "math"

// Chargers that do not hear the link, beside others that do.

// mixes tells whether such chargers work by voltage beside others that follow the
// BMS, or that stand still for a lost link.
func (r *reference) mixes() bool {
	return r.dataLinked && r.someDeaf && (r.linked() || r.hearingStop())
}

// handSetV is a set-point of the installer's settings.
func (r *reference) handSetV(g *refStage) float64 {
	v := r.hand.AbsorbV
	if g.floating {
		v = r.hand.FloatV
	}
	return v + r.hand.CompensationV*(r.enclosureC()-25)
}

// notes whether a charger holds another voltage than it is set to.
func (r *reference) notes(offsetV float64, sensedAt string) {
	atBank := sensedAt == "bank" && r.s.Bank.CableOhm > 0
	r.disagree = r.disagree || offsetV != 0 || atBank
	if atBank && r.acid == nil {
		r.innerOhm = r.s.Bank.CableOhm
	}
}

// several tells whether chargers have set-points of their own.
func (r *reference) several() bool { return r.disagree || r.mixes() }

// aim gives each source the voltage that it holds, and the bus voltage then: the bank's
// current is (set − e)/(r − ohm) where the drop of a part ohm of r is made up.
func (r *reference) aim(f *refFlow, src []refSource) {
	for i := range src {
		s := &src[i]
		offset, atBank := r.s.Inverter.ChargerSetOffsetV, r.s.Inverter.ChargerVoltageSensedAt == "bank"
		ac := i == len(src)-1
		s.hears, s.set = true, f.setACV
		if !ac {
			offset, atBank = r.chargers[i].SetOffsetV, r.chargers[i].VoltageSensedAt == "bank"
			s.set = f.setV
		}
		if ac && r.acDeaf && r.mixes() {
			s.hears, s.set = false, r.handSetV(&r.st.ac)
		} else if !ac && !refHears(r.chargers[i].HearsLink) && r.mixes() {
			s.hears, s.set = false, r.handSetV(&r.st.solar)
			f.setDeafV = s.set
		}
		s.set += offset
		s.ohm, s.bus = 0, s.set
		if ohm := f.r; atBank {
			if s.set > f.e {
				ohm = f.rIn
			}
			s.ohm = r.s.Bank.CableOhm
			s.bus += s.ohm * (s.set - f.e) / (ohm - s.ohm)
		}
		if s.p <= 0 || s.a <= 0 || s.hears && r.hearingStop() {
			s.p, s.a = 0, 0
		}
	}
}

// withSeveral finds voltage and current of a bus whose chargers have set-points of
// their own; the ceiling is heard by some.
func (r *reference) withSeveral(f *refFlow, src []refSource, guess float64) {
	r.aim(f, src)
	v, on := f.stand(src, guess, func(s *refSource) bool { return s.p > 0 })
	if v < 0 {
		f.collapse = true
		v, _ = f.full(src, guess)
	} else if f.ampere(v) > f.ceilingA {
		alone, deaf := f.stand(src, guess, func(s *refSource) bool { return s.p > 0 && !s.hears })
		if !r.chargeBlocked() && f.ampere(alone) >= f.ceilingA {
			v, on = alone, deaf
		} else {
			v = f.e + f.ceilingA*f.rIn
		}
		f.atCeiling = true
	}
	if f.v, f.i = v, f.ampere(v); f.atCeiling && r.chargeBlocked() {
		r.standAlone(f, src)
		on = nil
	}
	r.giveEach(f, src, on)
}

// giveEach has the sources that are on give what is taken; nil: those that the bus
// without the bank does not shut.
func (r *reference) giveEach(f *refFlow, src []refSource, on []bool) {
	if on == nil {
		for i := range src {
			src[i].bus = src[i].set
			on = append(on, src[i].p > 0 && src[i].set >= f.v)
		}
	}
	left := f.demandW + f.v*f.i
	give := func(i int, most float64) {
		w := max(0, min(most, left))
		left -= w
		if i == len(src)-1 {
			f.chargerOutW += w
			return
		}
		f.solarOutW += w
		f.solarUsedW += w / r.chargers[i].EfficiencyFraction
	}
	most := func(i int) float64 { return min(src[i].p, src[i].a*f.v) }
	holds := func(i int) bool { return src[i].bus-f.v < 1e-9 }
	back := func(i int) bool { return f.atCeiling && !f.alone && src[i].hears }
	at := func(i int) bool { return src[i].p > 0 && math.Abs(src[i].bus-f.v) < 1e-9 }
	f.held = false
	for _, round := range []func(i int) bool{ // those that nothing holds back, those that hold the voltage, those that the ceiling holds back
		func(i int) bool { return !holds(i) && !back(i) },
		func(i int) bool { return holds(i) && !back(i) },
		back,
	} {
		for i := range src {
			if on[i] && round(i) {
				give(i, most(i))
			}
		}
	}
	f.heldSun, f.sense = false, 0
	for i := range src {
		if at(i) {
			f.sense = src[i].ohm
		}
		if i == len(src)-1 {
			break
		}
		f.held = f.held || src[i].p > 0 && (!on[i] || holds(i))
		f.heldSun = f.heldSun || at(i)
		f.heldDeaf = f.heldDeaf || at(i) && !src[i].hears
		f.atSetting = f.atSetting || r.byVoltage() && r.in.solarA[i] > r.set.ChargeA && r.in.solarW[i] > r.set.ChargeA*f.v
	}
	f.heldAC = (r.acDeaf || !r.mixes()) && at(len(src)-1)
}

// stand is the voltage at which some sources stand, each shut above its set-point,
// and which of them give; below 0 when the voltage collapses.
func (f *refFlow) stand(src []refSource, guess float64, of func(*refSource) bool) (v float64, on []bool) {
	on = make([]bool, len(src))
	for i := range src {
		on[i] = of(&src[i])
	}
	for {
		var list []refSource
		low := 1e9
		for i := range src {
			if on[i] {
				list = append(list, src[i])
				low = min(low, src[i].bus)
			}
		}
		v, ok := f.full(list, guess)
		if !ok {
			return -1, on
		}
		if v < low {
			return v, on
		}
		rest, above := make([]bool, len(src)), list[:0:0]
		for i := range src {
			if rest[i] = on[i] && src[i].bus > low; rest[i] {
				above = append(above, src[i])
			}
		}
		if v, _ = f.full(above, guess); v <= low {
			return low, on
		}
		if len(above) == 0 {
			return v, rest
		}
		on = rest
	}
}
