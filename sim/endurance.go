package sim

import (
	"maps"
	"math"
	"slices"

	"bankyear/sim/bank"
	"bankyear/sim/fault"
	"bankyear/sim/genset"
	"bankyear/weather"
)

// Endurance is what the bank alone bears and how soon it is filled again: short
// runs at a steady load and cell temperature, from a stated state of charge. Load
// and temperature of winter are the means of the month with the least sun.
type Endurance struct {
	WinterMonth  int        `json:"winter_month" doc:"Calendar month with the least sun, 1 to 12: winter in what follows."`
	WinterLoadW  float64    `json:"winter_load_w" doc:"Mean of all load in it."`
	WinterCellC  float64    `json:"winter_cell_c" doc:"Mean cell temperature in it, as the year went."`
	AutonomyH    *float64   `json:"autonomy_h" doc:"From a full bank until essential load is dark, at the mean load and cell temperature of winter, without sun and generator, with the operation and the low end that are set; null when it takes more than 60 days."`
	ModulesOpenH *float64   `json:"until_modules_open_h" doc:"From there until the modules open for under-voltage, by what goes on drawing, when nobody comes; null when they do not within a year."`
	AsleepH      *float64   `json:"until_asleep_h" doc:"From there (the load's stop) until they are asleep and must be woken; null likewise."`
	DaysToDamage *float64   `json:"days_to_damage" doc:"From the load's stop until the cells are empty, by draws and self-discharge, when nobody comes: over-discharge that a BMS cannot keep off; null when it takes more than a year."`
	Recharge     []Recharge `json:"recharge_h" doc:"Time from 20 to 95 % state of charge, for each operation that the module can work in."`
}

// Recharge is the time from 20 to 95 % by one source.
type Recharge struct {
	Operation string   `json:"operation" enum:"data_linked,voltage_only" doc:"How the bank works."`
	By        string   `json:"by" enum:"sun,generator" doc:"What charges. sun: steady, as in the sunlit interval that a tenth of them exceed (of the year; of winter); generator: at its rating, warmed up, kept on also while the charger floats."`
	When      string   `json:"when" enum:"25_c,winter" doc:"25_c: cells at 25 °C and the mean load of the year; winter: cells and load of winter."`
	CellC     float64  `json:"cell_c" doc:"Cell temperature, held."`
	LoadW     float64  `json:"load_w" doc:"Load carried at the same time."`
	SourceW   float64  `json:"source_w" doc:"What the solar chargers or the generator could give."`
	Hours     *float64 `json:"hours" doc:"The time; null when it takes more than 72 h, or never comes there."`
}

const (
	rechargeFrom, rechargeTo = 0.20, 0.95
	longestRechargeS         = 72 * 3600
	longestAutonomyS         = 60 * 86400
	longestDecayS            = 366 * 86400
)

// probe is the set-up of the short runs.
type probe struct {
	plan  *Plan
	given *System
	w     *weather.Year
	month int // winter, 0 to 11
	cellC float64
	// lit is the bright row of the year and of winter.
	lit [2]int
}

// Endure finds the endurance of a plan whose year was run. given is the system as
// it was before Complete.
func (p *Plan) Endure(given *System, w *weather.Year, y *Year) Endurance {
	x := probe{plan: p, given: given, w: w}
	for i := range y.months {
		if y.months[i].solarAvail < y.months[x.month].solarAvail {
			x.month = i
		}
	}
	x.cellC = y.months[x.month].meanC
	winter, _ := x.mean(true)
	x.lit = [2]int{x.bright(false), x.bright(true)}
	e := Endurance{WinterMonth: x.month + 1, WinterLoadW: winter.acAll + winter.dcAll, WinterCellC: x.cellC}
	x.drain(&e, winter)
	for _, operation := range []string{"data_linked", "voltage_only"} {
		for _, by := range []string{"sun", "generator"} {
			for _, when := range []string{"25_c", "winter"} {
				if r, ok := x.recharge(operation, by, when); ok {
					e.Recharge = append(e.Recharge, r)
				}
			}
		}
	}
	return e
}

// mean is a row of mean load without sun, over winter or the year, and the mean
// rating of each generator in lead order.
func (x *probe) mean(winter bool) (row, []float64) {
	var sum row
	rated := make([]float64, len(x.plan.sky.genW))
	n := 0.
	for i := range x.plan.sky.rows {
		r := &x.plan.sky.rows[i]
		if winter && int(r.month) != x.month {
			continue
		}
		n++
		sum.acEss += r.acEss
		sum.acAll += r.acAll
		sum.dcEss += r.dcEss
		sum.dcAll += r.dcAll
		sum.invEss += r.invEss
		sum.invAll += r.invAll
		sum.derate += r.derate
		for k := range rated {
			rated[k] += x.plan.sky.genW[k][i]
		}
		sum.nightDrawW = max(sum.nightDrawW, r.nightDrawW)
	}
	for _, v := range []*float64{&sum.acEss, &sum.acAll, &sum.dcEss, &sum.dcAll, &sum.invEss, &sum.invAll, &sum.derate} {
		*v /= n
	}
	for k := range rated {
		rated[k] /= n
	}
	sum.vaEss, sum.vaAll = 1, 1
	sum.overEss, sum.overAll, sum.month = math.Inf(1), math.Inf(1), uint8(x.month)
	return sum, rated
}

// bright is the index of the sunlit row that a tenth of them exceed in solar
// power, over winter or the year; −1 when there is no sun.
func (x *probe) bright(winter bool) int {
	var lit []int
	rows := x.plan.sky.rows
	for i := range rows {
		if r := &rows[i]; r.sunlit && r.solarOutW+r.acSunW > 0 && (!winter || int(r.month) == x.month) {
			lit = append(lit, i)
		}
	}
	if len(lit) == 0 {
		return -1
	}
	slices.SortStableFunc(lit, func(a, b int) int {
		switch d := rows[a].solarOutW + rows[a].acSunW - rows[b].solarOutW - rows[b].acSunW; {
		case d < 0:
			return -1
		case d > 0:
			return 1
		}
		return 0
	})
	return lit[int(0.9*float64(len(lit)-1))]
}

// system is the given one with nothing left to chance and nobody coming, at a
// state of charge; false when it does not pass its check so.
func (x *probe) system(operation string, soc float64) (*System, bool) {
	s := (&Relief{}).Lift(x.given)
	s.Bank.Operation, s.Bank.InitialSoC = operation, soc
	perfectLink(s)
	s.Bank.ModulesOut = bank.ModulesOut{}
	s.Controls.SettleDays, s.Controls.Operator.OnSite, s.Controls.RemoteView = 0, "never", false
	s.Generators, s.Grid = maps.Clone(s.Generators), nil
	eachGenerator(func(g *genset.Spec) {
		g.StartSoCFraction, g.StopSoCFraction, g.StartBelow, g.StopTailA, g.TopUp, g.NoStartHours = 0, 0, nil, 0, nil, ""
		g.FuelStoreL, g.Deliveries, g.MaxRunH, g.DailyCapH = 0, nil, 8784, 0
		g.StartLoadW, g.StopLoadW, g.StopRefusedS, g.Exercise = 0, 0, 0, nil
	})(s)
	s.Complete()
	c := fault.New()
	s.Bank.Check(c.At("bank"))
	return s, len(c.Faults()) == 0
}

// machine is a machine at the start of a steady run with cells held at a
// temperature.
func (x *probe) machine(s *System, r row, rated, solarW, solarA []float64, stepS, cellC float64) *machine {
	s = asOneInverter(s)
	r.envC = cellC
	p := &Plan{stepS: stepS}
	p.inverter = compileInverter(&s.Inverter)
	p.sky = &skyPlan{rows: []row{r}, stepS: stepS, solarW: solarW, solarA: solarA, date: x.plan.sky.date}
	for _, w := range rated {
		p.sky.genW = append(p.sky.genW, []float64{w})
	}
	compileElectrical(p, s, x.w, &Load{}) // no motors: the load is steady
	p.people.visitS = math.Inf(1)
	p.heaterW = 0
	p.heat.through(1e-3)
	return newMachine(p)
}

// drain empties a full bank at a steady load, and then waits for what the draws
// that go on do to it.
func (x *probe) drain(e *Endurance, load row) {
	s, ok := x.system(x.given.Bank.Operation, 1)
	if !ok {
		return
	}
	s.Generators = nil
	const stepS, laterS = 600, 6 * 3600
	m := x.machine(s, load, nil, make([]float64, len(s.Array.Chargers)), make([]float64, len(s.Array.Chargers)), stepS, x.cellC)
	for m.now < longestAutonomyS && !m.outage.ever {
		m.interval(0)
	}
	if !m.outage.ever {
		return
	}
	stop := m.outage.firstAt
	e.AutonomyH = some(stop / 3600)
	for m.now < stop+longestDecayS && e.DaysToDamage == nil {
		if m.asleep || m.now > stop+longestAutonomyS {
			m.p.sky.stepS, m.p.stepS = laterS, laterS
		}
		m.interval(0)
		if e.ModulesOpenH == nil && m.tripped&(1<<tripUnderV) != 0 {
			e.ModulesOpenH = some((m.now - stop) / 3600)
		}
		if e.AsleepH == nil && m.asleep {
			e.AsleepH = some((m.now - stop) / 3600)
		}
		if m.spent() {
			e.DaysToDamage = some((m.now - stop) / 86400)
		}
	}
}

// recharge fills a bank from 20 to 95 %; false where there is no such source or
// operation.
func (x *probe) recharge(operation, by, when string) (Recharge, bool) {
	s, ok := x.system(operation, rechargeFrom)
	if !ok || by == "generator" && len(s.Generators) == 0 {
		return Recharge{}, false
	}
	r, rated := x.mean(when == "winter")
	out := Recharge{Operation: operation, By: by, When: when, CellC: 25}
	if when == "winter" {
		out.CellC = x.cellC
	}
	n := len(s.Array.Chargers)
	solarW, solarA := make([]float64, n), make([]float64, n)
	out.LoadW = r.acAll + r.dcAll
	if len(rated) > 0 {
		out.SourceW = rated[0] // the set that leads
	}
	if by == "sun" {
		i := x.lit[0]
		if when == "winter" {
			i = x.lit[1]
		}
		if i < 0 {
			return out, true
		}
		copy(solarW, x.plan.sky.solarW[i*n:])
		copy(solarA, x.plan.sky.solarA[i*n:])
		lit := &x.plan.sky.rows[i]
		r.solarInW, r.solarOutW, r.mostOutW, r.leastA, r.perSolarEta = lit.solarInW, lit.solarOutW, lit.mostOutW, lit.leastA, lit.perSolarEta
		r.acSunInW, r.acSunW, r.sunlit, r.nightDrawW = lit.acSunInW, lit.acSunW, true, 0
		s.Generators, rated = nil, nil
		out.SourceW = r.solarOutW + r.acSunW
	}
	const stepS, laterS = 900, 150 // the taper is looked at more closely
	m := x.machine(s, r, rated, solarW, solarA, stepS, out.CellC)
	if by == "generator" {
		m.enter(loaded, 0)
		m.p.always = true // it goes on in float, until the bank is there
	}
	for goal := rechargeTo * m.p.qMax; m.now < longestRechargeS; {
		if m.q > 0.85*m.p.qMax {
			m.p.sky.stepS, m.p.stepS = laterS, laterS
		}
		was, before := m.q, m.now
		m.interval(0)
		if m.q >= goal {
			out.Hours = some((before + (m.now-before)*(goal-was)/(m.q-was)) / 3600)
			break
		}
	}
	return out, true
}

func some(x float64) *float64 { return &x }
