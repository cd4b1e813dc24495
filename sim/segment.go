package sim

import "fmt"

const maxPasses = 16

// segment advances the state to the next event, at most to end: transitions at
// its start until nothing changes, flows, the event that comes first, the state
// exactly onto it, and the books. Where no automaton has anything to do the
// transitions are not looked at: they would change nothing.
func (m *machine) segment(end float64) {
	ohm := m.resistance(end - m.now)
	f := &m.solved
	m.align()
	m.solve(f, ohm)
	if m.p.acid != nil {
		if warm, differs := m.acidWarms(f, end-m.now); differs {
			ohm = warm
			m.solve(f, ohm)
		}
	}
	if m.p.located || !m.calm || m.stirs(f) {
		m.transit(f, ohm)
	}
	m.advance(f, min(end, m.soonest()))
}

// transit runs the transitions until nothing changes.
func (m *machine) transit(f *flow, ohm float64) {
	took, current := m.takesCharge(), f.current
	for pass := 0; m.transitions(f); pass++ {
		if pass == maxPasses {
			panic("sim: states do not settle: " + m.describe())
		}
		m.solve(f, ohm)
	}
	m.opening(took, current)
	m.gen.kept = m.keptReason()
	if m.rec != nil {
		m.rec.watch(m)
	}
	if f.dark && m.outage.cause == NoCause {
		m.outage.begin(m, m.darkCause(f))
		m.set(tVisit, m.nextVisit())
		if m.out.phase == outUnseen {
			m.set(tModule, m.now+dwellS) // somebody looks
		}
	}
	m.calm = m.settled()
	m.gliding = m.roomy()
	m.bound()
}

// transitions runs every automaton once, in a fixed order, and tells whether
// any changed.
func (m *machine) transitions(f *flow) bool {
	m.follow(f.volts)
	changed := m.watchFloor()
	changed = m.linkStep() || changed
	changed = m.moduleStep() || changed
	changed = m.lineStep() || changed
	changed = m.windowStep() || changed
	changed = m.protectStep(f) || changed
	changed = m.sleepStep() || changed
	changed = m.visitStep() || changed
	changed = m.lowEndStep(f) || changed
	changed = m.highEndStep(f) || changed
	changed = m.inverterStep(f) || changed
	changed = m.inrushStep() || changed
	changed = m.generatorStep(f) || changed
	changed = m.stageStep(f) || changed
	changed = m.fullStep(f) || changed
	changed = m.countStep(f) || changed
	changed = m.shedStep() || changed
	return m.shiftStep(f) || changed
}

// resistance is the bank's at the temperature that the middle of the time left
// will have, Ω, before the factor of SoC. That temperature stays in the zone:
// where it would leave it, the segment ends there.
func (m *machine) resistance(left float64) float64 {
	h, at := &m.p.heat, m.p.celsius
	toward := m.row.envC + m.lossW*h.perW
	middle := m.celsius + (toward-m.celsius)*min(1, h.rate*left/2)
	if m.lt < len(at) {
		middle = min(middle, at[m.lt])
	}
	if m.lt > 0 {
		middle = max(middle, at[m.lt-1])
	}
	m.middleC = middle
	z := &m.p.zones[m.lt]
	return z.r + z.rs*(middle-z.lo)
}

// align puts the knot on the right side where the charge stands on one; knots
// are entered by the event that reaches them.
func (m *machine) align() {
	for m.q >= m.p.q[m.knot+1] && m.knot < len(m.p.g)-1 {
		m.knot++
	}
	for m.q < m.p.q[m.knot] && m.knot > 0 {
		m.knot--
	}
}

func (m *machine) describe() string {
	return fmt.Sprintf("t %.9g s, q %.9g As, %.4f °C, reported %.6f, levels %d %d %d, trips %b, inverter %d, generator %d, stopped %v, full %v, shed %v",
		m.now, m.q, m.celsius, m.soc, m.lv, m.lt, m.ls, m.tripped, m.inv, m.gen.phase, m.stopped, m.full, m.shed)
}
