package sim

import (
	"math"

	"bankyear/sim/genset"
)

// people is who comes when the site is dark.
type people struct {
	operator              bool // there is somebody on site at times
	weekends              bool // only on Saturdays and Sundays
	awake                 []genset.Span
	responseS, visitS     float64
	callOutS              [maxSets]float64 // until a set that is broken is repaired
	starts, wakes, resets bool             // what the operator does: start the generator, wake the bank, reset
	firstDay              int              // day of the week of the year's first day, Sunday 0
}

// nursedS is how long somebody who woke a bank keeps it from tripping at once
// again, so that the next sun can charge it.
const nursedS = 86400

// visitStep lets somebody come to a site that is dark: the operator, or a
// visitor from elsewhere, whoever is there first. They set right what they can,
// and come again while it stays dark.
func (m *machine) visitStep() bool {
	p := &m.people
	if m.outage.cause == NoCause {
		m.stop(tVisit)
		return false
	}
	if !m.timers.running(tVisit) {
		m.set(tVisit, m.nextVisit())
		return false
	}
	if !m.ended(tVisit) {
		return false
	}
	own := m.byOperator
	m.operatorCame = own
	m.counts.visits++
	if !own || p.resets {
		m.latched, m.line.stuck = 0, false
		if m.locked {
			m.locked, m.stopped = false, false
		}
		m.repair()
	}
	if m.asleep && (!own || p.wakes) {
		m.wake()
		m.nursed = m.now + nursedS
	}
	if !own || p.starts {
		m.startByHand()
	}
	return true
}

// nextVisit is when somebody acts on a site that is dark now.
func (m *machine) nextVisit() float64 {
	p := &m.people
	visitor := m.now + max(p.visitS, dwellS)
	m.byOperator = false
	if !p.operator {
		return visitor
	}
	at := m.now + max(p.responseS, dwellS)
	for day := math.Floor(at/genset.DayS) - 1; day*genset.DayS < visitor; day++ {
		if week := (int(day)%7 + 7 + p.firstDay) % 7; p.weekends && week != 0 && week != 6 {
			continue
		}
		for _, span := range p.awake {
			from := day*genset.DayS + float64(span.FromS)
			if t := max(at, from); t < from+float64(span.LengthS()) && t < visitor {
				m.byOperator = true
				return t
			}
		}
	}
	return visitor
}
