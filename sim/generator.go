package sim

import (
	"math/rand/v2"
)

// genPhase is what the source of AC that is in charge does.
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

// runKind is what a run is for.
type runKind uint8

const (
	noRun      runKind = iota
	ruled              // by reported SoC or voltage
	toppingUp          // before the no-start hours, up to its own SoC
	carrying           // the load is heavy
	exercising         // for so long, exempt from the minimum run
)

// generator is a set's state.
type generator struct {
	phase   genPhase
	run     runKind // what this run is for
	tries   int
	rung    bool // a rung of the ladder of voltages asks for it
	heavy   bool // the load asks for it
	topUp   bool // the top-up is wanted
	move    bool // an exercise is wanted
	refusal bool // in this run the bank has refused all charge for the time
	fuelL   float64
	forbids bool   // now is in the no-start hours
	wanted  bool   // a rule asks for a start
	kept    Reason // why a set that is wanted does not run

	since    float64 // the present phase began
	loadedAt float64 // the present run on load, or the day's part of it, began
	runFrom  float64 // the present run on load began
	todayS   float64 // on load today, the present run left out
	lastRun  float64 // end of the last run on load as long as an exercise
	supply
	history
}

// history is what a set has done in the counted year.
type history struct {
	runS             float64 // warm-up and cool-down included
	starts, failures int
	burntL           float64
}

// generatorStep starts and stops the source of AC that is in charge, and changes
// over to another.
func (m *machine) generatorStep(f *flow) bool {
	g := m.p.gen
	if g == nil {
		return false
	}
	s := &m.gen
	m.clockStep()
	changed := m.fuelStep()
	if len(m.p.sets) > 1 || m.p.grid {
		if m.gridStep() || m.changeOver(f) {
			return true
		}
	}
	if s.fuelL <= 0 && (s.phase == warming || s.phase == loaded || s.phase == cooling) { // stalls
		if s.phase == loaded {
			m.unload()
		}
		return m.enter(standing, 0)
	}
	switch s.phase {
	case standing:
		wish := m.wantsGenerator(f)
		if wish == noRun {
			return changed
		}
		return m.signal(wish)
	case starting:
		if !m.ended(tGenerator) {
			return changed
		}
		if g.FailedStartFraction > 0 && rand.New(&m.rng).Float64() < g.FailedStartFraction {
			m.counts.failures++
			s.failures++
			if s.tries++; s.tries >= g.StartTries {
				m.waited = true
				return m.enter(broken, m.people.callOutS[m.charge])
			}
			return m.enter(retrying, g.RetryS)
		}
		if !m.p.grid {
			m.counts.starts++
		}
		s.starts++
		return m.enter(warming, g.WarmUpS)
	case retrying:
		return m.ended(tGenerator) && m.enter(starting, g.StartDelayS) || changed
	case broken:
		return m.ended(tGenerator) && m.enter(standing, 0) || changed
	case warming:
		if !m.ended(tGenerator) {
			return changed
		}
		m.takeLoad()
		return m.enter(loaded, 0)
	case loaded:
		m.watchRefusal(f)
		atMost := m.ended(tGeneratorMax)
		if atMost && s.run == exercising && m.bySoC() { // it is wanted anyhow
			s.run = ruled
			m.limitRun()
			return true
		}
		atLeast := m.ended(tGeneratorMin) || !m.timers.running(tGeneratorMin)
		if !atMost && !(atLeast && m.wantsStop(f)) {
			return changed
		}
		m.unload()
		return m.enter(cooling, g.CoolDownS)
	case cooling:
		return m.ended(tGenerator) && m.enter(standing, 0) || changed
	}
	return changed
}

// signal gives the start signal, for a run: what was wanted before is done by it.
func (m *machine) signal(run runKind) bool {
	s := &m.gen
	s.tries, s.run, s.topUp, s.rung, s.heavy, s.move = 0, run, false, false, false, false
	m.stopWishes()
	return m.enter(starting, max(m.p.gen.StartDelayS, dwellS)) // rules that start and stop at once make no loop without time
}

// enter begins a phase that lasts for a time; 0 is until something ends it.
func (m *machine) enter(phase genPhase, seconds float64) bool {
	m.gen.leave(m.now)
	m.gen.phase = phase
	m.stop(tGenerator)
	if seconds > 0 || phase == starting || phase == warming || phase == cooling {
		m.set(tGenerator, m.now+seconds)
	}
	return true
}

// leave ends a phase, and counts it when the set ran.
func (s *generator) leave(now float64) {
	if s.phase == warming || s.phase == loaded || s.phase == cooling {
		s.runS += now - s.since
	}
	s.since = now
}

// takeLoad begins a run on load.
func (m *machine) takeLoad() {
	s := &m.gen
	s.loadedAt, s.runFrom, s.refusal = m.now, m.now, false
	m.limitRun()
}

// limitRun sets the ends of the present run: the minimum run, and the sooner of
// the maximum run, the exercise and the day's cap.
func (m *machine) limitRun() {
	g, s := m.p.gen, &m.gen
	m.stop(tGeneratorMin)
	most := s.runFrom + g.MaxRunH*3600
	if s.run == exercising {
		most = s.runFrom + g.Exercise.RunS
	} else if least := s.runFrom + g.MinRunS; least > m.now || g.MinRunS == 0 {
		m.set(tGeneratorMin, least)
	}
	if g.DailyCapH > 0 {
		most = min(most, s.loadedAt+g.DailyCapH*3600-s.todayS)
	}
	m.stop(tGeneratorMax)
	if most < forever {
		m.set(tGeneratorMax, most)
	}
}

// forever is beyond every year, s.
const forever = 1e12

// unload ends a run on load.
func (m *machine) unload() {
	g, s := m.p.gen, &m.gen
	m.stop(tGeneratorMin)
	m.stop(tGeneratorMax)
	m.stop(tRefused)
	m.stages[1] = stage{}
	s.todayS += m.now - s.loadedAt
	if e := g.Exercise; e != nil && m.now-s.runFrom >= e.RunS-1e-6 {
		s.lastRun = m.now
	}
	s.refusal = false
	m.order()
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
