package backtest

import (
	"math"
	"slices"

	"bankyear/sim/bank"
)

// values are what a fit may move. A logged current is the true one plus OffsetA
// (positive reads as charge), as in bank.Estimate.
type values struct {
	capacityAh    float64 // of the bank, 25 °C
	resistanceOhm float64 // of the bank's modules, 25 °C and middle SoC
	offsetA       float64 // of the logged current
	start         []float64
}

// model is the electrical side of a bank: the same laws as the simulated year's,
// driven by the logged current instead of chargers and loads.
//
//	V = E(s) + (R·f_T(T)·f_SoC(s) + R_cable)·I
//	ds/dt = (I' > 0 ? η : 1)·I'/Q − s·self-discharge,  I' = I − P_bms/E,  0 ≤ s ≤ 1
type model struct {
	knots          []knot
	byC            [][2]float64
	cableOhm       float64
	eta, selfPerS  float64
	drawW, modules float64
	capacityAh     float64 // as specified
	resistanceOhm  float64
}

// knot is a state of charge at which E or f_SoC bends, with their slopes from
// there up.
type knot struct{ s, e, g, f, fs float64 }

func newModel(s *bank.Spec) *model {
	m, n := &s.Module, float64(s.Modules)
	x := &model{
		byC: m.ResistanceByC, cableOhm: s.CableOhm,
		eta: m.CoulombicFraction, selfPerS: m.SelfDischargeFraction / (730 * hourS), drawW: m.BMSDrawW * n, modules: n,
		capacityAh: m.CapacityAh * n, resistanceOhm: m.ResistanceOhm / n,
	}
	ocv := m.OpenCircuitV()
	at := []float64{0, 1}
	for _, table := range [][][2]float64{ocv, m.ResistanceBySoC} {
		for _, p := range table {
			if p[0] > 0 && p[0] < 1 {
				at = append(at, p[0])
			}
		}
	}
	slices.Sort(at)
	for _, s := range slices.Compact(at) {
		x.knots = append(x.knots, knot{s: s, e: bank.At(ocv, s), f: bank.At(m.ResistanceBySoC, s)})
	}
	for i := range len(x.knots) - 1 {
		a, b := &x.knots[i], &x.knots[i+1]
		a.g, a.fs = (b.e-a.e)/(b.s-a.s), (b.f-a.f)/(b.s-a.s)
	}
	return x
}

// at is the knot below s, looked for from the one before.
func (m *model) at(i int, s float64) int {
	for i > 0 && m.knots[i].s > s {
		i--
	}
	for i < len(m.knots)-2 && m.knots[i+1].s <= s {
		i++
	}
	return i
}

// finest is the largest change of SoC that one substep takes: the knees of the
// open-circuit voltage are a few per cent wide.
const (
	finest   = 0.01
	mostSubs = 60
)

// run drives a stretch from a state of charge and tells mean voltage and final
// state of charge of each row.
func (m *model) run(rows stretch, x *values, start float64, v, soc []float64) {
	s := start
	perS := 1 / (x.capacityAh * hourS)
	k := m.at(0, s)
	for i := range rows {
		r := &rows[i]
		current := r.a - x.offsetA
		resistance := x.resistanceOhm * r.factor
		subs := int(math.Min(mostSubs, 1+math.Floor(math.Abs(current)*r.dt*perS/finest)))
		dt := r.dt / float64(subs)
		sum := 0.
		for range subs {
			k = m.at(k, s)
			inner := current - m.drawW/(m.knots[k].e+m.knots[k].g*(s-m.knots[k].s))
			if inner > 0 {
				inner *= m.eta
			}
			ds := (inner*perS - s*m.selfPerS) * dt
			middle := clamp(s + ds/2)
			k = m.at(k, middle)
			p, d := &m.knots[k], middle-m.knots[k].s
			sum += p.e + p.g*d + (resistance*(p.f+p.fs*d)+m.cableOhm)*current
			s = clamp(s + ds)
		}
		v[i] = sum / float64(subs)
		soc[i] = s
	}
}

func clamp(s float64) float64 { return math.Min(1, math.Max(0, s)) }

// prepare writes f_T into the rows.
func (m *model) prepare(rows stretch) {
	for i := range rows {
		rows[i].factor = bank.At(m.byC, rows[i].celsius)
	}
}

// resistance is that of bank and cable at a row and a state of charge.
func (m *model) resistance(x *values, r *row, soc float64) float64 {
	k := &m.knots[m.at(0, soc)]
	return x.resistanceOhm*r.factor*(k.f+k.fs*(soc-k.s)) + m.cableOhm
}
