package sim

import (
	"time"

	"bankyear/sim/bank"
	"bankyear/weather"
)

// chainState is where a break of the link between the modules is in its course.
type chainState uint8

const (
	chainWhole chainState = iota
	chainBroken
	chainMended
)

// chainPlan is the bank while the link from module to module is broken: what is
// behind the break is off the bus or stays on it, and the ceilings take it for out
// or for still there.
type chainPlan struct {
	plan        *Plan
	atS, untilS float64
}

func compileChain(p *Plan, s *System, w *weather.Year, c *compiling) {
	b := s.Bank.LinkChain
	if b == nil || !p.linked {
		return
	}
	at, err := b.At()
	if err != nil {
		panic("sim: link chain not checked: " + err.Error())
	}
	seen, all := b.BreakAfter, s.Bank.Modules
	on := all
	if b.Behind == "open" {
		on = seen
	}
	q := c.withFewer(p, s, all-on, false)
	known := on
	switch b.Assume {
	case "out":
		known = seen
	case "there":
		known = all
	}
	q.speakFor(float64(known) / float64(on))
	compileCascade(q, lessModules(s, all-on), c)
	from := at.Sub(time.Date(w.CalendarYear, 1, 1, 0, 0, 0, 0, time.UTC)).Seconds()
	p.chain = &chainPlan{plan: q, atS: from, untilS: from + b.Hours*3600}
}

// speakFor scales what the BMS tells of the bank: for other modules than are on
// the bus.
func (p *Plan) speakFor(part float64) {
	for _, q := range p.alike() {
		q.ceilingA *= part
		q.fullA *= part
		if q.twin != nil {
			q.twin.ceilingA, q.twin.fullA = q.ceilingA, q.fullA
		}
	}
	for i := range p.zones {
		p.zones[i].ceiling *= part
		p.zones[i].ceilings *= part
	}
	if d := p.discharge; d != nil {
		d.mostA *= part
		for i := range d.at {
			d.at[i] *= part
			d.slope[i] *= part
			d.leastA[i] *= part
		}
	}
}

// chainStep breaks and mends the link between the modules.
func (m *machine) chainStep() bool {
	c, l := m.whole.chain, &m.line
	if c == nil || !m.counted || l.chain == chainMended {
		return false
	}
	at, to := c.atS, c.plan
	if l.chain == chainBroken {
		at, to = c.untilS, m.whole
	}
	if m.now < at {
		if !m.timers.running(tChain) {
			m.set(tChain, at)
		}
		return false
	}
	m.stop(tChain)
	m.closeModules()
	if l.chain++; l.chain == chainBroken {
		l.chainAs = m.exchange(to)
	} else {
		back := m.q // charge of what stayed on the bus
		m.exchange(to)
		m.bring(back + l.chainAs - m.q)
	}
	l.base = to
	return true
}

// lessModules is a system with fewer modules, whose shunt keeps its capacity.
func lessModules(s *System, fewer int) *System {
	less := *s
	less.Bank.Modules -= fewer
	less.Bank.ModulesOut = bank.ModulesOut{}
	if less.Bank.Estimate.Kind != "bms" && less.Bank.Estimate.AssumedAh == 0 {
		less.Bank.Estimate.AssumedAh = s.Bank.Module.CapacityAh * float64(s.Bank.Modules)
	}
	return &less
}

// compiling is what every plan of one bank is made with.
type compiling struct {
	w *weather.Year
	l *Load
}

// withFewer is the plan with fewer modules on the bus, which stay warm with the
// others; levelled ones have no spread of cells.
func (c *compiling) withFewer(p *Plan, s *System, fewer int, levelled bool) *Plan {
	less := lessModules(s, fewer)
	if levelled {
		less.Bank.Module.Protection.OverSpreadV = 0
	}
	q := &Plan{sky: p.sky, stepS: p.stepS, sagOhm: p.sagOhm}
	q.inverter = p.inverter
	compileElectrical(q, less, c.w, c.l, p)
	q.warmLike(p)
	return q
}
