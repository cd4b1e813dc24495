package sim

import "math"

// maxShifts is how many appliances may shift.
const maxShifts = 16

// lookS is how often an appliance that may shift is looked at, s.
const lookS = 900

// shiftWindow is one stretch of hours of an appliance that may shift.
type shiftWindow struct {
	from, to float64 // s after the year's start
	energy   float64 // that it owes in them, J
	w        float64
	dc       bool
}

// shifting is the state of flexible energy that may shift.
type shifting struct {
	on       bool // any of it runs
	acW, dcW float64
	extra    row // the present row with it
	each     [maxShifts]shift
}

// shift is one appliance in its window.
type shift struct {
	window int
	open   bool
	on     bool
	sunny  bool    // it runs on what would be curtailed
	left   float64 // energy that it owes still, J
	since  float64 // it is on, or was last reckoned
	look   float64 // next time that it is looked at
}

// compileShifts lists the windows, those of the settling days before the year
// too.
func compileShifts(p *Plan, l *Load) {
	if len(l.Shifts) == 0 {
		return
	}
	n, before := len(p.sky.rows), int(p.settleS/p.sky.stepS)
	for k := range l.Shifts {
		s := &l.Shifts[k]
		var list []shiftWindow
		was := 0.
		for i := -before; i < n; i++ {
			on := s.On[(i+n)%n]
			at := float64(i) * p.sky.stepS
			switch {
			case on > 0 && was == 0:
				list = append(list, shiftWindow{from: at, w: s.W, dc: s.DC})
				fallthrough
			case on > 0:
				w := &list[len(list)-1]
				w.to = at + p.sky.stepS
				w.energy += on * s.W * s.MeanFraction * p.sky.stepS
			}
			was = on
		}
		p.shifts = append(p.shifts, list)
	}
}

// takeShifted puts what runs of it into the present row.
func (m *machine) takeShifted() {
	p, x := m.p, &m.shifting
	m.row = &p.sky.rows[m.i]
	if x.on = x.acW+x.dcW > 0; !x.on {
		return
	}
	x.extra = *m.row
	r := &x.extra
	r.acAll, r.dcAll = r.acAll+x.acW, r.dcAll+x.dcW
	r.invAll = p.inverter.dc(r.acAll)
	r.overAll = p.inverter.allowedS(r.acAll * r.vaAll / r.derate)
	r.strained = !math.IsInf(r.overAll, 1)
	r.rough = r.strained || r.acSunW > 0
	m.row = r
}

// shiftStep switches appliances that may shift: on while the sun would be
// curtailed by at least what they take, off when the bank would give for them, on
// from the latest moment at which the window still holds what they owe. It looks
// at them every quarter of an hour, and switches them off at once where they are
// not served.
func (m *machine) shiftStep(f *flow) (changed bool) {
	p, x := m.p, &m.shifting
	if p.shifts == nil || !x.on && m.timers.running(tShift) && m.now < m.due[tShift] {
		return false
	}
	spare := m.spareSun(f)
	next := math.Inf(1)
	for k, list := range p.shifts {
		s := &x.each[k]
		unserved := s.on && !m.serves(&list[s.window], f)
		looks := m.now >= s.look || !m.timers.running(tShift)
		if unserved || looks {
			m.reckonShift(s, list)
		}
		if unserved {
			changed = m.switchShift(s, false) || changed
		}
		if looks {
			changed = m.decideShift(s, list, f, &spare) || changed
		}
		next = min(next, s.look)
	}
	m.stop(tShift)
	if next < forever {
		m.set(tShift, next)
	}
	return changed
}

// reckonShift takes off what has been taken since the last time.
func (m *machine) reckonShift(s *shift, list []shiftWindow) {
	if s.on {
		took := list[s.window].w * (m.now - s.since)
		s.left = max(0, s.left-took)
		if s.sunny {
			m.books.shifted += took
		}
	}
	s.since = m.now
}

// decideShift opens and closes windows, switches, and says when to look again.
func (m *machine) decideShift(s *shift, list []shiftWindow, f *flow, spare *float64) (changed bool) {
	if s.open && m.now >= list[s.window].to-1e-6 {
		changed = m.switchShift(s, false)
		m.books.load += s.left
		m.books.unserved += s.left
		m.books.shed += s.left
		s.open = false
		s.window++
	}
	if s.window == len(list) {
		s.look = math.Inf(1)
		return changed
	}
	w := &list[s.window]
	if !s.open {
		if m.now < w.from {
			s.look = w.from
			return changed
		}
		s.open, s.left = true, w.energy
	}
	latest := w.to - s.left/w.w
	need := m.shiftNeed(w)
	late := m.now >= latest-1e-6
	sunny := m.gen.phase != loaded && (s.on && f.current >= 0 || !s.on && *spare >= need)
	on := s.left > 1e-6*w.energy && m.serves(w, f) && (late || sunny) && (s.on || m.fits(w))
	if on && !s.on && !late {
		*spare -= need
	}
	if s.sunny = on && !late; on != s.on {
		changed = m.switchShift(s, on) || changed
	}
	if s.look = w.to; s.left > 1e-6*w.energy {
		s.look = min(s.look, (math.Floor(m.now/lookS)+1)*lookS)
		if !late {
			s.look = min(s.look, latest)
		}
		if on {
			s.look = min(s.look, m.now+s.left/w.w)
		}
	}
	return changed
}

// switchShift switches one on or off.
func (m *machine) switchShift(s *shift, on bool) bool {
	if s.on == on {
		return false
	}
	s.on = on
	x := &m.shifting
	x.acW, x.dcW = 0, 0
	for k, list := range m.p.shifts {
		switch each := &x.each[k]; {
		case !each.on:
		case list[each.window].dc:
			x.dcW += list[each.window].w
		default:
			x.acW += list[each.window].w
		}
	}
	m.takeShifted()
	return true
}

// serves tells whether what is switched on would be served now.
func (m *machine) serves(w *shiftWindow, f *flow) bool {
	if m.shed {
		return false
	}
	if w.dc {
		return f.alive && m.loadOn()
	}
	return f.inverterOn || f.acByGen > 0
}

// fits tells whether the inverter bears it beside the other load.
func (m *machine) fits(w *shiftWindow) bool {
	return w.dc || m.gen.phase == loaded || math.IsInf(m.p.inverter.allowedS((m.row.acAll+w.w)*m.row.vaAll/m.row.derate), 1)
}

// shiftNeed is what it takes from the DC bus, W.
func (m *machine) shiftNeed(w *shiftWindow) float64 {
	if w.dc {
		return w.w
	}
	return m.p.inverter.dc(m.row.acAll+w.w) - m.p.inverter.dc(m.row.acAll)
}

// spareSun is what the chargers could give beyond what is taken, W.
func (m *machine) spareSun(f *flow) float64 {
	if !f.alive || m.gen.phase == loaded || m.row.solarInW+m.row.acSunW == 0 {
		return 0
	}
	offered := f.solarW + f.genW + (f.solarA+f.genA)*f.volts
	return offered - max(0, f.demand+f.volts*f.current)
}
