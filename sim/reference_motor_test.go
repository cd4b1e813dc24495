package sim_test

import "math"

// Starts of motors: at the beginning of an interval each start in it is tried
// on paper with the inverter on and the generator off; where any would fail, the
// starts come evenly over the interval, as many as the one of those that starts
// most often has, and each is tried again with the bank as it is then.

// motorStep tries the start that is due this second.
func (r *reference) motorStep() bool {
	st := &r.st
	into := r.now % r.w.StepS
	able := st.inverterOn && !r.loaded()
	if into == 0 && able {
		st.motorGapS = 0
		if n := r.failing(); n > 0 {
			st.motorGapS = float64(r.w.StepS) / float64(n)
		}
	}
	if st.motorGapS == 0 || !able || math.Mod(float64(into), st.motorGapS) > 0 || r.failing() == 0 {
		return false
	}
	st.inverterOn, st.motorFailed, st.restart, st.overload = false, true, refHold{}, refHold{}
	return true
}

// startsIn is how many starts of one kind come in interval i.
func (r *reference) startsIn(k, i int) int {
	s := &r.l.Starts[k]
	if !s.On[i] {
		return 0
	}
	if s.StartsPerH == 0 {
		if i > 0 && s.On[i-1] {
			return 0
		}
		return s.Count
	}
	per := s.StartsPerH * float64(s.Count) * float64(r.w.StepS) / 3600
	hours := 0.0
	for _, on := range s.On[:i] {
		if on {
			hours++
		}
	}
	return int(math.Ceil((hours+1)*per) - math.Ceil(hours*per))
}

// failing is the number of starts in this interval of the motor that has most,
// of those that would fail now.
func (r *reference) failing() (most int) {
	for k := range r.l.Starts {
		if n := r.startsIn(k, r.now/r.w.StepS); n > 0 && !(r.st.shed && r.l.Starts[k].Flexible) && r.fails(k) {
			most = max(most, n)
		}
	}
	return most
}

// fails tries one start: the bank gives what the chargers do not, at
// E − I·R with the resistance to a few seconds.
func (r *reference) fails(k int) bool {
	st, in, s, inv := &r.st, &r.in, &r.l.Starts[k], &r.s.Inverter
	ac, dc := in.acEss, in.dcEss
	if !st.shed {
		ac, dc = ac+in.acFlex, dc+in.dcFlex
	}
	vars := ac * math.Sqrt(math.Pow(r.apparent(), 2)-1)
	starting, per := s.RunningW*s.InrushMultiple, math.Tan(math.Acos(s.PowerFactor))
	inside := s.RunningW * s.MeanFraction
	gap := float64(r.w.StepS) / float64(max(1, r.startsIn(k, r.now/r.w.StepS)))
	if s.DC {
		dc = max(0, dc-inside) + starting
	} else {
		ac = max(0, ac-inside) + starting
		vars = max(0, vars-inside*per) + starting*per
		rated := inv.RatedW
		for _, pair := range inv.Short {
			if pair[1] >= s.InrushS && gap >= s.InrushS+inv.ShortRestS {
				rated = pair[0]
			}
		}
		if math.Hypot(ac, vars) > rated*in.derate {
			return true
		}
	}
	e := r.restV()
	ohm := r.m.ResistanceOhm / r.n * r.byC.at(st.cellC) * r.bySoC.at(st.q/r.capacityAh)
	if s.InrushS <= 5 {
		ohm *= r.m.ShortFactor
	}
	ohm += r.s.Bank.CableOhm
	need := refDCPowerW(inv, ac) + dc + r.alwaysW() + in.nightW
	for c := range r.chargers {
		a := in.solarA[c]
		if r.byVoltage() {
			a = min(a, r.set.ChargeA)
		}
		need -= min(in.solarW[c], a*e)
	}
	if need <= 0 {
		return false
	}
	root := e*e - 4*ohm*need
	if root < 0 {
		return true
	}
	v := (e + math.Sqrt(root)) / 2
	amps, most := (e-v)/ohm, r.contA
	for _, pair := range r.m.PeakAS {
		if pair[1] >= s.InrushS && gap >= s.InrushS+r.m.PeakRestS {
			most = pair[0] * r.n / r.m.WorstShare
		}
	}
	lowest := inv.MinV
	low := &r.s.Controls.LowEnd
	for _, limit := range []struct {
		on        bool
		v, delayS float64
	}{
		{true, r.m.Protection.UnderV, r.m.Protection.UnderDelayS},
		{!r.dataLinked, low.CutOffV, low.CutOffDelayS}, {!r.dataLinked, low.FastCutOffV, low.FastCutOffDelayS},
	} {
		if limit.on && s.InrushS >= limit.delayS {
			lowest = max(lowest, limit.v)
		}
	}
	return amps > most || v < lowest
}

// apparent is volt-amperes over watts of the AC load that is asked for now.
func (r *reference) apparent() float64 {
	vars, watts := 0.0, r.in.acEss
	if !r.st.shed {
		watts += r.in.acFlex
	}
	for k := range r.l.Starts {
		s := &r.l.Starts[k]
		if s.DC || !s.On[r.now/r.w.StepS] || r.st.shed && s.Flexible {
			continue
		}
		vars += s.RunningW * s.MeanFraction * float64(s.Count) * math.Tan(math.Acos(s.PowerFactor))
	}
	if watts == 0 {
		return 1
	}
	return math.Sqrt(watts*watts+vars*vars) / watts
}
