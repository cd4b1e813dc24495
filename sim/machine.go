package sim

import (
	"math"
	"math/rand/v2"

	"bankyear/sim/bank"
)

// machine is the state of one run. Time is seconds after the counted year's
// start; the settling days have negative times.
type machine struct {
	p       *Plan
	whole   *Plan  // with every module in service
	people  people // who comes
	waited  bool   // anything waited for them
	now     float64
	counted bool // the settling days are over
	row     *row
	i       int // row index

	q, celsius, soc float64    // charge (As), cell temperature (°C), reported SoC
	offsetV         float64    // of the open-circuit voltage from the mean of its branches
	knot            int        // q lies in [knot, knot+1]
	wells           bank.Wells // of a lead-acid bank
	acidRun         acidRun
	lv, lt, ls      int     // levels of the voltage on the cells' side of the switches, cell temperature, reported SoC
	lb              int     // level of the DC bus's voltage: lv, unless open switches part them
	drained         bool    // nothing was left; nothing is drawn until some is back
	floorHit        bool    // discharge reached what cold cells can give
	lossW           float64 // heat in the cells over the last segment, W
	stepEnd         float64 // end of the internal step
	predicted       bool    // middleC and ohm hold
	middleC         float64 // cell temperature that the middle of the time left will have, °C
	ohm             float64 // the bank's resistance at it before the factor of SoC, Ω
	tempDwell       float64 // no pass of a temperature threshold before
	calm            bool    // no automaton has anything to do until something changes
	solved          flow    // the present segment's
	stretch         stretch // likewise
	drift           drift   // of the present glide
	gliding         bool    // what the state is leaves room for glides
	holding         bool    // settled: a hold of a bank that looks full runs
	bounds                  // of the voltage, between the thresholds that something waits for

	timers
	link
	out moduleOut
	guard
	latch
	sleep
	lowEnd
	highEnd
	inv inverterState
	strain
	inrush inrush
	gen    generator // the source of AC in charge
	aside
	stages [2]stage // solar chargers, AC charger
	full   bool     // the BMS says full
	atKnee bool     // the voltage is at the counter's low knee or below
	shedding
	discharging discharging
	bypass
	shifting
	heaterOn bool
	fanOn    bool
	fanSince float64 // it has been counted up to then
	tail     tailFlags
	care     care
	doubt    doubt
	unseenA  float64 // of the bank's current, what an inverter's own counter does not see
	line     lineUp
	mixture

	since        balance
	outage       outage
	byOperator   bool // the next to act is the operator
	operatorCame bool // the last who acted was
	night        night
	daily        daily
	resets       resets
	months       [12]ledger
	books        *ledger
	extreme      extremes
	counts       counts
	flow         rainflows
	age          ageing
	rec          *recorder
	rng          rand.PCG
}

// extremes are the year's most and least.
type extremes struct {
	lowSoC, lowAt, coldC, hotC, chargeA float64
	socError                            float64 // of the present interval
}

// counts are the year's whole numbers.
type counts struct {
	restarts, suddenStops, starts, failures, segments, sleeps, visits, latches int
	highStops                                                                  int // of the inverter, above its highest voltage
	trips                                                                      [tripKinds]int
	openings                                                                   openings
}

type rainflows struct {
	*bank.Rainflow
	depth [20]float64 // cycles in steps of 5 % depth
	wear  float64
}

// Run simulates the settling days and then the year. With hours it records
// every interval. It panics on a broken law of its own (never on input that
// passed Check).
func (p *Plan) Run(hours bool) *Year { return p.RunForking(hours, false, nil) }

// RunForking is Run, and tells when anything waits for people, or, where they decide
// how long repairs take, is broken: once, as soon as it is, with the year as it was
// before. waits may be nil.
func (p *Plan) RunForking(hours, repairs bool, waits func(*Fork)) *Year {
	m, from := p.begun()
	return m.run(from, hours, repairs, waits)
}

// begun is a machine before the first settling day, and the number of that day's
// first row: those of the settling days, at the year's end, count up to −1.
func (p *Plan) begun() (m *machine, row int) {
	m = newMachine(p)
	settle := int(p.settleS / p.sky.stepS)
	m.now = -float64(settle) * p.sky.stepS
	m.care.fullAt, m.care.equalisedAt = m.now, m.now
	m.ready()
	return m, -settle
}

// run runs the rows from one on.
func (m *machine) run(from int, hours, repairs bool, waits func(*Fork)) *Year {
	var fork *Fork
	if waits != nil {
		fork = new(Fork)
	}
	between := forkDays * m.perDay()
	for i := from; i < len(m.p.sky.rows); i++ {
		if waits != nil && (i-from)%between == 0 {
			fork.lay(m, i)
		}
		m.number(i, hours)
		if waits != nil && (m.waited || repairs && m.broke()) {
			waits(fork)
			waits = nil
		}
	}
	return m.year()
}

// broke tells whether the link or modules were out of service at any time.
func (m *machine) broke() bool { return m.edge > 0 || m.out.phase != allIn }

// number runs one row by its number.
func (m *machine) number(i int, hours bool) {
	if i < 0 {
		m.interval(len(m.p.sky.rows) + i)
		return
	}
	if i == 0 {
		m.count(hours)
	}
	m.interval(i)
	m.observe()
}

// observe notes what is looked at at the end of each interval of the counted year.
func (m *machine) observe() {
	m.age.grow(m.whole, m.celsius, m.q/m.whole.qMax)
	m.daily.sample(m)
	if m.p.reports && !m.p.exact {
		m.doubt.sample(m)
	}
	if m.rec != nil {
		m.rec.interval(m)
	}
	m.nightfall()
}

func newMachine(p *Plan) *machine {
	m := &machine{p: p, whole: p, people: p.people, q: p.initialQ, soc: p.initialQ / p.qMax, drained: p.initialQ <= 0, celsius: p.sky.rows[0].envC}
	m.offsetV = p.loop.Begin(p.initialQ / p.qMax)
	m.resets.last = -p.settleS
	if a := p.acid; a != nil {
		m.wells = a.wells.RestedAt(m.soc, p.qMax)
		m.drained = m.wells.Level <= 0
	}
	m.line.base = p
	m.timers.clear()
	m.inrush.begin(m.counted)
	m.books = new(ledger)
	m.locate()
	m.link.edge = 0
	for _, q := range p.sets {
		if !q.grid { // one stream of draws, that of the set which leads
			m.rng.Seed(q.gen.Seed, 0x62616e6b)
			break
		}
	}
	m.ready()
	m.inv, m.tempDwell = running, math.Inf(-1)
	m.bound()
	return m
}

// locate sets every level from the state's values.
func (m *machine) locate() {
	m.knot = m.p.knotOf(m.q)
	m.lt = level(m.p.celsius, m.celsius)
	m.ls = level(m.p.limits.soc, m.soc)
	m.lv = level(m.p.volts, m.openCircuit())
	m.heaterOn = m.p.heaterW > 0 && m.lt <= m.p.t.heatOn
}

// trueSoC is the charge over the capacity, 1 where a little more is in.
func (m *machine) trueSoC() float64 { return m.p.socOf(m.q) }

// openCircuit is the bank's open-circuit voltage, V.
func (m *machine) openCircuit() float64 {
	if a := m.p.acid; a != nil {
		return a.volts.RestV(m.wells.Level)
	}
	return m.p.knots[m.knot].e + m.p.knots[m.knot].g*(m.q-m.p.knots[m.knot].q) + m.offsetV
}

// count ends the settling days: what was added so far is dropped.
func (m *machine) count(hours bool) {
	p := m.p
	m.now, m.counted, m.calm = 0, true, false
	m.care.longestS, m.fanSince = 0, 0
	m.line.begin()
	m.bypass.begin()
	m.restock()
	m.counts, m.tail.said = counts{}, false
	m.inrush.begin(m.counted)
	for i := range m.months {
		m.months[i] = ledger{lowSoC: 1}
	}
	m.extreme = extremes{lowSoC: math.Inf(1), coldC: math.Inf(1), hotC: math.Inf(-1)}
	m.outage.reset()
	m.night = night{}
	m.daily.begin(m)
	m.resets.count, m.resets.longest = 0, 0
	m.flow.Rainflow = bank.NewRainflow(64, m.countCycle)
	m.flow.Add(m.trueSoC())
	if hours {
		m.rec = newRecorder(p)
		m.rec.status = m.status()
	}
}

// interval runs one row of the input, in one internal step or several.
func (m *machine) interval(i int) {
	m.i, m.row = i, &m.p.sky.rows[i]
	if m.shifting.on {
		m.takeShifted()
	}
	if m.counted {
		m.books = &m.months[m.row.month]
	}
	end := m.now + m.p.sky.stepS
	if m.p.motors != nil {
		m.starts(end)
	}
	if m.p.steps > 1 {
		start := m.now
		for s := 1.; s < m.p.steps; s++ {
			m.until(start + s*m.p.sky.stepS/m.p.steps)
		}
	}
	m.until(end)
	m.countFan()
	if m.priced && m.counted {
		m.pay()
	}
}

// until runs segments up to a time.
func (m *machine) until(end float64) {
	still := 0
	m.stepEnd, m.predicted = end, false
	for m.now < end {
		before := m.now
		if !m.glides(end) {
			m.segment(end)
		}
		m.counts.segments++
		if m.now > before {
			still = 0
		} else if still++; still > 200 {
			panic("sim: time stands still: " + m.describe())
		}
	}
}
