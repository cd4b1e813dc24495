package sim

import (
	"math"
	"math/rand/v2"

	"bankyear/sim/genset"
)

// genPhase is what the generator does.
type genPhase uint8

const (
	standing genPhase = iota
	starting          // start delay
	warming
	loaded
	cooling
	retrying // waits after a failed start
	broken   // waits for somebody to repair it
)

// generator is the set's state.
type generator struct {
	phase   genPhase
	tries   int
	topsUp  bool // this run is a top-up and stops at its own SoC
	topUp   bool // the top-up is wanted
	rung    bool // a rung of the ladder of voltages asks for it
	fuelL   float64
	forbids bool   // now is in the no-start hours
	wanted  bool   // a rule asks for a start
	kept    Reason // why a set that is wanted does not run
}

// generatorStep starts and stops the generator.
func (m *machine) generatorStep(f *flow) bool {
	g := m.p.gen
	if g == nil {
		return false
	}
	s := &m.gen
	m.clockStep()
	if s.fuelL <= 0 && (s.phase == warming || s.phase == loaded || s.phase == cooling) { // stalls
		m.stop(tGeneratorMin)
		m.stop(tGeneratorMax)
		m.stages[1] = stage{}
		return m.enter(standing, 0)
	}
	switch s.phase {
	case standing:
		if !m.wantsGenerator(f) {
			return false
		}
		s.tries, s.topsUp, s.topUp, s.rung = 0, s.topUp, false, false
		m.stopLadder()
		return m.enter(starting, max(g.StartDelayS, dwellS)) // rules that start and stop at once make no loop without time
	case starting:
		if !m.ended(tGenerator) {
			return false
		}
		if g.FailedStartFraction > 0 && rand.New(&m.rng).Float64() < g.FailedStartFraction {
			m.counts.failures++
			if s.tries++; s.tries >= g.StartTries {
				return m.enter(broken, g.CallOutH*3600)
			}
			return m.enter(retrying, g.RetryS)
		}
		m.counts.starts++
		return m.enter(warming, g.WarmUpS)
	case retrying:
		return m.ended(tGenerator) && m.enter(starting, g.StartDelayS)
	case broken:
		return m.ended(tGenerator) && m.enter(standing, 0)
	case warming:
		if !m.ended(tGenerator) {
			return false
		}
		m.set(tGeneratorMin, m.now+g.MinRunS)
		m.set(tGeneratorMax, m.now+g.MaxRunH*3600)
		return m.enter(loaded, 0)
	case loaded:
		atMost := m.ended(tGeneratorMax)
		atLeast := m.ended(tGeneratorMin) || !m.timers.running(tGeneratorMin)
		if !atMost && !(atLeast && m.wantsStop(f)) {
			return false
		}
		m.stop(tGeneratorMin)
		m.stop(tGeneratorMax)
		m.stages[1] = stage{}
		return m.enter(cooling, g.CoolDownS)
	case cooling:
		return m.ended(tGenerator) && m.enter(standing, 0)
	}
	return false
}

// enter begins a phase that lasts for a time; 0 is until something ends it.
func (m *machine) enter(phase genPhase, seconds float64) bool {
	m.gen.phase = phase
	m.stop(tGenerator)
	if seconds > 0 || phase == starting || phase == warming || phase == cooling {
		m.set(tGenerator, m.now+seconds)
	}
	return true
}

// wantsGenerator tells whether any rule asks for a start that is allowed now.
func (m *machine) wantsGenerator(f *flow) bool {
	p, g, s := m.p, m.p.gen, &m.gen
	s.rung = m.ladder(s.rung)
	wish := s.rung || s.topUp || p.reports && g.StartSoCFraction > 0 && m.ls <= p.s.genStart
	s.wanted = wish
	if !wish || s.fuelL <= 0 {
		return false
	}
	if g.StartSignal == "by_hand" || !f.alive && g.SignalFedFrom != "own_battery" {
		return false // nobody gives the signal, or nothing feeds it
	}
	return !s.forbids || g.OverrideWhenDark && f.dark
}

func (m *machine) stopLadder() {
	for k := range m.p.v.ladder {
		m.stop(tLadder + k)
	}
}

// ladder tells whether the voltage has stayed below any rung for its time, and
// is not back above every rung since, unless the load is still off.
func (m *machine) ladder(asked bool) bool {
	low := false
	for k, at := range m.p.v.ladder {
		below := m.lv <= at
		low = low || below
		if m.held(tLadder+k, below && !asked, m.p.gen.StartBelow[k].HoldS) {
			asked = true
		}
	}
	return asked && (low || m.stopped)
}

// wantsStop tells whether any of the stop rules is met: reported SoC, tail
// current, or the end of charge.
func (m *machine) wantsStop(f *flow) bool {
	p, g := m.p, m.p.gen
	stop := p.s.genStop
	if m.gen.topsUp {
		stop = p.s.topUpTo
	}
	switch {
	case p.reports && stop >= 0 && m.ls > stop:
		return true
	case m.full || m.byStages(1) && m.stages[1].float:
		return true
	case g.StopTailA > 0 && f.mode == constant && f.current <= g.StopTailA+justOffA:
		return true
	}
	return false
}

// clockStep follows the hours in which the set may not start, and the top-up
// before them.
func (m *machine) clockStep() {
	p, g, s := m.p, m.p.gen, &m.gen
	if len(p.noStart) == 0 && g.TopUp == nil || m.timers.running(tClock) && m.now < m.due[tClock] {
		return
	}
	day := math.Floor(m.now/genset.DayS) * genset.DayS
	second := m.now - day
	next := math.Inf(1)
	consider := func(at float64) {
		if at <= second {
			at += genset.DayS
		}
		next = min(next, day+at)
	}
	s.forbids = false
	for _, span := range p.noStart {
		s.forbids = s.forbids || span.Has(int(second))
		consider(float64(span.FromS))
		consider(float64(span.ToS % genset.DayS))
	}
	if t := g.TopUp; t != nil {
		consider(p.topUpS)
		s.topUp = second == p.topUpS && m.ls <= p.s.topUpIf && p.reports
	}
	m.set(tClock, next)
}

// fuelRate is the fuel that the present phase burns at an electrical output,
// l/s.
func (m *machine) fuelRate(outputW float64) float64 {
	g := m.p.gen
	switch m.gen.phase {
	case warming, cooling:
		return g.NoLoadFuelLPerH() / 3600
	case loaded:
		return g.FuelLPerH(max(outputW/1000, g.MinLoadKW())) / 3600
	}
	return 0
}
