package sim

import (
	"math"
	"slices"
)

// Chargers that are set to one voltage do not all hold it there: each goes by its own
// measurement, which is off by some tenths of a volt, and measures at its own terminals
// or, by sense wires, at the bank's, where the drop in the cable is made up. Of several
// the highest carries the taper (common practice, no source). Chargers that hold one
// voltage by one measurement are a party; such a plan runs on the located path.

// party is chargers of one kind that hold the same voltage.
type party struct {
	ac, deaf bool
	offsetV  float64 // of what it holds above its set-point
	ohm      float64 // of the cable whose drop it makes up
}

// partyPlan is the parties: solar chargers that hear the link, those that do not, and
// the AC charger.
type partyPlan struct {
	list      []party
	of        []int   // of each solar charger
	disagree  bool    // some charger holds another voltage than it is set to
	sensedOhm float64 // the cable, where some charger senses at the bank
}

// ac is the AC charger's party.
func (p *partyPlan) ac() int { return len(p.list) - 1 }

// compileParties finds them.
func compileParties(p *Plan, s *System) {
	x := &p.parties
	add := func(to party, atBank bool) int {
		if atBank {
			to.ohm = s.Bank.CableOhm
		}
		x.disagree = x.disagree || to.offsetV != 0 || to.ohm > 0
		x.sensedOhm = max(x.sensedOhm, to.ohm)
		if i := slices.Index(x.list, to); i >= 0 {
			return i
		}
		x.list = append(x.list, to)
		return len(x.list) - 1
	}
	names := sortedKeys(s.Array.Chargers)
	x.of = make([]int, len(names))
	for _, hears := range []bool{true, false} {
		for k, name := range names {
			if c := s.Array.Chargers[name]; c.Hears() == hears {
				x.of[k] = add(party{deaf: !hears, offsetV: c.SetOffsetV}, c.SensesAtBank())
			}
		}
	}
	i := &s.Inverter
	add(party{ac: true, deaf: !i.ChargerHears(), offsetV: i.ChargerSetOffsetV}, i.ChargerSensesAtBank())
	p.located = p.located || x.disagree
}

// ohmOf is the resistance of the cable whose drop a party makes up, Ω.
func (m *machine) ohmOf(k int) float64 {
	if k < len(m.p.parties.list) {
		return m.p.parties.list[k].ohm
	}
	return 0
}

// disagrees tells whether the chargers have set-points of their own now.
func (m *machine) disagrees() bool { return m.p.parties.disagree || m.mixes() }

// behind is the bus voltage V at which the voltage behind a resistance that the bank's
// current P/V + I_s flows through is v: V² − (v + R·I_s)·V − R·P = 0.
func behind(v, ohm, p, source float64) float64 {
	if ohm == 0 {
		return v
	}
	b := v + ohm*source
	return (b + math.Sqrt(max(0, b*b+4*ohm*p))) / 2
}

// wayToSensed is the way at which the voltage behind a part of the cable is v.
func (f *flow) wayToSensed(v, ohm, sign float64) float64 {
	switch {
	case ohm == 0 && f.mode != constant:
		return f.wayTo(v, sign)
	case f.mode == power:
		return f.wayTo(behind(v, ohm, f.p, f.source), sign)
	case f.mode == constant:
		i := (v - f.v) / (f.sense - ohm)
		return (f.v - f.e - (f.r-f.sense)*i) / (f.g + f.rs*i)
	}
	inner := *f
	inner.r -= ohm
	return inner.wayTo(v, sign)
}

// partyEvents considers the set-points that the parties' voltages pass.
func (m *machine) partyEvents(s *stretch) {
	f := s.f
	for k, of := range m.mixture.of {
		if of.w+of.a == 0 {
			continue
		}
		ohm := m.p.parties.list[k].ohm
		v0, v1 := f.volts-f.current*ohm, s.v1-s.i1*ohm
		if v1 > v0 && v0 < of.still-justBelow && v1 >= of.still || v1 < v0 && v0 > of.still+justBelow && v1 <= of.still {
			s.consider(f.wayToSensed(of.still, ohm, s.r0), turn)
		}
	}
}

// taperEvents considers what the voltages pass that move while one is held: those of
// chargers that sense elsewhere; the bank's where the bus is held, and where the bank
// is, the bus's.
func (m *machine) taperEvents(s *stretch) {
	f := s.f
	if f.cable > 0 {
		m.partyEvents(s)
	}
	if f.cable != f.sense {
		if i, what := m.nextVolt(s.v1 - s.i1*f.cable); what != noEvent {
			s.passed = i
			s.consider(f.wayToSensed(m.p.volts[i], f.cable, s.r0), what)
		}
	}
	if f.sense > 0 {
		m.busEvents(s)
		m.kneeEvents(s, s.v1 > f.volts)
	}
}

// busEvents considers the thresholds that the bus passes where its voltage is told
// from the bank's.
func (m *machine) busEvents(s *stretch) {
	for _, v := range m.p.volts {
		s.pastKnee(v, s.v1 > s.f.volts)
	}
}
