package sim

import (
	"math"

	"bankyear/sim/bank"
)

// year closes the run and makes its answer.
func (m *machine) year() *Year {
	if m.rec != nil && m.outage.cause != NoCause {
		m.rec.ending = EndOfTheYear
	}
	m.lightUp()
	if m.night.dark && m.night.seconds > shortOutageS {
		m.night.count++
	}
	m.flow.Finish()
	total := ledger{lowSoC: 1}
	for i := range m.months {
		total.add(&m.months[i])
	}
	y := &Year{Figures: m.figures(&total), Books: total.books(), Outages: m.outage.list, Inrush: m.inrushAnswer(), Waited: m.waited, Broke: m.broke(), months: new([12]monthSums)}
	if i := y.Inrush; i != nil {
		y.Figures.FailedMotorStarts, y.Figures.InrushMargin = i.Failed, i.MarginFraction
	}
	y.Generators = m.setYears()
	for _, g := range y.Generators {
		y.Figures.GeneratorServices += g.Services
	}
	for i := range y.months {
		y.months[i] = monthSums{m.months[i], m.daily.meanC(i), m.daily.meanSoCError(i), m.daily.socError.most[i]}
	}
	for i, n := range m.flow.depth {
		if n > 0 {
			y.Cycles = append(y.Cycles, CycleBin{DepthFraction: float64(i+1) / float64(len(m.flow.depth)), Cycles: n})
		}
	}
	if m.rec != nil {
		y.Hours, y.Incidents, y.Decisions = m.rec.hours, m.p.dated(m.rec.incidents), m.rec.decisions
	}
	return y
}

func (m *machine) figures(l *ledger) Figures {
	const h, kwh = 1. / 3600, 1 / 3.6e6
	p, o, x, c := m.whole, &m.outage, &m.extreme, &m.counts
	f := Figures{
		DowntimeH: l.downS * h, DowntimeByCauseH: byCause(l.downBy[:], DowntimeCauses(), h),
		DarkNights: m.night.count, Outages: o.long, ShortOutages: o.short, HourLongOutages: o.hour, FourHourOutages: o.four, LongestOutageH: o.longest * h,
		Restarts: c.restarts, Sleeps: c.sleeps, Latches: c.latches, Visits: c.visits, SuddenStops: c.suddenStops, TripsByKind: map[string]int{},
		UnservedKWh: l.unserved * kwh, ShedKWh: l.shed * kwh,
		GeneratorH: l.genS * h, GeneratorStarts: c.starts, GeneratorFailures: c.failures, FuelL: l.fuelL,
		ShiftedKWh: l.shifted * kwh, GeneratorLowLoadH: l.lowS * h, GridH: l.gridS * h, GridDownH: p.with(0).downS() * h, GridKWh: l.ac[fromGrid].made * kwh, GridCost: l.gridCost,
		EquivalentCycles: l.dischargeAs / p.qMax, ThroughputMWh: l.discharge * kwh / 1000, CycleWearFraction: m.flow.wear,
		ChargedTooColdH: l.coldS * h, ChargedTooColdAh: l.coldAs * h,
		CurtailedKWh: l.curtailed * kwh, CurtailedByCause: byCause(l.curtBy[:], CurtailmentCauses(), kwh),
		LowestSoC: x.lowSoC, LowestSoCAt: p.sky.date(x.lowAt), SoCErrorMax: m.daily.socError.largest,
		ChargeBlockedColdH: l.blockedColdS * h, ChargeBlockedHotH: l.blockedHotS * h, AtCeilingH: l.ceilingS * h, LinkDownH: l.linkS * h, LinkLosses: m.losses.count, LongestLinkLossH: m.longestLossS() * h, ModulesOutH: m.out.outS * h, UnnoticedH: m.out.unseenS * h,
		HoursTouched: m.night.touched, LowestCellC: x.coldC, HighestCellC: x.hotC, HighestModuleA: x.chargeA / p.modules,
	}
	if f.SoCErrorMax > 0 {
		f.SoCErrorMaxAt = p.sky.date(m.daily.socError.at)
	}
	f.DepthWinter, f.DepthWorstTenth = m.daily.depths(m)
	f.HeldBackH = l.heldBackS * h
	f.Openings, f.OpeningMostA, f.HighStops = c.openings.count, c.openings.mostA, c.highStops
	if f.Openings > 0 {
		f.OpeningMostAt = p.sky.date(c.openings.at)
	}
	f.DecisionsOtherwise, f.OtherwiseByKind = m.doubt.byDecision()
	f.MisledOnH = m.doubt.onS * h
	if p.reports && !p.exact {
		f.Resets, f.WithoutResetH = m.resets.count, m.resets.without(m.now)*h
	}
	if p.warrantyMWh > 0 {
		f.WarrantyShare = f.ThroughputMWh / p.warrantyMWh
	}
	if p.ageByC != nil {
		fade := math.Sqrt(m.age.square)
		lost := 100 * (1 - p.left)
		f.CalendarFade, f.YearsTo80Pct = fade/100, bank.YearsLeft(20, lost, p.ageYears, m.age.square, 20*m.flow.wear)
		f.FadePerYear = bank.LossInYear(p.ageYears, m.age.square, 20*m.flow.wear) / 100
		f.GrowthPerYear = p.growth * f.FadePerYear
	} else {
		f.wearOut(p, &m.age)
	}
	f.BypassedH = m.bypass.hours(m.now)
	f.ModuleTrips, f.ModulesOpenH = m.line.trips, m.line.openH(m.now)
	f.LongestUnfullD = max(m.care.longestS, m.now-m.care.fullAt) / 86400
	if p.acid != nil {
		f.Sulfation = bank.Sulfation(f.LongestUnfullD)
	}
	f.CellHByWindow = map[string]float64{}
	for k, name := range windowNames {
		f.CellHByWindow[name] = l.windowS[k] * h
	}
	if o.longest > 0 {
		f.LongestOutageStart = p.sky.date(o.longestStart)
	}
	for k, n := range c.trips {
		f.Trips += n
		f.TripsByKind[tripNames[k]] = n
	}
	gen, net := &l.ac[fromGenerator], &l.ac[fromGrid]
	served := l.loadSolar + l.loadBank + gen.served + net.served
	if served > 0 {
		sun := 1. // a bank that was never charged gives what the sun put there before
		if in := l.solarToBank + gen.bank + net.bank; in > 0 {
			sun = l.solarToBank / in
		}
		f.SolarFraction = (l.loadSolar + l.loadBank*sun) / served
	}
	return f
}

// countCycle adds a cycle to the rainflow table and its wear by Miner's rule on
// the depth-to-cycles table.
func (m *machine) countCycle(depth, _, cycles float64) {
	n := len(m.flow.depth)
	m.flow.depth[min(max(int(math.Ceil(depth*float64(n)-1e-12))-1, 0), n-1)] += cycles
	m.flow.wear += cycles / bank.CyclesAt(m.p.cycles, depth)
}
