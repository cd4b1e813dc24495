package sim

import (
	"math"

	"bankyear/sim/bank"
)

// acidPlan is the electrical side of a lead-acid bank: two wells, and the voltage
// from the level of the available one.
type acidPlan struct {
	wells  bank.TwoWell
	volts  bank.AcidVoltage // at 25 °C
	gasV   float64          // what a gassed ampere-second takes away as gas, J
	vented bool
}

// acidRun is the wells' course over the present segment, and what came of it.
type acidRun struct {
	course         bank.AcidCourse
	volts          bank.AcidVoltage // at the cells' temperature
	hitS, target   float64          // a moment at which the level is exactly on a target
	land           bank.Wells       // at the segment's end
	storedAt       float64          // energy of the wells at the start, J
	storedJ, gasJ  float64          // gain of the wells, and what split water
	lostJ          float64          // in the resistance and between the wells
	gasAs, chargeJ float64          // gassed charge; energy into the terminals
}

// waterV is the voltage at which splitting water takes up no heat: what it needs
// over its charge leaves vented cells as gas (1.48 V, thermodynamics of water at
// 25 °C).
const waterV = 1.48

// boilsC is where the law of gassing holds on: cells that run away are boiled dry
// before they are hotter.
const boilsC = 90

// compileAcid makes the wells of a lead-acid bank.
func compileAcid(p *Plan, s *System) {
	m := &s.Bank.Module
	if !m.LeadAcid() {
		p.located = p.feelsCells && p.compensate != 0
		return
	}
	wells, ok := m.TwoWell(float64(s.Bank.Modules))
	if !ok {
		panic("sim: wells not checked")
	}
	p.acid = &acidPlan{wells: wells, volts: bank.NewAcidVoltage(&s.Bank), vented: m.Chemistry == "lead_acid_vented"}
	if p.acid.vented {
		p.acid.gasV = waterV * p.acid.volts.Cells
	}
}

// withoutBMS is a system whose lead-acid modules get limits that never act, in
// place of those that a BMS has; any other stays what it is.
func withoutBMS(s *System) *System {
	if !s.Bank.Module.LeadAcid() {
		return s
	}
	const never, nowhere = 1e6, -300.
	c := *s
	m := &c.Bank.Module
	m.Disconnect, m.DischargeA, m.PeakAS = "directional", math.Inf(1), nil
	m.ResistanceBySoC = [][2]float64{{1, 1}}
	m.CoulombicFraction, m.BMSDrawW = 1, 0
	m.Linked = bank.LinkedLimits{CeilingByC: [][2]float64{{25, never}}, CeilingBySoC: [][2]float64{{1, 1}}, FullV: never, ResumeBelowSoC: 1}
	m.Protection = bank.Protection{
		OverV: never, OverReleaseV: never - 1, ChargeColdC: nowhere, ChargeColdReleaseC: nowhere + 1, ChargeHotC: never, ChargeHotReleaseC: never - 1,
		DischargeColdC: nowhere, DischargeColdReleaseC: nowhere + 1, DischargeHotC: never, DischargeHotReleaseC: never - 1,
		ChargeSeenA: never, ChargeOverA: never, AsleepAfterH: never, OverALatchCount: 1, OverVLatchCount: 1,
	}
	return &c
}

// acidQ is the charge of wells, As, in which the rated capacity is the state of
// charge's whole: negative where more than that is drawn.
func (p *Plan) acidQ(w bank.Wells) float64 { return p.qMax * p.acid.wells.RatedSoC(w, p.qMax) }

// acidCells are the open-circuit voltage and the resistance for a discharge.
func (m *machine) acidCells(f *flow) {
	f.e, f.g, f.rs = m.p.acid.volts.RestV(m.wells.Level), 0, 0
	m.acidOhm(f, false)
}

// acidOhm is the resistance, which differs between charge and discharge.
func (m *machine) acidOhm(f *flow, charging bool) {
	v := m.p.acid.volts
	v.ResistanceOhm = m.ohm
	f.r = v.OhmAt(m.wells.Level, charging)
}

// acidAdvance moves the wells to the first event before a time, and books it.
func (m *machine) acidAdvance(f *flow, until float64) {
	r := &m.acidRun
	s := &m.stretch
	*s = stretch{f: f, eta: 1, perEta: 1, r0: 1, tau: until - m.now, acid: r}
	m.acidCourse(f, s.tau)
	m.acidReach(s)
	m.warmth(s)
	m.acidSink(s)
	m.reckon(s)
	m.burn(s)
	m.commit(s, until)
	m.wells = r.land
	m.drained = m.drained || m.wells.Level <= 0
}

// acidCourse begins the segment's course by the law that the current follows. An
// empty well gasses nothing.
func (m *machine) acidCourse(f *flow, horizonS float64) {
	r, b := &m.acidRun, m.p.acid.wells
	r.volts, r.hitS = m.p.acid.volts, math.Inf(1)
	r.volts.ResistanceOhm = m.ohm
	celsius := min(m.middleC, boilsC)
	if m.wells.Level <= 0 {
		r.volts.GasA = 0
	}
	drive := r.volts.Carried(f.current, celsius)
	switch {
	case f.mode == constant:
		r.volts.CableOhm -= f.sense
		drive = r.volts.Held(f.v, celsius)
	case f.mode == power && !f.collapse:
		drive = r.volts.Powered(f.p, f.source, celsius)
	}
	drive.Follow(&r.course, b, m.wells, horizonS)
	r.storedAt = r.volts.StoredJ(b, m.wells)
}

// to ends the segment at its time: the wells there, and what went where. The
// voltage at the end is the one that makes the mean of both ends the mean.
func (r *acidRun) to(m *machine, s *stretch) {
	f, c, b := s.f, &r.course, m.p.acid.wells
	end := c.Moment(s.tau)
	if r.land = end.Wells; s.tau == r.hitS {
		r.land = end.Onto(b, r.target)
	}
	s.x = b.CapacityAs * (b.SoC(r.land) - b.SoC(m.wells))
	s.through = c.TerminalAs(end)
	r.gasAs, s.draw = s.through-s.x, 0
	if s.tau > 0 {
		s.draw = r.gasAs / s.tau
	}
	s.i1 = c.TerminalA(end.Level)
	s.v1 = f.volts + (s.i1-f.current)*f.sense
	if f.mode == power && !f.collapse {
		s.v1 = 2*c.MeanV(end) - f.volts
	}
	r.storedJ = r.volts.StoredJ(b, r.land) - r.storedAt
	r.gasJ = r.gasAs * r.volts.RestV(end.MeanLevel)
	switch {
	case f.mode == power && !f.collapse:
		r.chargeJ = (f.p + f.source*c.MeanV(end)) * s.tau
	case f.mode == apart:
		r.chargeJ = 0
	default:
		r.chargeJ = s.through * (f.volts + s.v1) / 2
	}
	r.lostJ = r.chargeJ - r.storedJ - r.gasJ
}

// heat is the mean heat over the segment: everything that is lost, but what
// leaves vented cells as gas.
func (r *acidRun) heat(m *machine, s *stretch) {
	const instantS = 1e-2 // below it what is lost is lost in the digits of what is stored
	if s.tau < instantS {
		s.heatW = s.f.heater + (s.f.volts-s.f.e)*s.f.current
		return
	}
	s.heatW = s.f.heater + (r.lostJ+r.gasJ-m.p.acid.gasV*r.gasAs)/s.tau
}

// acidWarms finds the resistance anew with the heat of the flows, and tells whether
// the middle of the time left is warmer or colder than with the heat of the segment
// before: a segment is often an hour, and its heat not that of the hour before.
func (m *machine) acidWarms(f *flow) bool {
	const mattersC = 0.02
	v, w, before := &m.acidRun.volts, m.p.acid.wells, m.middleC
	*v = m.p.acid.volts
	v.ResistanceOhm = m.ohm
	gas, down := v.GassingA(f.volts-f.current*f.sense, min(m.middleC, boilsC)), w.AcceptedA(m.wells)
	m.lossW = f.heater + (f.volts-f.e)*f.current + gas*(f.e-m.p.acid.gasV) + down*(f.e-v.RestV(m.wells.BoundLevel))
	m.predict()
	return math.Abs(m.middleC-before) > mattersC
}
