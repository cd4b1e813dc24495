package sim

import "math"

// shedByHand lets the operator shed flexible load once the reported SoC has fallen to
// their level, and put it back once it has risen to the other: response_h after that,
// in waking hours on days on site, if it is still so. Without a reported SoC it is a
// dark site that lets them shed it, and a charger or BMS which says full that lets
// them put it back: common practice, no source.
func (m *machine) shedByHand() {
	x := &m.shedding
	if !m.people.sheds {
		return
	}
	if m.p.reports {
		window(&x.sparing, m.ls <= m.p.s.hand, m.ls > m.p.s.handBack)
	} else {
		dark := m.outage.cause != NoCause
		window(&x.sparing, dark, !dark && m.saysFull())
	}
	m.waited = m.waited || x.sparing
	if x.sparing == x.byHand || !m.people.operator {
		m.stop(tHand)
		return
	}
	if !m.timers.running(tHand) {
		at, _ := m.someoneAt(math.Inf(1), dwellS, true)
		m.set(tHand, at)
		return
	}
	if m.ended(tHand) {
		x.byHand = x.sparing
		m.acts(true)
	}
}

// saysFull tells whether a charger with power, or the BMS, shows that the bank is
// full.
func (m *machine) saysFull() bool {
	return m.following() && m.full || m.byStages(0) && m.stages[0].sourced && m.stages[0].float || m.byStages(1) && m.stages[1].sourced && m.stages[1].float
}
