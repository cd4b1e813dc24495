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
//
// E is the table and the offset of a stated hysteresis (bank.Loop), which begins on
// the branch of a stretch's first current.
type model struct {
	knots          []knot
	loop           bank.Loop // of the state of charge
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
		capacityAh: m.CapacityAh * n, resistanceOhm: m.ResistanceOhm / n, loop: m.Loop(1),
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

// state is what the model says of a row: means of the terminals' voltage, of the
// state of charge, the open-circuit voltage, its offset by hysteresis and the
// resistance, and the state of charge at its end.
type state struct{ v, mean, e, h, r, end float64 }

// run drives a stretch from a state of charge.
func (m *model) run(rows stretch, x *values, start float64, out []state) {
	s, h := start, m.loop.Begin(0)
	if i := slices.IndexFunc(rows, func(r row) bool { return r.a != x.offsetA }); i >= 0 && rows[i].a > x.offsetA {
		h = -h
	}
	perS := 1 / (x.capacityAh * hourS)
	k := m.at(0, s)
	for i := range rows {
		row := &rows[i]
		current := row.a - x.offsetA
		resistance := x.resistanceOhm * row.factor
		subs := int(min(mostSubs, 1+math.Floor(math.Abs(current)*row.dt*perS/finest)))
		dt := row.dt / float64(subs)
		var sum state
		for range subs {
			k = m.at(k, s)
			inner := current - m.drawW/(m.knots[k].e+m.knots[k].g*(s-m.knots[k].s)+h)
			if inner > 0 {
				inner *= m.eta
			}
			ds := (inner*perS - s*m.selfPerS) * dt
			middle := clamp(s + ds/2)
			k = m.at(k, middle)
			p, d := &m.knots[k], middle-m.knots[k].s
			sum.e += p.e + p.g*d
			sum.r += resistance*(p.f+p.fs*d) + m.cableOhm
			sum.mean += middle
			sum.h += m.loop.After(h, middle-s)
			before := s
			s = clamp(s + ds)
			h = m.loop.After(h, s-before)
		}
		n := float64(subs)
		e, r := (sum.e+sum.h)/n, sum.r/n
		out[i] = state{v: e + r*current, mean: sum.mean / n, e: e, h: sum.h / n, r: r, end: s}
	}
}

func clamp(s float64) float64 { return min(1, max(0, s)) }

// prepare writes f_T into the rows.
func (m *model) prepare(rows stretch) {
	for i := range rows {
		rows[i].factor = bank.At(m.byC, rows[i].celsius)
	}
}

// nearest is the state of charge with an open-circuit voltage, the one nearest to
// s where a stretch of them has it; 0 and 1 for voltages beyond the table, with
// how far they are beyond.
func (m *model) nearest(e, s float64) (soc, beyond float64) {
	last := len(m.knots) - 1
	switch {
	case e < m.knots[0].e:
		return 0, e - m.knots[0].e
	case e > m.knots[last].e:
		return 1, e - m.knots[last].e
	}
	low, _ := slices.BinarySearchFunc(m.knots[:last], e, func(k knot, e float64) int {
		if k.e < e {
			return -1
		}
		return 1
	}) // first knot at or above e
	high := low
	for high < last && m.knots[high+1].e <= e {
		high++
	}
	if m.knots[low].e == e { // a flat stretch, or a knot alone
		return math.Min(m.knots[high].s, math.Max(m.knots[low].s, s)), 0
	}
	k := &m.knots[low-1]
	return k.s + (e-k.e)/k.g, 0
}
