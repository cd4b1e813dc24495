package sim_test

import (
	"math"
	"slices"

	"bankyear/sim"
	"bankyear/sim/bank"
	"bankyear/sim/genset"
)

// What follows from other members where a system leaves it out.

// refComplete is a system with that filled in.
func refComplete(given *sim.System) *sim.System {
	s := *given
	b := &s.Bank
	m, n, cells := &b.Module, float64(b.Modules), float64(b.Module.CellsInSeries)
	cell := refCellOf(m)
	if b.Settings == nil {
		b.Settings = &bank.Settings{
			AbsorbV: typed(cell.absorbV * cells), FloatV: typed(cell.floatV * cells), RestartV: typed(cell.restartV * cells),
			AbsorbMaxS: 3600 * cell.absorbMaxH, TailA: cell.tail * n * m.CapacityAh, TailHoldS: 180, TailSeen: "bank", RestartHoldS: 120,
			ChargeA: m.VoltageOnlyA * n / m.WorstShare, CompensationV: cell.compensationV * cells,
			EqualiseV: typed(cell.equaliseV * cells), EqualiseS: 3600 * cell.equaliseH, EqualiseDays: cell.equaliseD,
		}
	}
	for _, v := range []struct {
		is *float64
		of float64
	}{{&s.Controls.LowEnd.CutOffV, cell.cutOffV}, {&s.Controls.LowEnd.FastCutOffV, cell.fastV}, {&s.Controls.LowEnd.ReturnV, cell.returnV}} {
		if *v.is == 0 {
			*v.is = typed(v.of * cells)
		}
	}
	// Thermal resistances, K/W: common practice, no source.
	large := n // in modules of 45 kg; strings of lead-acid by their mass
	if refAcidic(m) && m.MassKg > 0 {
		large = n * m.MassKg / 45
	}
	e := &b.Enclosure
	if e.SurfaceCPerW == 0 {
		e.SurfaceCPerW = 0.6 / math.Pow(large, 0.63)
	}
	if e.Kind == "insulated_cupboard" && e.InsulationCPerW == 0 {
		if e.InsulationCPerW = 1; large > 4 {
			e.InsulationCPerW = 1 / math.Pow(large/4, 0.63)
		}
	}
	if b.AgeYears > 0 && b.AgedCapacity == 0 {
		b.AgedCapacity = refAged(m, b.AgeYears)
	}
	if b.AgedCapacity > 0 && b.AgedResistance == 0 { // half as much again where a fifth is lost, lead-acid double: common practice, no source
		b.AgedResistance = 1 + 2.5*(1-b.AgedCapacity)
		if refAcidic(m) {
			b.AgedResistance = 1 + 5*(1-b.AgedCapacity)
		}
	}
	return &s
}

// refAged is what is left of the capacity of lithium iron phosphate after some years
// at 25 °C and half full, the calendar loss by Naumann et al. 2018 (J. Energy Storage
// 17, 153), 0.0012571 %/√s at 25 °C times 0.60225 at half full, and a cycle of half
// the capacity a day, which is a point of the module's table.
func refAged(m *bank.Module, years float64) float64 {
	if m.Chemistry != "lfp" {
		panic("reference: age of " + m.Chemistry)
	}
	at := slices.IndexFunc(m.CyclesByDepth, func(row [2]float64) bool { return row[0] == 0.5 })
	days := 365.25 * years
	calendar, cycles := 0.0012571*0.60225*math.Sqrt(refDayS*days), 20*days/m.CyclesByDepth[at][1]
	return max(0.1, 1-(calendar+cycles)/100)
}

// refFactory are settings for lead-acid that a charger has from its factory: six cells
// for every four of lithium iron phosphate, 2.40, 2.25 and 2.1 V, −4 mV/K each, two
// hours at most and a tail of 4 % (common practice, no source).
func refFactory(b *bank.Spec) bank.Settings {
	m, f := &b.Module, *b.Settings
	if m.Chemistry != "lfp" {
		panic("reference: factory settings for " + m.Chemistry)
	}
	cells := 6 * math.Round(float64(m.CellsInSeries)/4)
	f.AbsorbV, f.FloatV, f.RestartV, f.CompensationV = 2.40*cells, 2.25*cells, 2.1*cells, -0.004*cells
	f.AbsorbMaxS, f.TailA = 7200, 0.04*m.CapacityAh*float64(b.Modules)
	return f
}

// refCallOutS is how long a set that did not start waits for help: as stated, else
// until who resets is there, and a mechanic's two days at most (common practice, no source).
func refCallOutS(g *genset.Spec, c *sim.Controls) int {
	hours := c.VisitResponseH
	if c.RemoteView {
		hours = min(hours, c.RemoteVisitH)
	}
	if o := &c.Operator; o.OnSite != "never" && slices.Contains(o.Does, "reset") {
		if hours = min(hours, o.ResponseH); o.OnSite == "weekends" && g.CallOutH == nil {
			panic("reference: state call_out_h")
		}
	}
	if hours = min(48, hours); g.CallOutH != nil {
		hours = *g.CallOutH
	}
	return int(3600 * hours)
}
