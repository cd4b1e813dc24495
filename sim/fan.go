package sim

// A fan of the enclosure blows outside air past the cells while they are warm: its
// insulation counts for nothing then, and the fan draws from the bus. A plan with a
// fan has a twin that is all the same but for that.

// compileFan makes the twins, of every source of AC.
func compileFan(p *Plan, s *System) {
	fan := s.Bank.Enclosure.Fan
	if fan == nil {
		return
	}
	plain := p.sets
	if len(plain) == 0 {
		plain = []*Plan{p}
	}
	fanned := make([]*Plan, len(plain))
	for k, q := range plain {
		v := *q
		v.heat.through(s.Bank.SurfaceCPerW())
		v.fanW = fan.W
		v.ownW += fan.W
		q.twin, v.twin = &v, q
		if fanned[k] = &v; len(p.sets) > 0 {
			v.sets = fanned
		}
	}
}

// warmLike gives a plan, and its like, another's heat.
func (p *Plan) warmLike(other *Plan) {
	for _, q := range p.alike() {
		q.heat = other.heat
		if q.twin != nil {
			q.twin.heat = other.twin.heat
		}
	}
}

// alike are the plans of every source of AC, fans at rest.
func (p *Plan) alike() []*Plan {
	if len(p.sets) == 0 {
		return []*Plan{p}
	}
	return p.sets
}

// fanStep switches the fan.
func (m *machine) fanStep() bool {
	if m.p.twin == nil || !window(&m.fanOn, m.lt > m.p.t.fanOn, m.lt <= m.p.t.fanOff) {
		return false
	}
	m.countFan()
	m.p, m.predicted = m.p.twin, false
	return true
}

// countFan adds the fan's draw since the last look, as long as the plan is still the
// one with it running.
func (m *machine) countFan() {
	m.books.fan += m.p.fanW * (m.now - m.fanSince)
	m.fanSince = m.now
}
