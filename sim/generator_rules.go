package sim

import (
	"math"

	"bankyear/sim/genset"
)

// bySoC tells whether the reported SoC asks for a run.
func (m *machine) bySoC() bool {
	return m.p.reports && m.p.gen.StartSoCFraction > 0 && m.ls <= m.p.s.genStart
}

// wantsGenerator is the run that a rule asks for and that may begin now.
func (m *machine) wantsGenerator(f *flow) runKind {
	p, g, s := m.p, m.p.gen, &m.gen
	s.rung = m.ladder(f, s.rung)
	m.loadRule()
	wish := noRun
	switch {
	case p.grid && (p.always || f.dark), m.bySoC(), s.rung:
		wish = ruled
	case s.topUp:
		wish = toppingUp
	case s.heavy:
		wish = carrying
	case s.move:
		wish = exercising
	}
	s.wanted = wish != noRun
	switch {
	case !s.wanted, s.fuelL <= 0, p.grid && m.aside.grid.down, m.capped(p, s), s.forbids && !(g.OverrideWhenDark && f.dark):
		return noRun
	case g.StartSignal == "by_hand", (!f.alive || m.siteStopped()) && g.SignalFedFrom != "own_battery":
		return noRun // nobody gives the signal, or nothing feeds it
	}
	return wish
}

// stopWishes clears the timers of rules that ask for a start.
func (m *machine) stopWishes() {
	for k := range m.p.v.ladder {
		m.stop(tLadder + k)
	}
	m.stop(tHeavy)
}

// loadRule follows the AC load: above the starting one for its time it asks for
// a run, until it is not above the stopping one.
func (m *machine) loadRule() {
	p, s := m.p, &m.gen
	if p.startW > math.MaxFloat64 {
		return
	}
	ac := m.asked()
	if m.held(tHeavy, !s.heavy && ac > p.startW, p.gen.StartLoadHoldS) {
		s.heavy = true
	}
	s.heavy = s.heavy && ac > p.stopW
}

// asked is the AC load that is not shed, W.
func (m *machine) asked() float64 {
	if m.shed {
		return m.row.acEss
	}
	return m.row.acAll
}

// wantsStop tells whether any of the stop rules is met: reported SoC, tail
// current, the end of charge, or a bank that refuses it; a run for a heavy load
// ends with that, and none ends before, nor while the site lives on the set alone.
func (m *machine) wantsStop(f *flow) bool {
	p, g, s := m.p, m.p.gen, &m.gen
	stop := p.s.genStop
	if s.run == toppingUp {
		stop = p.s.topUpTo
	}
	switch {
	case m.staysOn(f):
		return false
	case s.run == carrying && !m.bySoC(), s.refusal:
		return true
	case p.reports && stop >= 0 && m.ls > stop:
		return true
	case m.full || m.byStages(1) && m.stages[1].float:
		return true
	case g.StopTailA > 0 && (f.mode == constant || f.mode == pushed) && f.current <= g.StopTailA+justOffA:
		return true
	}
	return false
}

// staysOn tells whether no stop rule is asked: for what the run is for, or because the
// site would be dark.
func (m *machine) staysOn(f *flow) bool {
	p := m.p
	return p.always || m.gen.run == exercising || m.asked() > p.stopW || m.laid || p.grid && !m.canInvert(f) || m.aloneOnSite()
}

// misledOn tells whether a source of AC is on load that would stand at the true state of
// charge: that is where its rule stops it, and the reported one is below.
func (m *machine) misledOn(soc float64) bool {
	g, run := m.p.gen, m.gen.run
	stop := g.StopSoCFraction
	if run == toppingUp {
		stop = g.TopUp.RunToSoCFraction
	}
	if m.gen.phase != loaded || stop <= 0 || m.soc >= stop || soc < stop || run == carrying && !m.bySoC() {
		return false
	}
	return !m.staysOn(&m.solved)
}

// aloneOnSite tells whether a source of AC that is on load is all that serves the site:
// past an inverter that does not run, which passes AC on also without a bank, or by a
// bus that its charger carries while the bank is off it. Nobody has it stop then
// (common practice, no source).
func (m *machine) aloneOnSite() bool {
	p := m.p
	return m.inv != running && p.inverter.passesAlone && !m.siteStopped() || !m.connected() && p.genStartsBus
}

// watchRefusal notes when a bank has refused all charge for the time while the
// inverter could carry the load and no rule would start the set again.
func (m *machine) watchRefusal(f *flow) {
	after := m.p.gen.StopRefusedS
	if after == 0 {
		return
	}
	refuses := m.refuses() && m.canInvert(f) && math.IsInf(m.bearsS(), 1) && !m.bySoC() && !m.onLadder(f)
	switch {
	case !refuses:
		m.stop(tRefused)
		m.gen.refusal = false
	case !m.gen.refusal:
		m.gen.refusal = m.held(tRefused, true, after)
	}
}

// refuses tells whether the bank takes no charge: by a trip, by its temperature
// as the link reports it, or because the chargers are stopped; full is not that.
func (m *machine) refuses() bool {
	return m.tripped&chargeTrips != 0 || m.following() && !m.full && m.zoneCeiling() <= 0 || m.acStopped()
}

// capped tells whether a set has run its daily hours.
func (m *machine) capped(p *Plan, s *generator) bool {
	most := p.gen.DailyCapH * 3600
	return most > 0 && s.todayS >= most-1e-6
}

// clockStep follows the hours in which each set may not start, the top-up before
// them, the exercise and the day's cap.
func (m *machine) clockStep() {
	if !m.p.clocked || m.timers.running(tClock) && m.now < m.due[tClock] {
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
	for _, p := range m.p.sets {
		g, s := p.gen, m.state(p.set)
		s.forbids = false
		for _, span := range p.noStart {
			s.forbids = s.forbids || span.Has(int(second))
			s.topUp = s.topUp && second != float64(span.FromS)
			consider(float64(span.FromS))
			consider(float64(span.ToS % genset.DayS))
		}
		if t := g.TopUp; t != nil {
			consider(p.topUpS)
			if second == p.topUpS {
				s.topUp = m.ls <= p.s.topUpIf && p.reports
			}
		}
		if e := g.Exercise; e != nil {
			consider(p.exerciseS)
			if second == p.exerciseS {
				s.move = m.now-s.lastRun >= (e.EveryDays-.5)*genset.DayS
			}
		}
		if g.DailyCapH > 0 {
			consider(0)
			if second == 0 {
				m.newDay(s)
			}
		}
	}
	m.set(tClock, next)
}

// newDay begins a day's cap anew.
func (m *machine) newDay(s *generator) {
	s.todayS = 0
	if s.phase == loaded {
		s.loadedAt = m.now
		m.limitRun()
	}
}
