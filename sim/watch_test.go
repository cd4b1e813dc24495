package sim

import "math"

// Moment is what can be measured at the modules of a whole bank at a moment: nothing
// of what its protection makes of it.
type Moment struct {
	S           float64 // seconds after the year's start
	Amps, Volts float64 // of the bank at its terminals, charge positive
	CellC       float64
	Linked      bool    // the chargers and the inverter hear the BMS
	InverterW   float64 // what the inverter takes from the DC bus
	VisitedS    float64 // when somebody was there last; −Inf for never
}

// Watch runs settling days and year in segments alone, and shows the start and the end
// of each that takes time. TestWatch holds its year against that of Run.
func (p *Plan) Watch(visit func(from, to Moment)) *Year {
	m, first := p.Located().begun()
	visited := math.Inf(-1)
	for i := first; i < len(p.sky.rows); i++ {
		if i == 0 {
			m.count(false)
		}
		m.i = (i + len(p.sky.rows)) % len(p.sky.rows)
		m.row = &p.sky.rows[m.i]
		if m.shifting.on {
			m.takeShifted()
		}
		if m.counted {
			m.books = &m.months[m.row.month]
		}
		start := m.now
		if p.motors != nil {
			m.starts(start + p.sky.stepS)
		}
		for s := 1.; s <= p.steps; s++ {
			m.stepEnd, m.predicted = start+s*p.sky.stepS/p.steps, false
			if s == p.steps {
				m.stepEnd = start + p.sky.stepS
			}
			for m.now < m.stepEnd {
				visits := m.counts.visits
				from := Moment{S: m.now, CellC: m.celsius}
				m.segment(m.stepEnd)
				m.counts.segments++
				if m.counts.visits != visits {
					visited = from.S
				}
				f := &m.solved
				from.Amps, from.Volts, from.Linked, from.InverterW, from.VisitedS = f.current, f.volts, m.following(), f.invIn, visited
				to := from
				to.S, to.Amps, to.Volts, to.CellC = m.now, m.stretch.i1, m.stretch.v1, m.celsius
				if to.S > from.S {
					visit(from, to)
				}
			}
		}
		m.countFan()
		if m.priced && m.counted {
			m.pay()
		}
		if i >= 0 {
			m.observe()
		}
	}
	return m.year()
}
