package sim

// The counter of an inverter sees what goes through the inverter: what it draws
// and what its AC charger gives, not the load on the DC bus, and the solar chargers
// only where they tell it.

// compileOwnCount finds whether the counter is of that kind. Such a plan runs on
// the located path.
func compileOwnCount(p *Plan, s *System) {
	p.ownCount = p.counter.Kind == "inverter_own"
	p.seesSolar = s.Bank.Estimate.SeesSolar
	p.located = p.located || p.ownCount
}

// seenAs is the charge that it sees in a segment, As.
func (m *machine) seenAs(s *stretch) float64 {
	m.energies(s)
	f := s.f
	joule := s.gen - f.invIn*s.tau
	if m.p.seesSolar {
		joule += s.solar
	}
	seen := joule / ((f.volts + s.v1) / 2)
	if m.unseenA = 0; s.tau > 0 {
		m.unseenA = (s.through - seen) / s.tau
	}
	return seen
}

// seenA is the current that the counter sees at the start of a segment: the bank's,
// but for an inverter's own.
func (m *machine) seenA(f *flow) float64 {
	if !m.p.ownCount || f.volts <= 0 {
		return f.current
	}
	total := max(0, f.demand+f.volts*f.current)
	solar, gen := 0., 0.
	if !f.solarOff {
		solar = f.solarW + f.solarA*f.volts
	}
	if !f.genOff {
		gen = f.genW + f.genA*f.volts
	}
	if f.genFirst {
		gen = min(gen, total)
		solar = min(solar, total-gen)
	} else {
		solar = min(solar, total)
		gen = min(gen, total-solar)
	}
	if !m.p.seesSolar {
		solar = 0
	}
	return (gen + solar - f.invIn) / f.volts
}
