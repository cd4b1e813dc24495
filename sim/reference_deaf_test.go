package sim_test

// Chargers that do not hear the link, beside others that do.

// mixes tells whether such chargers work by voltage beside others that follow the
// BMS, or that stand still for a lost link.
func (r *reference) mixes() bool {
	return r.dataLinked && r.someDeaf && (r.linked() || r.lostBy("charge_stops"))
}

// handSetV is a set-point of the installer's settings.
func (r *reference) handSetV(g *refStage) float64 {
	v := r.hand.AbsorbV
	if g.floating {
		v = r.hand.FloatV
	}
	return v + r.hand.CompensationV*(r.enclosureC()-25)
}

// withMixed finds voltage and current of a bus whose chargers have set-points of
// their own; the ceiling is heard by some.
func (r *reference) withMixed(f *refFlow, src []refSource, guess float64) {
	for i := range src {
		s := &src[i]
		s.hears, s.set = true, f.setV
		if ac := i == len(src)-1; ac && r.acDeaf {
			s.hears, s.set = false, r.handSetV(&r.st.ac)
		} else if ac {
			s.set = f.setACV
		} else if !r.chargers[i].Hears() {
			s.hears, s.set = false, r.handSetV(&r.st.solar)
			f.setDeafV = s.set
		}
		if s.p <= 0 || s.a <= 0 || s.hears && r.lostBy("charge_stops") {
			s.p, s.a = 0, 0
		}
	}
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
		for i := range on {
			on[i] = src[i].p > 0 && src[i].set >= f.v
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
	holds := func(i int) bool { return src[i].set-f.v < 1e-9 }
	back := func(i int) bool { return f.atCeiling && !f.alone && src[i].hears }
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
	for i := range src[:len(src)-1] {
		f.held = f.held || src[i].p > 0 && (!on[i] || holds(i))
	}
	f.heldDeaf = f.setDeafV > 0 && f.setDeafV-f.v < 1e-9 && f.v-f.setDeafV < 1e-9
	f.heldAC = r.acDeaf && src[len(src)-1].p > 0 && holds(len(src)-1)
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
				low = min(low, src[i].set)
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
			if rest[i] = on[i] && src[i].set > low; rest[i] {
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
