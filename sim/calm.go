package sim

import "math"

// settled tells whether no automaton has anything to do until something
// changes: nothing is tripped, stopped, asleep or dark, no generator runs, and
// no condition waits for its time. The longest time of an absorption may run, and the
// holds of a bank that looks full.
func (m *machine) settled() bool {
	waits := m.timers.count - m.timers.lasts
	for _, t := range [...]int{tAbsorb, tFull, tCount} {
		if m.running(t) {
			waits--
		}
	}
	m.holding = m.running(tFull) || m.running(tCount)
	return waits == 0 && m.tripped == 0 && !m.down && !m.lost && !m.asleep && m.latched == 0 && m.outage.cause == NoCause && !m.stopped && !m.sparing && !m.byHand && !m.tooHigh && m.discharging.stage == allOn && m.inv == running &&
		m.gen.phase == standing && !m.gen.rung && !m.gen.topUp && !m.gen.wanted && !m.gen.heavy && !m.gen.move && m.aside.cooled && !m.coldDischarge && !m.hotDischarge && !m.floorHit && !m.drained &&
		!m.peaking && !m.unrested && !m.atKnee
}

// roomy tells whether a settled machine's state has none of what a glide leaves
// to a segment.
func (m *machine) roomy() bool {
	p := m.p
	m.fullLevel = math.MaxInt
	if p.linked && !m.full {
		m.fullLevel = p.v.full
	}
	if p.reports {
		m.fullLevel = min(m.fullLevel, p.v.countFull)
	}
	return !p.located && p.acid == nil && p.loop.HalfV == 0 && !m.heaterOn && !m.stages[1].sourced && !m.lost &&
		m.out.phase != outUnseen && m.out.phase != outSeen
}

// stirs tells whether any automaton of a settled machine may have something to
// do in the flows of this moment. Thresholds of temperature and reported SoC are
// not asked for here: passing one that something waits for ends the calm.
func (m *machine) stirs(f *flow) bool {
	p, row := m.p, m.row
	m.follow(f.volts)
	switch {
	case m.lv < m.low || m.lv > m.high, m.soonest() <= m.now:
		return true
	case f.dark, f.collapse, f.current > p.chargeOverA, -f.current > p.dischargeA, p.discharge != nil && m.overDischarge(f), row.strained, row.acAll > p.startW:
		return true
	case m.readyQ() < p.zones[m.lt].floorTop && m.readyQ() < m.floorQ(m.celsius):
		return true
	case (m.coldWindow || m.hotWindow) && f.current >= p.chargeSeenA:
		return true
	}
	if !m.following() && (row.solarInW > 0 != m.stages[0].sourced || f.acThere != m.stages[1].sourced || f.mode == constant && m.stageActs(f)) {
		return true
	}
	if f.current < 0 || f.mode == apart {
		m.tail.keep(false, m.counts.segments)
		return m.holding
	}
	return !m.holdsOn(f.current)
}

// holdsOn tells whether the holds of a bank that looks full go on at a charge current,
// and none begins.
func (m *machine) holdsOn(current float64) bool {
	p := m.p
	full := m.following() && m.lv > p.v.full && !m.full
	if full && current > p.fullA*clearly {
		m.tail.full, full = false, false
	}
	if full != m.running(tFull) {
		return false
	}
	if p.exact || !p.reports {
		return true
	}
	count := m.lv > p.v.countFull
	if count && current > p.counter.FullA*clearly {
		m.tail.count, count = false, false
	}
	return m.tail.keep(count, m.counts.segments) || count == m.running(tCount)
}

// stageActs tells whether the solar chargers' cycle may have something to do where
// a voltage is held: an absorption that begins, or whose tail is near. A float
// ends by a level of the voltage.
func (m *machine) stageActs(f *flow) bool {
	if f.genInput > 0 || !m.stages[0].float && (!m.running(tAbsorb) || m.tailSeen(f) <= m.stageSet().tailA*clearly) {
		return true
	}
	if !m.stages[0].float {
		m.tail.stage[0] = false
	}
	return false
}

// bounds are the levels of the voltage between which no threshold lies that
// something waits for in the present state, and the thresholds at their ends.
type bounds struct {
	low, high   int
	lowV, highV float64
	fromV, toV  float64 // beyond these the level has to follow the voltage
	fullLevel   int     // level of the voltage above which a charged bank may be full, or said to be
	chargeV     float64 // voltage from which it may be
}
