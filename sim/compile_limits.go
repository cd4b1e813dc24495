package sim

import (
	"math"
	"slices"

	"bankyear/sim/bank"
)

// compileLimits sorts every threshold of voltage, temperature and reported SoC,
// and makes the zones of temperature between them.
func compileLimits(p *Plan, s *System) {
	p.counter = s.Bank.Counter()
	p.exact, p.reports = p.counter.Kind == "exact", p.counter.Kind != "none"
	p.perCount = 1 / (p.counter.AssumedAh * 3600)
	compileVolts(p, s)
	compileCelsius(p, s)
	compileSoC(p, s)
}

// index is where a threshold stands in its sorted list.
func index(sorted []float64, x float64) int {
	i, found := slices.BinarySearch(sorted, x)
	if !found {
		panic("sim: threshold is not listed")
	}
	return i
}

func sorted(values []float64) []float64 {
	slices.Sort(values)
	return slices.Compact(values)
}

func compileVolts(p *Plan, s *System) {
	m := &s.Bank.Module
	pr, low, set := &m.Protection, &s.Controls.LowEnd, s.Bank.SoloSettings()
	over := m.OverVoltageV()
	all := []float64{
		low.CutOffV, low.FastCutOffV, low.ReturnV, s.Inverter.MinV, set.RestartV, m.Linked.FullV,
		p.counter.FullV, p.counter.LowKneeV, pr.UnderV, pr.UnderReleaseV, over, pr.OverReleaseV, p.inverter.tooHighV, p.inverter.highBackV,
	}
	for _, name := range sortedKeys(s.Generators) {
		for _, r := range s.Generators[name].StartBelow {
			if !r.LoadCorrected {
				all = append(all, r.V)
			}
		}
	}
	sheds := s.Controls.ShedBelowV > 0
	if sheds {
		all = append(all, s.Controls.ShedBelowV, s.Controls.ReturnAboveV)
	}
	resumes := m.Linked.ResumeBelowV > 0
	if resumes {
		all = append(all, m.Linked.ResumeBelowV)
	}
	p.volts = sorted(all)
	at := func(v float64) int { return index(p.volts, v) }
	p.v = voltIndex{
		cut: at(low.CutOffV), fast: at(low.FastCutOffV), back: at(low.ReturnV), minV: at(s.Inverter.MinV), restart: at(set.RestartV),
		full: at(m.Linked.FullV), countFull: at(p.counter.FullV), knee: at(p.counter.LowKneeV),
		under: at(pr.UnderV), underRelease: at(pr.UnderReleaseV), over: at(over), overRelease: at(pr.OverReleaseV),
		tooHigh: at(p.inverter.tooHighV), highBack: at(p.inverter.highBackV),
	}
	var shed, shedBack, resume []int
	if p.v.resume = -1; resumes {
		p.v.resume = at(m.Linked.ResumeBelowV)
		resume = []int{p.v.resume}
	}
	if sheds {
		p.v.shed, p.v.shedBack = at(s.Controls.ShedBelowV), at(s.Controls.ReturnAboveV)
		shed, shedBack = []int{p.v.shed}, []int{p.v.shedBack}
	}
	var rungs []int // of all sets
	for _, name := range sortedKeys(s.Generators) {
		for _, r := range s.Generators[name].StartBelow {
			if !r.LoadCorrected {
				rungs = append(rungs, at(r.V))
			}
		}
	}
	p.voltFor = make([]voltUse, len(p.volts))
	for use, at := range map[voltUse][]int{
		forCutOff: {p.v.cut, p.v.fast}, forReturn: {p.v.back}, forRestart: {p.v.restart}, forFull: {p.v.full}, forCount: {p.v.countFull},
		forKnee: {p.v.knee}, forUnderRelease: {p.v.underRelease}, forOverRelease: {p.v.overRelease}, forLadder: rungs, forShed: shed, forShedBack: shedBack,
		forHighBack: {p.v.highBack}, forResume: resume, forAlways: {p.v.minV, p.v.under, p.v.over, p.v.tooHigh},
	} {
		for _, i := range at {
			p.voltFor[i] |= use
		}
	}
}

func compileCelsius(p *Plan, s *System) {
	m, e := &s.Bank.Module, &s.Bank.Enclosure
	pr, n := &m.Protection, float64(s.Bank.Modules)
	all := []float64{
		pr.ChargeColdC, pr.ChargeColdReleaseC, pr.ChargeHotC, pr.ChargeHotReleaseC,
		pr.DischargeColdC, pr.DischargeColdReleaseC, pr.DischargeHotC, pr.DischargeHotReleaseC, e.HeaterOnC, e.HeaterOffC,
	}
	for _, table := range [][][2]float64{m.ResistanceByC, m.CapacityByC, m.Linked.CeilingByC} {
		for _, point := range table {
			all = append(all, point[0])
		}
	}
	if f := e.Fan; f != nil {
		all = append(all, f.OnC, f.OffC)
	}
	for _, point := range m.Linked.DischargeByC {
		all = append(all, point[0])
	}
	p.celsius = sorted(all)
	at := func(c float64) int { return index(p.celsius, c) }
	p.t = tempIndex{
		cold: at(pr.ChargeColdC), coldBack: at(pr.ChargeColdReleaseC), hot: at(pr.ChargeHotC), hotBack: at(pr.ChargeHotReleaseC),
		disCold: at(pr.DischargeColdC), disColdBack: at(pr.DischargeColdReleaseC), disHot: at(pr.DischargeHotC), disHotBack: at(pr.DischargeHotReleaseC),
		heatOn: at(e.HeaterOnC), heatOff: at(e.HeaterOffC),
	}
	p.celsiusActs = make([]bool, len(p.celsius))
	for _, i := range []int{p.t.cold, p.t.coldBack, p.t.hot, p.t.hotBack, p.t.disCold, p.t.disColdBack, p.t.disHot, p.t.disHotBack, p.t.heatOn, p.t.heatOff} {
		p.celsiusActs[i] = true
	}
	for _, point := range m.Linked.DischargeByC {
		p.celsiusActs[at(point[0])] = true
	}
	if f := e.Fan; f != nil {
		p.t.fanOn, p.t.fanOff = at(f.OnC), at(f.OffC)
		p.celsiusActs[p.t.fanOn], p.celsiusActs[p.t.fanOff] = true, true
	}
	module := m.ResistanceOhm / n
	share := n / m.WorstShare
	p.zones = make([]zone, len(p.celsius)+1)
	for i := range p.zones {
		lo, hi := math.Inf(-1), math.Inf(1)
		if i > 0 {
			lo = p.celsius[i-1]
		}
		if i < len(p.celsius) {
			hi = p.celsius[i]
		}
		z := &p.zones[i]
		z.from, z.to = lo, hi
		z.r, z.rs = line(m.ResistanceByC, lo, hi, module)
		z.cap, z.caps = line(m.CapacityByC, lo, hi, 1)
		z.ceiling, z.ceilings = line(m.Linked.CeilingByC, lo, hi, share)
		if z.lo = lo; i == 0 {
			z.lo = hi
		}
		least := z.cap
		if z.caps < 0 {
			least += z.caps * (hi - z.lo)
		}
		z.floorTop = p.qMax * (1 - min(1, least))
	}
	for _, point := range m.Linked.CeilingByC {
		p.ceilingA = max(p.ceilingA, point[1]*share)
	}
	for i := range p.zones {
		p.zones[i].window = windowOf(&p.zones[i], p.zones[i].to, p.ceilingA)
	}
}

// line is a table's straight line between two of its knots: the value at lo and
// the slope. Beyond the ends it is level.
func line(table [][2]float64, lo, hi, scale float64) (value, slope float64) {
	switch {
	case math.IsInf(lo, -1):
		return bank.Below(table, hi) * scale, 0
	case math.IsInf(hi, 1):
		return bank.At(table, lo) * scale, 0
	}
	value = bank.At(table, lo)
	return value * scale, (bank.Below(table, hi) - value) / (hi - lo) * scale
}

func compileSoC(p *Plan, s *System) {
	c, m := &s.Controls, &s.Bank.Module
	all := []float64{0, 1, c.ShedSoC, c.ReturnSoC, c.LowEnd.StopSoC, c.LowEnd.ResumeSoC, c.LowEnd.SuddenSoC, m.Linked.ResumeBelowSoC}
	byHand := slices.Contains(c.Operator.Does, "shed_by_hand")
	if byHand {
		all = append(all, c.Operator.ShedSoC, c.Operator.ReturnSoC)
	}
	for _, point := range slices.Concat(m.Linked.CeilingBySoC, m.Linked.DischargeBySoC) {
		all = append(all, point[0])
	}
	for _, g := range s.Generators {
		all = append(all, g.StartSoCFraction, g.StopSoCFraction)
		if g.TopUp != nil {
			all = append(all, g.TopUp.IfSoCBelow, g.TopUp.RunToSoCFraction)
		}
	}
	if s.Grid != nil {
		all = append(all, s.Grid.ConnectSoC, s.Grid.DisconnectSoC)
	}
	list := sorted(all)
	p.limits.soc, p.doubtless = list, doubtless(s)
	at := func(x float64) int { return index(list, x) }
	p.s = socIndex{
		shed: at(c.ShedSoC), back: at(c.ReturnSoC), stop: at(c.LowEnd.StopSoC), resume: at(c.LowEnd.ResumeSoC),
		sudden: at(c.LowEnd.SuddenSoC), full: at(m.Linked.ResumeBelowSoC), genStop: -1,
	}
	if byHand {
		p.s.hand, p.s.handBack = at(c.Operator.ShedSoC), at(c.Operator.ReturnSoC)
	}
	for i := range len(list) + 1 {
		lo, hi := math.Inf(-1), math.Inf(1)
		if i > 0 {
			lo = list[i-1]
		}
		if i < len(list) {
			hi = list[i]
		}
		value, slope := line(m.Linked.CeilingBySoC, lo, hi, 1)
		if i > 0 {
			before := p.factorAt[i-1]
			if i > 1 {
				before += p.factorSlope[i-1] * (lo - list[i-2])
			}
			p.factorBends = append(p.factorBends, math.Abs(slope-p.factorSlope[i-1]) > 1e-9 || math.Abs(value-before) > 1e-12)
		}
		p.factorAt, p.factorSlope = append(p.factorAt, value), append(p.factorSlope, slope)
	}
}
