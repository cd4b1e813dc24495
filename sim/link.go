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

// linkReturn is what ends a loss once the link is back.
type linkReturn uint8

const (
	followAgain linkReturn = iota
	nextMorning
	untilReset
)

// link is the data link: down while a fault lasts, lost from the end of the timeout
// until the link is followed again.
type link struct {
	edge       int // next entry of people.linkEdges
	down, lost bool
	nightSince bool // since the link is back it has been night

	resetByOperator bool // it is the operator who resets what the loss has left
	losses          losses
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
	for m.edge < len(m.people.linkEdges) && m.people.linkEdges[m.edge] <= m.now {
		m.edge++
		changed = true
	}
	if m.edge < len(m.people.linkEdges) && m.due[tLink] != m.people.linkEdges[m.edge] {
		m.set(tLink, m.people.linkEdges[m.edge])
	} else if m.edge == len(m.people.linkEdges) && m.timers.running(tLink) {
		m.stop(tLink)
	}
	m.down = m.edge%2 == 1
	if m.down {
		m.nightSince = false
		m.stop(tRejoin)
	}
	switch {
	case !m.down && m.lost && m.rejoins():
		m.followLink()
		changed = true
	case m.held(tLinkLost, m.down && !m.lost, p.timeoutS):
		m.losses.count++
		m.losses.since = m.people.linkEdges[m.edge-1]
		m.lost, m.full = true, false
		m.stages = [2]stage{} // the chargers start a new cycle on their own settings
		m.stopStageTimers()
		m.stop(tFull)
		m.stop(tAgain)
		changed = true
	}
	return changed
}

// rejoins tells whether a link that is back is followed again.
func (m *machine) rejoins() bool {
	switch m.p.onReturn {
	case nextMorning:
		m.nightSince = m.nightSince || !m.row.sunlit
		return m.nightSince && m.row.sunlit
	case untilReset:
		return m.awaitReset()
	}
	return true
}

// awaitReset lets somebody reset what a loss has left: the operator, or with a remote
// view a visitor. Without either it waits for who comes to a dark site.
func (m *machine) awaitReset() bool {
	m.waited = true
	if m.ended(tRejoin) {
		m.acts(m.resetByOperator)
		return true
	}
	if !m.timers.running(tRejoin) {
		var at float64
		if at, m.resetByOperator = m.someoneAt(m.now+m.people.seenS, dwellS, m.people.resets); at < forever {
			m.set(tRejoin, at)
		}
	}
	return false
}

// followLink ends a loss.
func (m *machine) followLink() {
	m.losses.longestS = m.longestLossS()
	m.lost, m.full = false, false
	m.stop(tRejoin)
	m.stopStageTimers()
}

// longestLossS is the longest time that the link was lost, up to now, s.
func (m *machine) longestLossS() float64 {
	if !m.lost {
		return m.losses.longestS
	}
	return max(m.losses.longestS, m.now-m.losses.since)
}
