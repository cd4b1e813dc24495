package sim

import (
	"math"

	"bankyear/sim/genset"
)

// people is who comes when the site is dark, and how long what breaks stays so.
type people struct {
	operator              bool // there is somebody on site at times
	weekends              bool // only on Saturdays and Sundays
	awake                 []genset.Span
	responseS, visitS     float64          // until the operator acts, and until a visitor comes to a dark site
	seenS                 float64          // until a visitor comes for what is seen from afar; +Inf without a remote view
	callOutS              [maxSets]float64 // until a set that is broken is repaired
	fixS                  float64          // until modules that were found out of service are back
	linkEdges             []float64        // times at which the link goes down, up, down ...
	starts, wakes, resets bool             // what the operator does: start the generator, wake the bank, reset
	bypasses, sheds       bool             // cable a generator past the inverter, shed flexible load
	firstDay              int              // day of the week of the year's first day, Sunday 0
}

// nursedS is how long somebody who woke a bank keeps it from tripping at once
// again, so that the next sun can charge it.
const nursedS = 86400

// againS is after how long at the soonest somebody who has come to a dark site tries
// again (common practice, no source).
const againS = 3600

// visitStep lets somebody come to a site that is dark: the operator, or a
// visitor from elsewhere, whoever is there first. They set right what they can,
// and try again while it stays dark; a set that can serve nothing they leave alone
// (common practice, no source).
func (m *machine) visitStep() bool {
	p := &m.people
	if m.outage.cause == NoCause {
		m.stop(tVisit)
		return false
	}
	if !m.timers.running(tVisit) {
		m.set(tVisit, m.nextVisit(againS))
		return false
	}
	if !m.ended(tVisit) {
		return false
	}
	own, found := m.byOperator, m.inReach()
	if !own || p.resets {
		m.latched, m.line.stuck = 0, false
		if m.lost && !m.down {
			m.followLink()
		}
		if m.locked {
			m.locked, m.stopped = false, false
		}
		m.repair()
	}
	if m.asleep && m.p.wokenByVisit && (!own || p.wakes) {
		m.wake()
		m.set(tNursed, m.now+nursedS)
	}
	m.bypass.came = m.bypass.came || !own || p.bypasses
	if (!own || p.starts) && m.setServes() {
		m.startByHand()
	}
	if !own || !m.outage.seen || m.inReach() != found {
		m.acts(own)
	}
	m.outage.seen = true
	return true
}

// setServes tells whether a source of AC that somebody starts at a dark site reaches
// anything: the load by a cable, or an inverter that passes it on or whose charger has a
// bus to feed.
func (m *machine) setServes() bool {
	p := m.p
	return m.bypass.came || !m.siteStopped() && (m.connected() || p.holdBus || p.genStartsBus || p.inverter.passesAlone)
}

// inReach is what people on a dark site may change.
func (m *machine) inReach() (r handiwork) {
	r = handiwork{latched: m.latched, stuck: m.line.stuck, lost: m.lost, locked: m.locked, asleep: m.asleep,
		cable: m.bypass.came && m.gen.phase == loaded, charge: m.charge}
	for set := range max(1, len(m.p.sets)) {
		r.sets[set] = m.state(set).phase
	}
	return r
}

// handiwork is the state of what people on site can set right, held against itself.
type handiwork struct {
	latched                            uint16
	stuck, lost, locked, asleep, cable bool
	charge                             int
	sets                               [maxSets]genPhase
}

// acts counts a visit: somebody from elsewhere who came, the operator's first look at a
// darkness, or what they set right later.
func (m *machine) acts(operator bool) {
	m.operatorCame = operator
	m.counts.visits++
}

// nextVisit is when somebody acts on a site that is dark now, at the soonest after a
// time.
func (m *machine) nextVisit(leastS float64) (at float64) {
	at, m.byOperator = m.someoneAt(m.now+max(m.people.visitS, leastS), leastS, true)
	return at
}

// someoneAt is when somebody acts on what began now: a visitor at a time, or an
// operator who may, at the soonest after leastS, whoever is sooner, and whether it is
// the operator.
func (m *machine) someoneAt(visitor, leastS float64, may bool) (at float64, byOperator bool) {
	p := &m.people
	if !p.operator || !may {
		return visitor, false
	}
	from := m.now + max(p.responseS, leastS)
	for day := math.Floor(from/genset.DayS) - 1; day*genset.DayS < visitor; day++ {
		if week := (int(day)%7 + 7 + p.firstDay) % 7; p.weekends && week != 0 && week != 6 {
			continue
		}
		for _, span := range p.awake {
			start := day*genset.DayS + float64(span.FromS)
			if t := max(from, start); t < start+float64(span.LengthS()) && t < visitor {
				return t, true
			}
		}
	}
	return visitor, false
}
