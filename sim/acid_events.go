package sim

import "math"

// acidReach follows the level to the end of the course or to its first event.
// Every event of voltage or current is a level: at constant power P beside a
// current I_s the voltage V stands where the current is P/V + I_s, at a held
// voltage each current stands at its own.
func (m *machine) acidReach(s *stretch) {
	r := &m.acidRun
	c := &r.course
	if c.UntilS < s.tau {
		s.tau, s.what = c.UntilS, turn
	}
	hunt := acidHunt{m: m, s: s, at: math.Inf(1), turns: c.Turns()}
	if m.drained {
		hunt.consider(drainedBack, turn)
	}
	hunt.consider(0, turn)
	switch {
	case s.f.mode == constant:
		hunt.currents()
	case s.f.mode == power && !s.f.collapse:
		hunt.voltages()
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
	turns     bool    // the course turns on its way
	at, level float64 // the first event, and its level
}

// consider takes a level that the course comes to, if it is the first.
func (h *acidHunt) consider(level float64, what event) bool {
	c := &h.m.acidRun.course
	if !(level >= c.Lo && level <= c.Hi) {
		return false
	}
	t := c.TimeToS(level, h.s.tau)
	if t >= h.at {
		return false
	}
	h.at, h.level, h.s.what = t, level, what
	return true
}

// levelAt is the level at which the segment's power has a voltage.
func (h *acidHunt) levelAt(volts float64) float64 {
	f := h.s.f
	return h.m.acidRun.volts.LevelAtV(volts, f.p/volts+f.source)
}

// voltsAt is the terminal voltage at a level under the segment's power.
func (h *acidHunt) voltsAt(level float64) float64 {
	v, f := &h.m.acidRun.volts, h.s.f
	i, _ := v.PowerA(level, f.p, f.source)
	return v.TerminalV(level, i)
}

// voltages are the thresholds, set-points and chargers' knees under constant
// power, and the currents 0 and that of the counter's full.
func (h *acidHunt) voltages() {
	m, f, c := h.m, h.s.f, &h.m.acidRun.course
	least, most := min(f.volts, c.EndV), max(f.volts, c.EndV)
	if h.turns {
		least, most = min(least, h.voltsAt(c.Lo)), max(most, h.voltsAt(c.Hi))
	}
	if most >= m.highV || least < m.lowV {
		h.thresholds(least, most, c.EndV > f.volts)
	}
	if m.p.v.sagless {
		m.rungEvents(f, func(volts float64) { h.pastKnee(volts, least, most) })
	}
	if f.solarW+f.solarA+f.genW+f.genA == 0 {
		return
	}
	for _, a := range [2]float64{0, m.p.counter.FullA} {
		if volts := f.p / (a - f.source); volts > least && volts < most && math.Abs(a-f.current) > justOffA {
			h.consider(m.acidRun.volts.LevelAtV(volts, a), turn)
		}
	}
	sets := [maxChargers + 1]float64{f.setS, f.setG}
	if m.p.parties.disagree {
		for k, of := range m.mixture.of {
			sets[k] = behind(of.still, m.ohmOf(k), f.p, f.source)
		}
	}
	for _, set := range sets {
		if set > 0 && (f.volts < set-justBelow && most >= set || f.volts > set+justBelow && least <= set) {
			h.consider(h.levelAt(set), turn)
		}
	}
	if f.genInput == 0 && m.row.mostOutW <= m.wattsBelow(least-kneeV) {
		return // every charger is below its ampere limit
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

// thresholds considers the first on each side that something waits for. One that
// the voltage has passed already, by less than would move its level, comes at
// once where the voltage goes on.
func (h *acidHunt) thresholds(least, most float64, rises bool) {
	m, at, volts := h.m, h.m.p.volts, h.s.f.volts
	need := m.awaited()
	for i := m.lv; i < len(at) && at[i] <= most; i++ {
		if h.waits(i, need) {
			h.threshold(i, voltUp, volts >= at[i], rises)
			break
		}
	}
	for i := m.lv - 1; i >= 0 && at[i] > least; i-- {
		if h.waits(i, need) {
			h.threshold(i, voltDown, volts < at[i], !rises)
			break
		}
	}
}

// threshold considers a threshold of voltage that is passed or not.
func (h *acidHunt) threshold(i int, what event, passed, on bool) {
	switch {
	case passed && on:
		h.at, h.level, h.s.what, h.s.passed = 0, h.m.wells.Level, what, i
	case !passed && h.consider(h.levelAt(h.m.p.volts[i]), what):
		h.s.passed = i
	}
}

// waits tells whether something waits for a threshold of voltage: not the
// counter's full while the bank gives or takes more than its current.
func (h *acidHunt) waits(i int, need voltUse) bool {
	p, c := h.m.p, &h.m.acidRun.course
	use := p.voltFor[i] & need
	if use != forCount || p.ownCount {
		return use != 0
	}
	at := h.s.f.current
	return max(at, c.EndA) >= 0 && min(at, c.EndA) <= p.counter.FullA*clearly
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

// minLoadA is the bank's current at which a generator that charges at a held
// voltage is at its minimum load, below which it burns no less.
func (h *acidHunt) minLoadA() float64 {
	m, f := h.m, h.s.f
	if m.gen.phase != loaded || f.genOff {
		return 0
	}
	watts := (1000*m.p.gen.MinLoadKW()-f.acByGen)*m.p.genEta - f.demand
	if !f.genFirst && !f.solarOff {
		watts += f.solarW + f.solarA*f.v
	}
	return watts / behind(f.v, f.sense, watts, 0)
}

// currents are those that decide at a held voltage (currentEvents).
func (h *acidHunt) currents() {
	m, f := h.m, h.s.f
	p, v, c := m.p, &m.acidRun.volts, &m.acidRun.course
	most, least := max(f.current, c.EndA), min(f.current, c.EndA)
	if h.turns {
		most, least = max(most, v.HeldA(c.Lo, f.v)), min(least, v.HeldA(c.Hi, f.v))
	}
	for _, i := range [...]float64{0, p.solo.tailA, p.solo.tailA - f.demand/behind(f.v, f.sense, -f.demand, p.solo.tailA), p.counter.FullA, p.stopTailA, h.minLoadA()} {
		if i > least && i < most && math.Abs(i-f.current) > justOffA {
			h.consider(v.LevelAtV(f.v, i), turn)
		}
	}
	if most > f.offered()/(f.v+most*f.sense)+f.offeredA()+justOffA { // the sources no longer hold the voltage
		volts := behind(f.v, f.sense, f.offered(), f.offeredA()) - kneeV
		i := f.offered()/volts + f.offeredA()
		h.consider(v.LevelAtV(volts-i*f.sense, i), turn)
	}
	if least < -f.demand/(f.v+least*f.sense)-justOffA { // nor does the bank need them for it
		volts := behind(f.v, f.sense, -f.demand, 0) + kneeV
		i := -f.demand / volts
		h.consider(v.LevelAtV(volts-i*f.sense, i), turn)
	}
	if m.p.parties.sensedOhm > 0 {
		h.taper(least, most)
	}
}

// taper considers what the voltages pass that move while one is held (taperEvents).
func (h *acidHunt) taper(least, most float64) {
	m, f := h.m, h.s.f
	beyond := math.Copysign(kneeV, h.m.acidRun.course.EndA-f.current)
	pass := func(volts, ohm float64) {
		if i := (volts - f.v) / (f.sense - ohm); i > least && i < most && math.Abs(i-f.current) > justOffA {
			h.consider(m.acidRun.volts.LevelAtV(f.v, i), turn)
		}
	}
	for k, of := range m.mixture.of {
		if ohm := m.ohmOf(k); of.w+of.a > 0 && ohm != f.sense {
			pass(of.still, ohm)
		}
	}
	if f.sense > 0 {
		for _, volts := range m.p.volts {
			pass(volts+beyond, 0)
		}
	}
}

// acidExact ends the segment where the true state of charge passes a threshold
// that something waits for.
func (m *machine) acidExact(s *stretch) {
	target, what := m.nextSoC(max(0, m.p.acidQ(m.acidRun.land)/m.p.qMax), s.f.current, s.f.mode == ceiling)
	if what == noEvent {
		return
	}
	want, whole := target*m.p.qMax-m.p.acidQ(m.wells), s.tau
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
	} else if s.f.current >= 0 || m.acidRun.land.Level*m.p.qMax >= m.p.zones[m.lt].floorTop {
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
