package sim

import (
	"math"
	"math/rand/v2"
	"slices"

	"bankyear/sim/bank"
	"bankyear/sim/genset"
	"bankyear/sim/inverter"
	"bankyear/weather"
)

func compileInverter(s *inverter.Spec) inverterRules {
	return inverterRules{
		restS: s.ShortRestS, searchBelowW: s.SearchBelowW, searchW: s.SearchDrawW,
		offW: s.OffDrawW, restartS: s.RestartS, passesAlone: s.PassesWithoutBank,
		tooHighV: s.MaxV + clearOfMaxV, highBackV: s.HighReturnV(),
		loss: [3]float64{s.RatedW * s.IdleFraction, s.LinearFraction, s.QuadraticFraction / s.RatedW}, allowedS: s.AllowedS,
	}
}

func compileSources(p *Plan, s *System) {
	c := &p.sources
	for _, name := range sortedKeys(s.Array.Chargers) {
		charger := s.Array.Chargers[name]
		c.sensor = append(c.sensor, charger.TemperatureSensor)
		c.anySensor = c.anySensor || charger.TemperatureSensor
		c.chargers++
	}
	c.setA = s.Bank.SoloSettings().ChargeA
	c.genA, c.genEta, c.acInputW = s.Inverter.ChargerA, s.Inverter.ChargerEfficiencyFraction, s.Inverter.ACInputW
}

func compileRules(p *Plan, s *System, w *weather.Year) {
	b, m, r := &s.Bank, &s.Bank.Module, &p.rules
	n, share := float64(b.Modules), float64(b.Modules)/m.WorstShare
	r.linked, r.oneSwitch = b.Operation == "data_linked", m.Disconnect == "one_switch"
	r.onLoss = map[string]lossOutcome{"bank_opens": bankOpens, "all_stop": allStop, "charge_stops": chargeStops}[b.OnLinkLoss]
	r.onReturn = map[string]linkReturn{"next_morning": nextMorning, "until_reset": untilReset}[b.OnLinkReturn]
	r.timeoutS, r.pushedV = b.Link.TimeoutS, m.Linked.VoltageV
	set := s.Bank.SoloSettings()
	r.solo = stagesOf(&set)
	rule := b.DeriveSettings()
	r.setLow = set.AbsorbV < 0.98*rule.AbsorbV || set.TailA > 3*rule.TailA
	r.compensate, r.feelsCells = set.CompensationV, b.CompensatesByCells()
	r.ownW = s.Controls.HousekeepingW
	if r.linked {
		r.ownW += b.Link.Gateway.DrawW
	}
	r.fullA, r.fullHoldS = m.Linked.FullA*n, m.Linked.FullHoldS
	r.protection, r.tripDelayS = m.Protection, tripDelays(&m.Protection)
	r.chargeSeenA, r.chargeOverA = m.Protection.ChargeSeenA*n, m.Protection.ChargeOverA*share
	r.dischargeA, r.peakRestS = m.DischargeA*share, m.PeakRestS
	for _, peak := range m.PeakAS {
		r.peaks = append(r.peaks, [2]float64{peak[0] * share, peak[1]})
	}
	r.controls, r.holdBus = s.Controls, s.Controls.ChargersHoldBus
	r.people = compilePeople(s, w)
	r.asleepAfterS = m.Protection.AsleepAfterH * 3600
	r.wokenBySun, r.wokenByGen = slices.Contains(b.WokenBy, "solar"), slices.Contains(b.WokenBy, "generator")
	r.wokenByVisit = slices.Contains(b.WokenBy, "visit")
	r.genStartsBus = s.Inverter.ChargerStartsWithoutBank
	for _, name := range sortedKeys(s.Array.Chargers) {
		charger := s.Array.Chargers[name]
		r.sunStartsBus = r.sunStartsBus || charger.StartsWithoutBank
		r.deafStartsBus = r.deafStartsBus || charger.StartsWithoutBank && !charger.Hears()
	}
	r.settleS = float64(s.Controls.SettleDays) * 86400
}

// stagesOf are the stages that settings make.
func stagesOf(set *bank.Settings) stageSettings {
	return stageSettings{
		absorbV: set.AbsorbV, absorbMaxS: set.AbsorbMaxS, tailA: set.TailA, tailHoldS: set.TailHoldS,
		floatV: set.FloatV, restartHoldS: set.RestartHoldS, tailOwn: set.TailSeen == "own_output",
		equaliseV: set.EqualiseV, equaliseS: set.EqualiseS, equaliseDays: set.EqualiseDays,
	}
}

// compilePeople finds all that follows from who comes.
func compilePeople(s *System, w *weather.Year) people {
	c, b := &s.Controls, &s.Bank
	o := &c.Operator
	p := people{
		operator: o.OnSite != "never", weekends: o.OnSite == "weekends", awake: genset.MustHours(o.Awake),
		responseS: o.ResponseH * 3600, visitS: c.VisitResponseH * 3600, seenS: math.Inf(1), firstDay: int(w.Start(0).Weekday()),
		starts: slices.Contains(o.Does, "start_generator"), wakes: slices.Contains(o.Does, "wake_bank"), resets: slices.Contains(o.Does, "reset"),
		bypasses: slices.Contains(o.Does, "bypass_inverter"), sheds: slices.Contains(o.Does, "shed_by_hand"),
	}
	if c.RemoteView {
		p.visitS = min(p.visitS, c.RemoteVisitH*3600)
		p.seenS = p.visitS
	}
	first := 0
	if s.Grid != nil {
		first = 1
	}
	for k, name := range leadOrder(s) {
		if h := s.Generators[name].CallOutH; h != nil {
			p.callOutS[first+k] = *h * 3600
		}
	}
	if isLinked(s) {
		p.linkEdges = edges(slices.Concat(faultSpans(&b.LinkFaults, 0x6c696e6b, w), faultSpans(&b.Link.Gateway.Faults, 0x67617465, w)))
	}
	if h := b.ModulesOut.RepairH; h != nil {
		p.fixS = *h * 3600
	}
	return p
}

// faultSpans are the listed and the random faults, seconds after the year's start;
// each kind of fault has a stream of draws of its own.
func faultSpans(f *bank.LinkFaults, stream uint64, w *weather.Year) (spans [][2]float64) {
	for _, fault := range f.Listed {
		at, err := fault.At()
		spans = append(spans, listedSpan(at, err, fault.Hours, w))
	}
	if f.MeanHoursBetween > 0 {
		spans = append(spans, randomSpans(f.MeanHoursBetween, *f.MeanRepairH, rand.NewPCG(f.Seed, stream), w)...)
	}
	return spans
}
