package sim

import (
	"math"

	"bankyear/sim/genset"
)

// aside is the sources of AC that are not in charge, and which one is.
type aside struct {
	charge int // index of the source in charge
	states [maxSets]generator
	cooled bool // none of them cools down
	priced bool // there is a grid
	paid   acPaid
	grid   struct {
		edge int
		down bool
	}
}

// acPaid is the grid's energy that is paid for so far, J, by month.
type acPaid [12]float64

// state is the state of a source, in charge or not.
func (m *machine) state(set int) *generator {
	if set == m.charge {
		return &m.gen
	}
	return &m.aside.states[set]
}

// gridStep follows the outages of the grid, which drop what it carries at once.
func (m *machine) gridStep() bool {
	p := m.p.sets[0]
	if !p.grid || !m.counted || m.now < m.due[tGrid] && m.timers.running(tGrid) {
		return false
	}
	g := &m.aside.grid
	changed := false
	for g.edge < len(p.edges) && p.edges[g.edge] <= m.now {
		g.edge++
		g.down, changed = !g.down, true
	}
	m.stop(tGrid)
	if g.edge < len(p.edges) {
		m.set(tGrid, p.edges[g.edge])
	}
	if changed && g.down && m.charge == 0 && m.gen.phase != standing {
		if m.gen.phase == loaded {
			m.unload()
		}
		m.enter(standing, 0)
	}
	return changed
}

// able tells whether a source could run now.
func (m *machine) able(set int, f *flow) bool {
	p, s := m.p.sets[set], m.state(set)
	switch {
	case p.grid:
		return !m.aside.grid.down
	case s.phase == broken:
		return false
	case s.phase != standing:
		return true
	}
	return s.fuelL > 0 && (!s.forbids || p.gen.OverrideWhenDark && f.dark) && !m.capped(p, s)
}

// changeOver puts the first source in charge that is able to run, unless one
// that runs would have to give way to anything but the grid.
func (m *machine) changeOver(f *flow) bool {
	changed := false
	for set := range m.p.sets {
		if set != m.charge && m.ended(tAside+set) {
			s := &m.aside.states[set]
			s.leave(m.now)
			s.phase, changed = standing, true
			m.noteCooling()
		}
	}
	for set, p := range m.p.sets {
		if !m.able(set, f) {
			continue
		}
		if set == m.charge {
			break
		}
		switch m.gen.phase {
		case starting, retrying:
			if !p.grid {
				return changed
			}
			m.enter(standing, 0)
		case warming, loaded:
			if !p.grid {
				return changed
			}
			if m.gen.phase == loaded {
				m.unload()
			}
			m.enter(cooling, m.p.gen.CoolDownS)
		}
		m.takeOver(set)
		return true
	}
	return changed
}

// takeOver puts another source in charge.
func (m *machine) takeOver(set int) {
	m.stopWishes()
	a := &m.aside
	a.states[m.charge] = m.gen
	if m.timers.running(tGenerator) {
		m.set(tAside+m.charge, m.due[tGenerator])
		m.stop(tGenerator)
	}
	m.gen, m.charge, m.p = a.states[set], set, m.p.sets[set]
	if m.timers.running(tAside + set) {
		m.set(tGenerator, m.due[tAside+set])
		m.stop(tAside + set)
	}
	m.noteCooling()
}

func (m *machine) noteCooling() {
	a := &m.aside
	a.cooled = true
	for set := range m.p.sets {
		a.cooled = a.cooled && (set == m.charge || a.states[set].phase != cooling)
	}
}

// bookAside books the fuel and the hours of sets that cool down while another
// source is in charge.
func (m *machine) bookAside(tau float64) {
	for set, p := range m.p.sets {
		if s := &m.aside.states[set]; set != m.charge && s.phase == cooling {
			l := min(p.gen.NoLoadFuelLPerH()/3600*tau, s.fuelL)
			m.books.genS += tau
			m.books.fuelL += l
			s.fuelL -= l
			s.burntL += l
		}
	}
}

// ready makes the sources as they are before the settling days: exercised, with
// fuel without end.
func (m *machine) ready() {
	for set := range m.p.sets {
		s := m.state(set)
		s.fuelL, s.lastRun, s.orderedFor = math.Inf(1), m.now, math.Inf(1)
	}
	m.aside.cooled = true
	m.priced = len(m.p.sets) > 0 && m.p.sets[0].grid
}

// restock fills the fuel stores and begins the year's records.
func (m *machine) restock() {
	for set, p := range m.p.sets {
		s := m.state(set)
		s.leave(m.now)
		s.history, s.supply = history{}, supply{orderedFor: math.Inf(1)}
		if p.gen.FuelStoreL > 0 {
			s.fuelL = p.gen.FuelStoreL
		}
		m.awaitFuel(p, s)
		if len(p.edges) > 0 {
			m.set(tGrid, p.edges[0])
		}
	}
}

// repair makes every broken set ready again.
func (m *machine) repair() {
	if m.p.gen != nil && m.gen.phase == broken {
		m.enter(standing, 0)
	}
	for set := range m.p.sets {
		if set != m.charge && m.aside.states[set].phase == broken {
			m.stop(tAside + set)
			m.aside.states[set].phase = standing
		}
	}
}

// startByHand starts the set in charge, or the first that stands by with fuel,
// also in its no-start hours.
func (m *machine) startByHand() {
	for k := range len(m.p.sets) + 1 {
		set := k - 1 // the set in charge first
		if k == 0 {
			set = m.charge
		}
		p := m.p
		if len(p.sets) > 0 {
			p = p.sets[set]
		}
		if p.gen == nil || p.grid || m.state(set).phase != standing || m.state(set).fuelL <= 0 {
			continue
		}
		if m.gen.phase != standing && m.gen.phase != broken {
			return // one runs
		}
		if set != m.charge {
			m.takeOver(set)
		}
		m.signal(ruled)
		return
	}
}

// pay prices what the interval that has ended took from the grid, at the price
// of its start.
func (m *machine) pay() {
	p, month := m.p.sets[0], m.row.month
	taken := m.books.ac[fromGrid].made
	if taken == m.paid[month] {
		return
	}
	minute := int(math.Mod(m.now-m.p.sky.stepS, genset.DayS) / 60)
	m.books.gridCost += (taken - m.paid[month]) / 3.6e6 * p.price[minute]
	m.paid[month] = taken
}

// downS is how long the grid is not there in the year, s.
func (p *Plan) downS() float64 {
	sum, year := 0., float64(len(p.sky.rows))*p.sky.stepS
	for i := 0; i+1 < len(p.edges); i += 2 {
		sum += min(p.edges[i+1], year) - min(p.edges[i], year)
	}
	return sum
}
