package sim

import (
	"math"
	"time"

	"bankyear/weather"
)

// outPhase is where modules that drop out are in their course.
type outPhase uint8

const (
	allIn     outPhase = iota
	outUnseen          // out, and nobody knows
	outSeen            // out, found, and waiting for repair
	backIn
)

// moduleOut is the state of modules that drop out of service.
type moduleOut struct {
	phase         outPhase
	outS, unseenS float64 // time out of service, and of this unseen
}

// fewer is the plan while modules are out: the settings of chargers and controllers
// stay what they were, and a shunt's counter keeps its capacity.
type fewer struct {
	plan        *Plan
	atS, foundS float64 // when they drop out, and how long until found
}

// compileFewer compiles the bank without the modules that drop out.
func compileFewer(p *Plan, s *System, w *weather.Year, l *Load) {
	o := &s.Bank.ModulesOut
	if o.Modules == 0 {
		return
	}
	at, err := o.At()
	if err != nil {
		panic("sim: modules out not checked: " + err.Error())
	}
	q := &Plan{sky: p.sky, stepS: p.stepS, sagOhm: p.sagOhm}
	q.inverter = p.inverter
	compileElectrical(q, lessModules(s, o.Modules), w, l, p)
	p.fewer = &fewer{plan: q, atS: at.Sub(time.Date(w.CalendarYear, 1, 1, 0, 0, 0, 0, time.UTC)).Seconds(),
		foundS: o.FoundAfterH * 3600}
}

// moduleStep takes modules out of the bank, and puts them back once they are
// found missing and repaired. Charge goes and comes in proportion.
func (m *machine) moduleStep() bool {
	d := m.whole.fewer
	if d == nil || !m.counted {
		return false
	}
	o := &m.out
	switch o.phase {
	case allIn:
		if m.now < d.atS {
			if !m.timers.running(tModule) {
				m.set(tModule, d.atS)
			}
			return false
		}
		m.stop(tModule)
		o.phase = outUnseen
		m.exchange(d.plan)
		if m.following() {
			m.set(tModule, m.now+max(d.foundS, dwellS))
		}
	case outUnseen:
		if !m.ended(tModule) {
			return false
		}
		m.stop(tModule)
		o.phase = outSeen
		m.set(tModule, m.now+max(m.people.fixS, dwellS))
	case outSeen:
		if !m.ended(tModule) {
			return false
		}
		o.phase = backIn
		m.exchange(m.whole)
	default:
		return false
	}
	return true
}

// exchange goes on with another number of modules at the same state of charge. It
// tells the charge that this leaves behind, As.
func (m *machine) exchange(p *Plan) (behindAs float64) {
	if p = p.with(m.charge); m.fanOn {
		p = p.twin
	}
	soc := m.q / m.p.qMax
	behindAs = m.q - soc*p.qMax
	m.p, m.predicted = p, false
	m.q = soc * p.qMax
	m.knot = p.knotOf(m.q)
	m.lossW *= math.Min(1, p.modules/m.whole.modules)
	m.lv, m.lt, m.ls = level(p.volts, m.openCircuit()), level(p.celsius, m.celsius), level(p.limits.soc, m.soc)
	return behindAs
}
