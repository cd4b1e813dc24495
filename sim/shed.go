package sim

// shedding is whether flexible load is off, and by what.
type shedding struct {
	shed      bool
	shedBySoC bool // the reported SoC fell to where it is shed, and is not back yet
	shedByV   bool // likewise the bus voltage
	byHand    bool // the operator has it off
	sparing   bool // the operator would have it off
}

// shedStep sheds and returns flexible load on the reported SoC, and on the voltage of
// a bus that is alive: below one for a time, back above a higher one. So do the
// operator, and the discharge ceiling.
func (m *machine) shedStep(f *flow) bool {
	p, s := m.p, &m.shedding
	if p.reports {
		window(&s.shedBySoC, m.ls <= p.s.shed, m.ls > p.s.back)
	}
	if p.shedsByVoltage() {
		if m.held(tShed, f.alive && m.lb <= p.v.shed && !s.shedByV, p.controls.ShedBelowHoldS) {
			s.shedByV = true
		}
		s.shedByV = s.shedByV && m.lb <= p.v.shedBack
	}
	m.shedByHand()
	was := s.shed
	s.shed = m.keepsOff(m.discharging.stage)
	return s.shed != was
}

func (p *Plan) shedsByVoltage() bool { return p.controls.ShedBelowV > 0 }

// keepsOff tells whether anything keeps flexible load off, the discharge ceiling at a
// stage of its own.
func (m *machine) keepsOff(stage dischargeStage) bool {
	return m.shedBySoC || m.shedByV || m.byHand || stage != allOn
}
