package sim

import "math"

// acidReach follows the level to the end of the time or to its first event. Every
// event of voltage or current is a level: at constant power P beside a current
// I_s the voltage V stands where the current is P/V + I_s, at a held voltage each
// current stands at its own.
func (m *machine) acidReach(s *stretch) {
	r, f := &m.acidRun, s.f
	c := &r.course
	hunt := acidHunt{m: m, s: s, at: math.Inf(1)}
	if hunt.at, hunt.level = c.KnotS(s.tau); hunt.at <= s.tau {
		s.tau, s.what = hunt.at, turn
	}
	end := c.Level(s.tau)
	hunt.lo, hunt.hi = min(m.wells.Level, end), max(m.wells.Level, end)
	if t := c.TurnS(); t < s.tau {
		hunt.lo, hunt.hi = min(hunt.lo, c.Level(t)), max(hunt.hi, c.Level(t))
	}
	if m.drained {
		hunt.consider(drainedBack, turn)
	}
	hunt.consider(0, turn)
	switch f.mode {
	case power:
		hunt.voltages()
	case constant:
		hunt.currents()
	}
	if hunt.at <= s.tau {
		s.tau, r.hitS, r.target = hunt.at, hunt.at, hunt.level
	}
	r.to(m, s)
	if m.p.exact {
		m.acidExact(s)
	}
}

// acidHunt is the search for the first event of a course.
type acidHunt struct {
	m         *machine
	s         *stretch
	lo, hi    float64 // levels between which the course stays
	at, level float64 // the first event, and its level
}

// consider takes a level that the course comes to, if it is the first.
func (h *acidHunt) consider(level float64, what event) bool {
	if !(level >= h.lo && level <= h.hi) {
		return false
	}
	t := h.m.acidRun.course.TimeToS(level, h.s.tau)
	if t >= h.at {
		return false
	}
	h.at, h.level, h.s.what = t, level, what
	return true
}

// now takes an event at the start.
func (h *acidHunt) now(what event) {
	h.at, h.level, h.s.what = 0, h.m.wells.Level, what
}

// levelAt is the level at which the segment's power has a voltage.
func (h *acidHunt) levelAt(volts float64) float64 {
	f := h.s.f
	return h.m.acidRun.volts.LevelAtV(volts, f.p/volts+f.source)
}

// voltages are the thresholds, set-points and chargers' knees under constant
// power.
func (h *acidHunt) voltages() {
	m, f := h.m, h.s.f
	if f.collapse {
		return
	}
	most, least := m.acidVolts(f, h.hi), m.acidVolts(f, h.lo)
	for _, to := range [2]float64{most, least} {
		i, what := m.nextVolt(to)
		switch at := m.p.volts; {
		case what == voltUp && to == most:
			if f.volts >= at[i] {
				h.now(what)
				h.s.passed = i
			} else if h.consider(h.levelAt(at[i]), what) {
				h.s.passed = i
			}
		case what == voltDown && to == least:
			if f.volts < at[i] {
				h.now(what)
				h.s.passed = i
			} else if h.consider(h.levelAt(at[i]), what) {
				h.s.passed = i
			}
		}
	}
	if f.solarW+f.solarA+f.genW+f.genA == 0 {
		return
	}
	if a := m.p.counter.FullA; a != f.source && math.Abs(a-f.current) > justOffA { // the counter's full
		if volts := f.p / (a - f.source); volts > least && volts < most {
			h.consider(m.acidRun.volts.LevelAtV(volts, a), turn)
		}
	}
	for _, set := range [2]float64{f.setS, f.setG} {
		if f.volts < set-justBelow && most >= set || f.volts > set+justBelow && least <= set {
			h.consider(h.levelAt(set), turn)
		}
	}
	base := m.i * m.p.chargers
	for k := range m.p.chargers {
		w, a := m.p.sky.solarW[base+k], m.solarLimitA(base+k)
		if w > 0 && f.setS > 0 {
			h.pastKnee(w/a, least, most)
		}
	}
	if w := f.genInput * m.p.genEta; w > 0 && f.setG > 0 {
		if a := m.acLimitA(); a > 0 {
			h.pastKnee(w/a, least, most)
		}
	}
}

// pastKnee considers the voltage at which a charger changes between its ampere
// limit and its power.
func (h *acidHunt) pastKnee(knee, least, most float64) {
	volts := h.s.f.volts
	if volts < knee && most > knee+kneeV {
		h.consider(h.levelAt(knee+kneeV), turn)
	} else if volts > knee && least < knee-kneeV {
		h.consider(h.levelAt(knee-kneeV), turn)
	}
}

// currents are those that decide at a held voltage (currentEvents).
func (h *acidHunt) currents() {
	m, f := h.m, h.s.f
	p, v := m.p, &m.acidRun.volts
	for _, i := range [...]float64{0, p.solo.tailA, p.solo.tailA - f.demand/f.v, p.counter.FullA, p.stopTailA} {
		if math.Abs(i-f.current) > justOffA {
			h.consider(v.LevelAtV(f.v, i), turn)
		}
	}
	most, least := v.HeldA(h.lo, f.v), v.HeldA(h.hi, f.v)
	if most > f.offered()/f.v+f.offeredA()+justOffA { // the sources no longer hold the voltage
		volts := f.v - kneeV
		h.consider(v.LevelAtV(volts, f.offered()/volts+f.offeredA()), turn)
	}
	if least < -f.demand/f.v-justOffA { // nor does the bank need them for it
		volts := f.v + kneeV
		h.consider(v.LevelAtV(volts, -f.demand/volts), turn)
	}
}

// acidExact ends the segment where the true state of charge passes a threshold
// that something waits for.
func (m *machine) acidExact(s *stretch) {
	target, what := m.nextSoC((m.q+s.x)/m.p.qMax, s.f)
	if what == noEvent {
		return
	}
	want, whole := target*m.p.qMax-m.q, s.tau
	s.target = target
	t, chord := whole, s.x
	for range 20 { // the charge is nearly a straight line of time
		next := min(max(t*want/chord, 0), whole)
		if math.Abs(next-t) <= 1e-12*whole {
			break
		}
		t = next
		m.shorten(s, t, what)
		if chord = s.x; chord*want <= 0 {
			break
		}
	}
}

// acidSink ends the segment where the level meets the floor, which moves with
// the cell temperature (sink).
func (m *machine) acidSink(s *stretch) {
	back, what := 0., floorDown
	if m.floorHit {
		back, what = floorBack, floorUp
	} else if s.f.current >= 0 {
		return
	}
	above := m.wells.Level - m.floorQ(m.celsius)/m.p.qMax - back
	after := func() float64 {
		m.heatOf(s)
		return m.acidRun.land.Level - m.floorQ(m.cellAfter(s))/m.p.qMax - back
	}
	end := after()
	if end < 0 == m.floorHit { // on the same side still
		return
	}
	lo, hi, atLo, atHi := 0., s.tau, above, end
	for range 30 { // regula falsi, halved where it creeps
		t := lo + (hi-lo)*atLo/(atLo-atHi)
		if !(t > lo && t < hi) {
			break
		}
		m.shorten(s, t, what)
		x := after()
		if math.Abs(x) < 1e-13 {
			break
		}
		if x < 0 == (atHi < 0) {
			hi, atHi, atLo = t, x, atLo/2
		} else {
			lo, atLo, atHi = t, x, atHi/2
		}
		if hi-lo < 1e-9 {
			break
		}
	}
	m.shorten(s, s.tau, what)
}
