package sim

import "math"

// A level is the number of thresholds at or below a value. Something may wait
// for a threshold or not: those that nothing waits for are passed in silence.

// level is the number of thresholds at or below x.
func level(thresholds []float64, x float64) int {
	n := 0
	for n < len(thresholds) && thresholds[n] <= x {
		n++
	}
	return n
}

// awaited is what voltage thresholds are waited for in the present state.
func (m *machine) awaited() voltUse {
	need := forAlways
	if m.following() {
		if need |= forFull; m.full {
			need ^= forFull | forResume
		}
	} else {
		need |= forCutOff
		if m.stages[0].float || m.stages[1].float {
			need |= forRestart
		}
	}
	if m.stopped {
		need |= forReturn
	}
	if m.tooHigh {
		need |= forHighBack
	}
	if m.tripped != 0 {
		need |= forUnderRelease | forOverRelease
	}
	if m.p.reports && !m.p.exact {
		need |= forCount
		if m.p.counter.LowKneeV > 0 {
			need |= forKnee
		}
	}
	if m.p.gen != nil && m.gen.phase == standing {
		need |= forLadder
	}
	if m.shedByV {
		need |= forShedBack
	} else {
		need |= forShed // no threshold where nothing is shed so
	}
	return need
}

// bound finds the thresholds around the level of the voltage that something
// waits for: one of a hold is waited for from above only while the hold runs.
func (m *machine) bound() {
	at, need, b := m.p.volts, m.awaited(), &m.bounds
	b.low, b.high = m.lv, m.lv
	below := need
	if !m.running(tFull) {
		below &^= forFull
	}
	if !m.running(tCount) && !m.p.ownCount {
		below &^= forCount
	}
	for b.low > 0 && m.p.voltFor[b.low-1]&below == 0 {
		b.low--
	}
	for b.high < len(at) && m.p.voltFor[b.high]&need == 0 {
		b.high++
	}
	b.lowV, b.highV = math.Inf(-1), math.Inf(1)
	if b.low > 0 {
		b.lowV = at[b.low-1]
	}
	if b.high < len(at) {
		b.highV = at[b.high]
	}
	b.fromV, b.toV, b.chargeV = math.Inf(-1), math.Inf(1), math.Inf(1)
	if m.lv > 0 {
		b.fromV = at[m.lv-1] - slackV
	}
	if m.lv < len(at) {
		b.toV = at[m.lv] + slackV
	}
	if b.fullLevel < len(at) {
		b.chargeV = at[b.fullLevel] - slackV
	}
}

// nextVolt is the first awaited threshold between the level of the voltage and
// a voltage.
func (m *machine) nextVolt(to float64) (i int, what event) {
	switch b := &m.bounds; {
	case to >= b.highV:
		return b.high, voltUp
	case to < b.lowV:
		return b.low - 1, voltDown
	}
	return 0, noEvent
}

// nextSoC is the first threshold between the reported SoC and where it goes
// that something waits for, at a bank current that a charge ceiling holds or not; the
// others are passed in silence.
func (m *machine) nextSoC(to, current float64, held bool) (at float64, what event) {
	list := m.p.limits.soc
	if to >= m.soc {
		for i := m.ls; i < len(list) && list[i] <= to; i++ {
			if m.actsUp(i) || m.bends(i, to, current, held) {
				return list[i], socUp
			}
		}
		return 0, noEvent
	}
	for i := m.ls - 1; i >= 0 && list[i] > to; i-- {
		if m.actsDown(i) || m.bends(i, to, current, held) {
			return list[i], socDown
		}
	}
	return 0, noEvent
}

// passesSoC tells whether a reported SoC is on another level than the present one.
func (m *machine) passesSoC(soc float64) bool {
	at := m.p.limits.soc
	return m.ls < len(at) && at[m.ls] <= soc || m.ls > 0 && at[m.ls-1] > soc
}

// actsUp tells whether an automaton acts on the reported SoC when it rises to
// threshold i.
func (m *machine) actsUp(i int) bool {
	s := &m.p.s
	resumes := m.stopped && m.following() && !m.floorHit // cells at their end have longer to wait
	stops := m.gen.phase == loaded && !m.timers.running(tGeneratorMin)
	if m.p.discharge != nil && m.p.discharge.acts[i] {
		return true
	}
	return m.shedBySoC && i == s.back || m.sparing && i == s.handBack || resumes && i == s.resume || stops && (i == s.genStop || i == s.topUpTo)
}

// actsDown tells whether an automaton acts on the reported SoC when it falls to
// threshold i.
func (m *machine) actsDown(i int) bool {
	s := &m.p.s
	if m.p.discharge != nil && m.p.discharge.acts[i] {
		return true
	}
	return !m.shedBySoC && i == s.shed || m.people.sheds && !m.sparing && i == s.hand || !m.stopped && i == s.stop ||
		m.p.gen != nil && m.gen.phase == standing && i == s.genStart || m.full && i == s.full
}

// bends tells whether the charge ceiling bends at threshold i and binds on its
// far side, up to the reported SoC that the segment goes to, for a charge
// current that the ceiling holds or not.
func (m *machine) bends(i int, to, current float64, held bool) bool {
	p := m.p
	if !p.factorBends[i] || current <= 0 || !m.following() || m.full {
		return false
	}
	if held {
		return true
	}
	far := p.factorAt[i+1] + p.factorSlope[i+1]*(to-p.limits.soc[i])
	return m.zoneCeiling()*min(far, p.factorAt[i+1]) < 1.01*current
}

// slackV is how far the voltage may be on the other side of a threshold before
// the level follows it without a located crossing: the resistance drifts with
// temperature between segments.
const slackV = 1e-3

// follow moves the voltage level where the voltage has jumped.
func (m *machine) follow(volts float64) {
	at := m.p.volts
	if (m.lv == len(at) || volts < at[m.lv]+slackV) && (m.lv == 0 || volts >= at[m.lv-1]-slackV) {
		return
	}
	for m.lv < len(at) && volts >= at[m.lv]+slackV {
		m.lv++
	}
	for m.lv > 0 && volts < at[m.lv-1]-slackV {
		m.lv--
	}
	if m.lv >= m.low && m.lv <= m.high { // nothing waited for that
		m.bound()
	}
}
