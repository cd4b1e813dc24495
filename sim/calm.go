package sim

import "math"

// settled tells whether no automaton has anything to do until something
// changes: nothing is tripped, stopped, asleep or dark, no generator runs, and
// no condition waits for its time. The longest time of an absorption may run.
func (m *machine) settled() bool {
	absorbs := 0
	if m.running(tAbsorb) {
		absorbs = 1
	}
	return m.timers.count-absorbs == m.timers.lasts && m.tripped == 0 && !m.down && !m.lost && !m.asleep && m.latched == 0 && m.outage.cause == NoCause && !m.stopped && !m.sparing && !m.byHand && !m.tooHigh && m.discharging.stage == allOn && m.inv == running &&
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
	return !p.located && p.acid == nil && !p.exact && p.loop.HalfV == 0 && !m.heaterOn && !m.stages[1].sourced && !m.lost &&
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
	filled := f.current >= 0 && f.mode != apart
	if m.following() {
		if filled && m.lv > p.v.full && !m.full {
			if f.current <= p.fullA*clearly {
				return true
			}
			m.tail.full = false
		}
	} else if row.solarInW > 0 != m.stages[0].sourced || f.genInput > 0 != m.stages[1].sourced || f.mode == constant && m.stageActs(f) {
		return true
	}
	if p.exact || !p.reports {
		return false
	}
	above := filled && m.lv > p.v.countFull
	looksFull := above && f.current <= p.counter.FullA*clearly
	if above && !looksFull {
		m.tail.count = false
	}
	return !m.tail.keep(looksFull, m.counts.segments) && looksFull
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
