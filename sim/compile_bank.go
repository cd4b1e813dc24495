package sim

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"bankyear/sim/bank"
	"bankyear/weather"
)

// A lithium cell that is full takes next to nothing more: its open-circuit voltage rises
// beyond the end of its table, by beyondFullV a cell over beyondFull of the capacity,
// until no current flows from what the chargers hold, or the protection trips. The slope
// is an assumption, three times the steepest of the table of lithium iron phosphate; what
// counts is that it is steep. Gas of lead-acid has a law of its own.
const (
	beyondFull  = 0.01
	beyondFullV = 1.0
)

// compileCells makes the bank's knots: wherever the open-circuit voltage or the
// SoC factor of the resistance bends.
func compileCells(p *Plan, s *System) {
	m, n := &s.Bank.Module, float64(s.Bank.Modules)
	ocv := m.OpenCircuitV()
	var socs []float64
	for _, point := range ocv {
		socs = append(socs, point[0])
	}
	for _, point := range m.ResistanceBySoC {
		if point[0] > 0 && point[0] < 1 {
			socs = append(socs, point[0])
		}
	}
	slices.Sort(socs)
	socs = slices.Compact(socs)
	c := &p.cells
	c.qMax = m.CapacityAh * n * 3600
	c.loop = m.Loop(c.qMax)
	c.eta, c.perEta, c.cableR, c.modules = m.CoulombicFraction, 1/m.CoulombicFraction, s.Bank.CableOhm, n
	c.asleepW = m.Protection.AsleepDrawW * n
	c.drawW, c.selfPS = m.BMSDrawW*n, m.SelfDischargeFraction/(730*3600)
	c.cycles, c.warrantyMWh = m.CyclesByDepth, m.WarrantyMWh*n
	c.ageByC, c.floatPace = ageTable(m.Chemistry), floatPace(m.Chemistry)
	c.ageYears, c.left, c.growth = s.Bank.AgeYears, s.Bank.AgedCapacityFraction(), s.Bank.ResistanceGrowth(1)
	for _, soc := range socs {
		c.knots = append(c.knots, knot{q: soc * c.qMax, e: bank.At(ocv, soc), f: bank.At(m.ResistanceBySoC, soc)})
	}
	c.topQ = c.qMax
	if !m.LeadAcid() {
		full := c.knots[len(c.knots)-1]
		c.topQ = c.qMax * (1 + beyondFull)
		c.knots = append(c.knots, knot{q: c.topQ, e: full.e + beyondFullV*float64(m.CellsInSeries), f: full.f})
	}
	for i := range len(c.knots) - 1 {
		a, b := &c.knots[i], &c.knots[i+1]
		a.g, a.fs = (b.e-a.e)/(b.q-a.q), (b.f-a.f)/(b.q-a.q)
	}
	p.initialQ = s.Bank.InitialSoC * c.qMax
}

// compileHeat makes the thermal side: n modules of their heat capacity, and the
// resistance of their surface and of an insulated cupboard.
func compileHeat(p *Plan, s *System) {
	e, n := &s.Bank.Enclosure, float64(s.Bank.Modules)
	p.capJ = s.Bank.Module.HeatKJPerC * 1000 * n
	p.steps = max(1, math.Ceil(p.sky.stepS/p.stepS-1e-9))
	p.wholeS = p.sky.stepS / p.steps
	p.heat.through(s.Bank.SurfaceCPerW() + s.Bank.InsulationCPerW())
	p.heaterW, p.fromBank = e.HeaterW*n, e.HeaterFrom == "sources_and_bank"
}

// through sets the resistance between cells and air, K/W.
func (h *heat) through(perW float64) {
	h.perW, h.rate = perW, 1/(h.capJ*perW)
	h.wholeLeft = bank.Decay(h.rate * h.wholeS)
}

// surroundings is the air around the bank, °C: outdoor air; a room that follows
// it by a first-order lag of one day, warmer by a stated difference; or a
// stated or seasonal temperature.
func surroundings(e *bank.Enclosure, w *weather.Year) []float64 {
	n := w.Len()
	air := make([]float64, n)
	switch e.Kind {
	case "fixed":
		for i := range air {
			air[i] = e.FixedC
		}
	case "seasonal":
		for i := range air {
			day := (float64(i) + 0.5) * float64(w.StepS) / 86400
			air[i] = e.FixedC + e.SwingC*math.Cos(2*math.Pi*(day-e.WarmestDay+0.5)/365.25)
		}
	case "ventilated_room":
		keep := math.Exp(-float64(w.StepS) / 86400)
		room := 0.
		for _, t := range w.AmbientC[n-30*86400/w.StepS:] { // settle on the year's end
			room = t + (room-t)*keep
		}
		for i, t := range w.AmbientC {
			room = t + (room-t)*keep
			air[i] = room + e.RoomC
		}
	default:
		copy(air, w.AmbientC)
	}
	if e.SolarGain > 0 {
		sun := w.GHI
		if sun == nil {
			sun = w.PlaneWM2
		}
		for i := range air {
			air[i] += e.SolarGain * sun[i] / 1000
		}
	}
	return air
}

// sortedKeys keeps every walk over a map in one order.
func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K { return slices.Sorted(maps.Keys(m)) }
