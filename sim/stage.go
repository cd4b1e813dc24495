package sim

// stage is where a charger that works by voltage is in its cycle: bulk and
// absorption, or float.
type stage struct {
	float   bool
	equal   bool // equalising, after an absorption
	sourced bool // it had power at the last look
	hollow  bool // its absorption ended against a bank that took no charge
}

// filled tells whether it floats a bank that has taken its charge.
func (s *stage) filled() bool { return s.float && !s.hollow }

// tailFlags remember on which side of a current the bank is, so that a
// resistance that drifts with temperature does not restart a hold: a flag is
// set at the current and cleared 2 % above it.
type tailFlags struct {
	stage [2]bool
	full  bool
	count bool
	said  bool // the counter was set to full, and what it does that by has held since
	seen  int  // the segment in which that was seen last; a glide is one in which it does not hold
}

// say notes that the counter was set to full in a segment.
func (t *tailFlags) say(segment int) { t.said, t.seen = true, segment }

// keep tells whether the counter was set to full and still looks so in a segment.
func (t *tailFlags) keep(looksFull bool, segment int) bool {
	if t.said = t.said && looksFull && segment <= t.seen+1; t.said {
		t.seen = segment
	}
	return t.said
}

// volts is the stage's set-point.
func (s *stage) volts(set *stageSettings) float64 {
	switch {
	case s.float:
		return set.floatV
	case s.equal:
		return set.equaliseV
	}
	return set.absorbV
}

// stageStep follows both chargers' cycles: a new one each morning for the
// solar chargers and at each arrival of AC for the AC charger; absorption ends
// by tail current held for a time, or by its longest time; float ends when the
// voltage stays below the restart voltage.
func (m *machine) stageStep(f *flow) bool {
	if m.following() && !m.p.mixed {
		return false
	}
	changed := false
	set := m.stageSet()
	for k := range m.stages {
		if !m.byStages(k) {
			continue
		}
		s := &m.stages[k]
		if !f.alive { // without voltage chargers are off, and begin anew when it is back (common practice, no source)
			changed = s.float || s.equal || changed
			s.float, s.equal = false, false
			m.stopStageTimersOf(k)
			continue
		}
		sourced, holds := m.row.solarInW > 0, f.volts == f.setS && f.solarW+f.solarA > 0
		if k == 1 {
			sourced, holds = f.acThere, f.volts == f.setG && f.genW+f.genA > 0
		}
		if m.disagrees() {
			holds = m.holds(f, k)
		}
		if sourced && !s.sourced && (s.float || s.equal) {
			s.float, s.equal = false, false
			m.stop(tRestart + k)
			holds, changed = false, true // what was held is the float of the cycle before
		}
		if sourced != s.sourced {
			s.sourced = sourced
			m.stop(tAbsorb + k)
			m.stop(tTail + k)
		}
		if s.equal {
			changed = m.equalised(k) || changed
			continue
		}
		m.stop(tEqual + k) // a run of the generator that ended took its equalisation along
		if !s.float {
			m.stop(tRestart + k) // a run of the generator that ended took its float along
			tail := holds && below(&m.tail.stage[k], m.tailSeen(f), set.tailA)
			ended := m.held(tTail+k, tail, set.tailHoldS)
			if holds && !m.timers.running(tAbsorb+k) {
				m.set(tAbsorb+k, m.now+set.absorbMaxS)
			}
			if m.ended(tAbsorb+k) || ended {
				s.hollow = f.bankless()
				if ended && !s.hollow {
					m.sawFull()
				}
				m.absorbed(k)
				m.stop(tAbsorb + k)
				m.stop(tTail + k)
				changed = true
			}
			continue
		}
		if m.held(tRestart+k, m.lb <= m.p.v.restart, set.restartHoldS) {
			s.float = false
			changed = true
		}
	}
	return changed
}

// below follows a flag that is set at a current and cleared 2 % above it. An event
// ends a segment at the current; the next may begin a trace above it, for its
// resistance is that of another temperature.
func below(flag *bool, current, at float64) bool {
	*flag = current <= at*(1+1e-4) || *flag && current <= at*clearly
	return *flag
}

// clearly is how far above a current the bank has to be, as a factor, for a
// hold that needs the current below it to break.
const clearly = 1.02

// tailSeen is the current that decides the tail: the bank's, or what a charger
// without a shared shunt sees, its own output.
func (m *machine) tailSeen(f *flow) float64 {
	if m.stageSet().tailOwn {
		return f.current + f.demand/f.volts
	}
	return f.current
}

func (m *machine) stopStageTimers() {
	for k := range 2 {
		m.stopStageTimersOf(k)
	}
}

func (m *machine) stopStageTimersOf(k int) {
	m.stop(tAbsorb + k)
	m.stop(tTail + k)
	m.stop(tRestart + k)
	m.stop(tEqual + k)
}
