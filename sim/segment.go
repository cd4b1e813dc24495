package sim

import "fmt"

const maxPasses = 16

// segment advances the state to the next event, at most to end: transitions at
// its start until nothing changes, flows, the event that comes first, the state
// exactly onto it, and the books. Where no automaton has anything to do the
// transitions are not looked at: they would change nothing.
func (m *machine) segment(end float64) {
	f := &m.solved
	m.align()
	m.solve(f)
	if m.p.acid != nil && m.acidWarms(f) {
		m.solve(f)
	}
	if m.p.located || !m.calm || m.stirs(f) {
		m.transit(f)
		if m.calm && m.glides(end) {
			return
		}
	}
	m.advance(f, min(end, m.soonest()))
}

// transit runs the transitions until nothing changes.
func (m *machine) transit(f *flow) {
	took, current := m.takesCharge(), f.current
	for pass := 0; m.transitions(f); pass++ {
		if pass == maxPasses {
			panic("sim: states do not settle: " + m.describe())
		}
		m.solve(f)
	}
	m.protectRest(f)
	m.opening(took, current)
	m.gen.kept = m.keptReason()
	if m.rec != nil {
		m.rec.watch(m)
	}
	if f.dark && m.outage.cause == NoCause {
		m.outage.begin(m, m.darkCause(f))
		m.set(tVisit, m.nextVisit(dwellS))
		if m.out.phase == outUnseen {
			m.set(tModule, m.now+dwellS) // somebody looks
		}
		m.shedByHand()
	}
	m.calm = m.settled()
	m.gliding = m.roomy()
	m.bound()
}

// transitions runs every automaton once, in a fixed order, and tells whether
// any changed. Where the inverter changes the others see the flows without it first:
// a load that it gives up pulls no voltage down and no current up.
func (m *machine) transitions(f *flow) bool {
	m.follow(f.inner())
	if m.lb = m.lv; f.volts != f.inner() {
		m.lb = level(m.p.volts, f.volts)
	}
	if m.inverterStep(f) {
		return true
	}
	changed := m.watchFloor()
	changed = m.linkStep() || changed
	changed = m.moduleStep() || changed
	changed = m.lineStep() || changed
	changed = m.windowStep() || changed
	changed = m.protectStep(f) || changed
	changed = m.sleepStep() || changed
	changed = m.visitStep() || changed
	changed = m.lowEndStep(f) || changed
	changed = m.dischargeStep(f) || changed
	changed = m.highEndStep(f) || changed
	changed = m.inrushStep() || changed
	changed = m.generatorStep(f) || changed
	changed = m.bypassStep(f) || changed
	changed = m.stageStep(f) || changed
	changed = m.fullStep(f) || changed
	changed = m.countStep(f) || changed
	changed = m.shedStep(f) || changed
	return m.shiftStep(f) || changed
}

// steadyS is how long a segment has to be for the next to have a resistance of its
// own: an event that comes at once after another then finds the voltage where that
// one has left it, s.
const steadyS = 60

// predict finds the temperature that the middle of the time left of the internal
// step will have, and the bank's resistance at it before the factor of SoC. That
// temperature stays in the zone: where it would leave it, a segment ends there.
func (m *machine) predict() {
	h, z := &m.p.heat, &m.p.zones[m.lt]
	k := h.rate * (m.stepEnd - m.now) * .5
	if k > 1 {
		k = 1
	}
	middle := m.celsius + (m.row.envC+m.lossW*h.perW-m.celsius)*k
	if middle > z.to {
		middle = z.to
	}
	if middle < z.from {
		middle = z.from
	}
	m.middleC, m.ohm, m.predicted = middle, z.r+z.rs*(middle-z.lo), true
}

// align puts the knot on the right side where the charge stands on one; knots
// are entered by the event that reaches them.
func (m *machine) align() {
	for m.q >= m.p.knots[m.knot+1].q && m.knot < len(m.p.knots)-2 {
		m.knot++
	}
	for m.q < m.p.knots[m.knot].q && m.knot > 0 {
		m.knot--
	}
}

func (m *machine) describe() string {
	return fmt.Sprintf("t %.9g s, q %.9g As, %.4f °C, reported %.6f, levels %d %d %d, trips %b, inverter %d, generator %d, stopped %v, full %v, shed %v",
		m.now, m.q, m.celsius, m.soc, m.lv, m.lt, m.ls, m.tripped, m.inv, m.gen.phase, m.stopped, m.full, m.shed)
}
