package sim

import "math"

// A gateway may speak to some chargers only. Those that do not hear the link, the
// deaf ones, work by terminal voltage and on the installer's settings beside those
// that follow the BMS: a ceiling holds back only what hears of it. Such a plan runs
// on the located path.
type deafness struct {
	mixed bool   // data-linked, and some charger does not hear
	deaf  []bool // solar chargers by number
	some  bool   // any of them
	acToo bool   // the AC charger
	hand  stageSettings
	handA float64
	moves float64 // compensation of the installer's settings, V/K
}

// compileDeaf finds what does not hear.
func compileDeaf(p *Plan, s *System) {
	d := &p.deafness
	for _, name := range sortedKeys(s.Array.Chargers) {
		charger := s.Array.Chargers[name]
		hears := charger.Hears()
		d.deaf = append(d.deaf, !hears)
		d.some = d.some || !hears
	}
	d.acToo = !s.Inverter.ChargerHears()
	d.mixed = p.linked && (d.some || d.acToo)
	set := *s.Bank.Settings
	d.hand, d.handA, d.moves = stagesOf(&set), set.ChargeA, set.CompensationV
	p.located = p.located || d.mixed
}

// mixes tells whether deaf chargers work beside others that follow the BMS, or
// that a lost link has stopped.
func (m *machine) mixes() bool {
	return m.p.mixed && (m.following() || m.chargersStopped())
}

// party is what a group of chargers with one set-point can give.
type party struct{ w, a, set float64 }

// Parties of a mixed plan.
const (
	hearing = iota // solar chargers that follow the BMS
	unheard        // solar chargers that do not
	fromAC
	parties
)

// mixture is the parties as they are offered, and those that are taken.
type mixture struct {
	of      [parties]party
	hearing uint8 // bit a party that follows the BMS
}

// solveMixed finds the flows where deaf chargers work beside others.
func (m *machine) solveMixed(f *flow, closed bool) {
	p := m.p
	felt := m.row.envC
	if p.feelsCells {
		felt = m.middleC
	}
	shift := p.moves * (felt - 25)
	f.setD = m.stages[0].volts(&p.hand) + shift
	if p.acToo {
		f.setG = m.stages[1].volts(&p.hand) + shift
	}
	m.offerMixed(f, f.e)
	m.warm(f)
	m.settleMixed(f, closed)
	if was, on := m.amperes(), f.on; f.alive {
		if m.offerMixed(f, f.volts); m.amperes() != was {
			m.settleMixed(f, closed)
		} else {
			m.takeMixed(f, on)
		}
	}
}

// amperes are what the parties at their ampere limits give.
func (m *machine) amperes() [parties]float64 {
	x := &m.mixture
	return [parties]float64{x.of[hearing].a, x.of[unheard].a, x.of[fromAC].a}
}

// offerMixed finds what each party can give at a bus voltage.
func (m *machine) offerMixed(f *flow, volts float64) {
	p, x := m.p, &m.mixture
	x.of = [parties]party{{set: f.setS}, {set: f.setD}, {set: f.setG}}
	x.hearing = 1 << hearing
	if !p.acToo {
		x.hearing |= 1 << fromAC
	}
	if base := m.i * p.chargers; m.row.solarInW > 0 && f.alive {
		for k := range p.chargers {
			to := &x.of[hearing]
			if p.deaf[k] {
				to = &x.of[unheard]
			}
			w, a := p.sky.solarW[base+k], m.solarLimitA(base+k)
			if to.set == 0 || p.deaf[k] && p.sensor[k] && (m.coldWindow || m.hotWindow) {
				continue
			}
			if w > a*volts {
				to.a += a
			} else {
				to.w += w
			}
		}
	}
	if w := f.genInput * p.genEta; w > 0 && f.setG > 0 && f.alive {
		if a := m.acLimitA(); w > a*volts {
			x.of[fromAC].a = a
		} else {
			x.of[fromAC].w = w
		}
	}
	m.takeMixed(f, 1<<parties-1)
}

// takeMixed makes the flow's sources those of some parties.
func (m *machine) takeMixed(f *flow, on uint8) {
	x := &m.mixture
	f.solarW, f.solarA, f.genW, f.genA = 0, 0, 0, 0
	for k, of := range x.of {
		switch {
		case on>>k&1 == 0:
		case k == fromAC:
			f.genW, f.genA = of.w, of.a
		default:
			f.solarW, f.solarA = f.solarW+of.w, f.solarA+of.a
		}
	}
	f.on = on
}

// settleMixed is settle for parties of three set-points: the lowest is shut first,
// and the ceiling holds back those that hear of it, unless the others alone push
// the bank beyond it.
func (m *machine) settleMixed(f *flow, closed bool) {
	f.solarOff, f.genOff, f.genFirst, f.collapse, f.hearShut, f.tooHigh = false, false, false, false, false, false
	if !f.alive {
		f.mode, f.current, f.volts = apart, 0, f.e
		return
	}
	if !closed {
		m.hold(f)
		return
	}
	x := &m.mixture
	all := uint8(0)
	for k, of := range x.of {
		if of.w+of.a > 0 {
			all |= 1 << k
		}
	}
	m.share(f, all)
	if f.current > f.ceilingA+justOffA || f.current > f.ceilingA-justOffA && m.rises(f) {
		if m.tripped&chargeTrips != 0 {
			m.pushMixed(f, all)
		} else if m.share(f, all&^x.hearing); f.current >= f.ceilingA {
			f.hearShut = true
		} else {
			m.takeMixed(f, all)
			f.solarOff, f.genOff, f.collapse = false, false, false
			f.genFirst = m.p.acToo
			f.mode, f.c0, f.current = ceiling, f.ceilingA, f.ceilingA
			f.volts = f.e + f.current*f.r
		}
	}
	if f.current < 0 && (m.drained || m.tripped&dischargeTrips != 0) {
		if f.demand == 0 {
			f.mode, f.current, f.volts = apart, 0, f.e
			return
		}
		m.drop(f)
		m.settleMixed(f, closed)
	}
}

// pushMixed is push for parties of three set-points: the bus stands at the highest
// at which those that are not shut carry the demand.
func (m *machine) pushMixed(f *flow, all uint8) {
	x := &m.mixture
	f.mode, f.current = pushed, 0
	f.solarOff, f.genOff, f.collapse = false, false, false
	for on, w := uint8(0), -1.; on != all && w < f.demand; {
		f.volts, w = 0, 0
		for k, of := range x.of {
			if (all&^on)>>k&1 != 0 {
				f.volts = max(f.volts, of.set)
			}
		}
		for k, of := range x.of {
			if all>>k&1 != 0 && of.set >= f.volts {
				on |= 1 << k
				w += of.w + of.a*f.volts
			}
		}
		m.takeMixed(f, on)
	}
	f.genFirst = x.of[fromAC].set > f.volts
}

// share lets parties give all they can, but those whose set-points the bus would
// pass.
func (m *machine) share(f *flow, on uint8) {
	x := &m.mixture
	f.genFirst = false
	for {
		m.takeMixed(f, on)
		m.carry(f, true, true)
		low := math.Inf(1)
		for k, of := range x.of {
			if on>>k&1 != 0 {
				low = min(low, of.set)
			}
		}
		if f.volts < low-justBelow {
			return
		}
		rest := on
		for k, of := range x.of {
			if of.set <= low {
				rest &^= 1 << k
			}
		}
		f.tooHigh = f.tooHigh || (on&^rest)>>fromAC&1 == 0 // the last one holds it
		m.takeMixed(f, rest)
		m.carry(f, true, true)
		if f.volts <= low+justBelow {
			m.takeMixed(f, on)
			f.genFirst = rest>>fromAC&1 != 0
			f.mode, f.v, f.collapse = constant, low, false
			f.current, f.volts = f.at(0), f.v
			return
		}
		if on = rest; on == 0 {
			f.solarOff, f.genOff = true, true
			return
		}
	}
}

// mixedLimitA is the ampere limit of a solar charger of a mixed plan.
func (m *machine) mixedLimitA(i int) float64 {
	a := m.p.sky.solarA[i]
	switch {
	case !m.mixes():
		return min(a, m.p.setA)
	case m.p.deaf[i-m.i*m.p.chargers]:
		return min(a, m.p.handA)
	}
	return a
}

// deafStage tells whether a kind of charger, 0 solar and 1 AC, works by voltage
// while others follow the BMS.
func (m *machine) deafStage(k int) bool {
	return m.mixes() && (k == 0 && m.p.some || k == 1 && m.p.acToo)
}

// byStages tells whether a kind of charger works by voltage now.
func (m *machine) byStages(k int) bool { return !m.following() && !m.mixes() || m.deafStage(k) }

// stageSet are the settings that chargers which work by voltage hold now.
func (m *machine) stageSet() *stageSettings {
	if m.mixes() {
		return &m.p.hand
	}
	return &m.p.solo
}

// deafEvents considers the deaf solar chargers' set-point, where the segment's
// voltage passes it.
func (m *machine) deafEvents(s *stretch, up bool) {
	f := s.f
	if set := f.setD; set > 0 && (up && f.volts < set-justBelow && s.v1 >= set || !up && f.volts > set+justBelow && s.v1 <= set) {
		s.consider(f.wayTo(set, s.r0), turn)
	}
}
