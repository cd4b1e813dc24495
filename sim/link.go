package sim

// lossOutcome is what a data-linked bank and its chargers do once the link is
// lost.
type lossOutcome uint8

const (
	fallBack lossOutcome = iota
	bankOpens
	allStop
	chargeStops
)

// link is the data link: down while a fault lasts, lost once the timeout is
// over.
type link struct {
	edge       int // next entry of rules.linkEdges
	down, lost bool
	losses     losses
}

// losses counts the times that the link was lost, each from where it went down.
// Faults begin with the counted year.
type losses struct {
	count    int
	since    float64 // start of the present one
	longestS float64
}

// linkStep follows the faults. It tells whether anything changed.
func (m *machine) linkStep() bool {
	p := m.p
	changed := false
	for m.edge < len(p.linkEdges) && p.linkEdges[m.edge] <= m.now {
		m.edge++
		changed = true
	}
	if m.edge < len(p.linkEdges) && m.due[tLink] != p.linkEdges[m.edge] {
		m.set(tLink, p.linkEdges[m.edge])
	} else if m.edge == len(p.linkEdges) && m.timers.running(tLink) {
		m.stop(tLink)
	}
	m.down = m.edge%2 == 1
	switch {
	case !m.down && m.lost:
		m.losses.longestS = m.longestLossS()
		m.lost, m.full = false, false
		m.stopStageTimers()
		changed = true
	case m.held(tLinkLost, m.down && !m.lost, p.timeoutS):
		m.losses.count++
		m.losses.since = p.linkEdges[m.edge-1]
		m.lost, m.full = true, false
		m.stages = [2]stage{} // the chargers start a new cycle on their own settings
		m.stopStageTimers()
		m.stop(tFull)
		changed = true
	}
	return changed
}

// longestLossS is the longest time that the link was lost, up to now, s.
func (m *machine) longestLossS() float64 {
	if !m.lost {
		return m.losses.longestS
	}
	return max(m.losses.longestS, m.now-m.losses.since)
}
