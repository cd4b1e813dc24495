package sim

import (
	"math"

	"bankyear/sim/bank"
)

// dischargePlan is the discharge ceiling that a data-linked BMS reports: n/worst_share
// modules' table of cell temperature times a factor of the reported SoC. It is shared by
// all plans of one bank.
type dischargePlan struct {
	at, slope []float64    // A at the lower end of each zone of temperature, A/K
	mostA     float64      // highest of the table
	bySoC     [][2]float64 // factor
	acts      []bool       // the factor bends at the threshold of reported SoC
	leastA    []float64    // the least in each zone of temperature
	leastPart []float64    // the least factor in each level of reported SoC
	demandA   float64      // more than the site can ever ask of the bank
}

// dischargeStage is what the discharge ceiling keeps off.
type dischargeStage uint8

const (
	allOn dischargeStage = iota
	flexibleOff
	loadOff
)

// discharging is the state of a load that the discharge ceiling holds back.
type discharging struct {
	stage  dischargeStage
	why    Cause   // of a load that is off
	askedA float64 // what it asked of the bank as it went off
}

// backPart is the part of the discharge ceiling that what comes back may ask, and
// lookBackS how often that is looked at (common practice, no source).
const (
	backPart  = 0.9
	lookBackS = 300
)

// compileDischarge makes the discharge ceiling of a module that states one.
func compileDischarge(p *Plan, s *System) {
	l := &s.Bank.Module.Linked
	if !p.linked || !l.LimitsDischarge() {
		return
	}
	byC, share := s.Bank.Module.DischargeCeilingByC(), p.modules/s.Bank.Module.WorstShare
	d := &dischargePlan{bySoC: l.DischargeFactorBySoC()}
	ends := func(list []float64, i int) (lo, hi float64) {
		lo, hi = math.Inf(-1), math.Inf(1)
		if i > 0 {
			lo = list[i-1]
		}
		if i < len(list) {
			hi = list[i]
		}
		return lo, hi
	}
	for i := range p.zones {
		lo, hi := ends(p.celsius, i)
		at, slope := line(byC, lo, hi, share)
		least := at
		if slope < 0 {
			least += slope * (hi - lo)
		}
		d.at, d.slope, d.leastA = append(d.at, at), append(d.slope, slope), append(d.leastA, least)
	}
	for _, point := range byC {
		d.mostA = max(d.mostA, point[1]*share)
	}
	before := 0.
	for i := range len(p.limits.soc) + 1 {
		lo, hi := ends(p.limits.soc, i)
		at, slope := line(d.bySoC, lo, hi, 1)
		least := at
		if slope < 0 {
			least += slope * (hi - lo)
		}
		d.leastPart = append(d.leastPart, least)
		if i > 0 {
			d.acts = append(d.acts, math.Abs(slope-before) > 1e-9)
		}
		before = slope
	}
	most := 0.
	for i := range p.sky.rows {
		r := &p.sky.rows[i]
		most = max(most, r.invAll+r.dcAll+r.nightDrawW)
	}
	d.demandA = (most + p.ownW) / s.Inverter.MinV
	if fan := s.Bank.Enclosure.Fan; fan != nil {
		d.demandA += fan.W / s.Inverter.MinV
	}
	if p.shifts != nil {
		d.demandA = math.Inf(1)
	}
	p.discharge = d
}

// dischargeCeilingA is the discharge ceiling at a cell temperature of the present zone and a
// reported SoC, A; without end where there is none.
func (m *machine) dischargeCeilingA(celsius, soc float64) float64 {
	d := m.p.discharge
	if d == nil || !m.following() {
		return math.Inf(1)
	}
	return m.dischargeAtC(celsius) * bank.At(d.bySoC, soc)
}

// dischargeAtC is the same at a factor of 1.
func (m *machine) dischargeAtC(celsius float64) float64 {
	d := m.p.discharge
	return max(0, d.at[m.lt]+d.slope[m.lt]*(celsius-m.p.zones[m.lt].lo))
}

// clearOfDischarge tells whether nothing that the site may ask reaches the discharge
// ceiling in the present zone of temperature and level of reported SoC.
func (m *machine) clearOfDischarge() bool {
	d := m.p.discharge
	return d == nil || d.demandA < d.leastA[m.lt]*d.leastPart[m.ls]
}

// overDischarge tells whether the bank gives more than its discharge ceiling.
func (m *machine) overDischarge(f *flow) bool {
	return f.current < -justOffA && -f.current > m.dischargeCeilingA(m.celsius, m.soc)-justOffA
}

// dischargeStep keeps load off that would take more than the discharge ceiling: the
// flexible first, after a second that, after another all of it. Every five minutes it
// is looked at whether what was taken off last may come back: with it the bank would
// have to give nine tenths of the ceiling at most.
func (m *machine) dischargeStep(f *flow) bool {
	if m.p.discharge == nil {
		return false
	}
	x := &m.discharging
	if !m.following() {
		m.stop(tOver)
		m.stop(tLookBack)
		was := x.stage
		x.stage = allOn
		return was != allOn
	}
	if m.held(tOver, x.stage != loadOff && m.connected() && m.overDischarge(f), dwellS) {
		if x.stage++; x.stage == loadOff {
			x.why, x.askedA = m.dischargeCause(-f.current), -f.current
		}
		m.set(tLookBack, m.now+lookBackS)
		return true
	}
	if x.stage == allOn || !m.ended(tLookBack) {
		return false
	}
	changed := m.wouldGiveA(x.stage-1) <= backPart*m.dischargeCeilingA(m.celsius, m.soc)
	if changed {
		x.stage--
	}
	if x.stage != allOn {
		m.set(tLookBack, m.now+lookBackS)
	}
	return changed
}

// wouldGiveA is the current that the bank would give now with more of the load on.
func (m *machine) wouldGiveA(stage dischargeStage) float64 {
	was, inv, shed, parties := m.discharging.stage, m.inv, m.shed, m.mixture
	m.discharging.stage, m.inv, m.shed = stage, running, m.keepsOff(stage)
	var f flow
	m.solve(&f)
	m.discharging.stage, m.inv, m.shed, m.mixture = was, inv, shed, parties
	return -f.current
}

// dischargeCause names what a load is too much for: the highest of the ceilings, or
// what lowers it most, temperature or the reported SoC.
func (m *machine) dischargeCause(current float64) Cause {
	d := m.p.discharge
	switch {
	case current > d.mostA:
		return OverCurrent
	case m.dischargeAtC(m.celsius)/d.mostA <= bank.At(d.bySoC, m.soc):
		return m.side()
	}
	return Empty
}

// overtake ends the segment where the discharge current meets its ceiling, which moves
// with cell temperature and reported SoC.
func (m *machine) overtake(s *stretch) {
	if m.p.discharge == nil || m.discharging.stage == loadOff || m.overDischarge(s.f) {
		return
	}
	below := m.dischargeCeilingA(m.celsius, m.soc) + s.f.current
	after := m.belowDischarge(s)
	if after >= 0 || s.i1 > -justOffA {
		return
	}
	lo, hi, whole := 0., s.tau, s.tau
	for range 12 { // regula falsi: current and ceiling are almost straight lines of time
		t := lo + (hi-lo)*below/(below-after)
		if !(t > lo && t < hi) {
			break
		}
		m.shorten(s, t, turn)
		x := m.belowDischarge(s)
		if math.Abs(x) < justOffA/2 {
			return
		}
		if x < 0 {
			hi, after, below = t, x, below/2
		} else {
			lo, below, after = t, x, after/2
		}
	}
	if hi < whole {
		m.shorten(s, hi, turn)
	}
}

// belowDischarge is how far the discharge current is below its ceiling at the
// segment's end, A.
func (m *machine) belowDischarge(s *stretch) float64 {
	soc := (m.q + s.x) / m.p.qMax
	if !m.p.exact {
		soc = m.soc + m.counting(s)
	}
	return m.dischargeCeilingA(m.cellAfter(s), soc) + s.i1
}
