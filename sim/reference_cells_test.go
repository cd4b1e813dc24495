package sim_test

import (
	"math"
	"strings"

	"bankyear/sim/bank"
)

// What follows from the kind of cells.

// refAcidic tells whether a bank is lead-acid: two wells and no BMS.
func refAcidic(m *bank.Module) bool { return strings.HasPrefix(m.Chemistry, "lead_acid") }

// refCellV is the open-circuit voltage of a cell against its state of charge: lithium
// iron phosphate at C/32 and room temperature by Sunil, Pattipati & Balasingam 2025,
// IEEE Trans. Instrum. Meas.; or the caller's table. Lead-acid has its wells'.
func refCellV(m *bank.Module) [][2]float64 {
	switch {
	case m.Chemistry == "table":
		return m.OpenCircuit
	case m.Chemistry == "lfp":
		return [][2]float64{{0, 2.0102}, {0.33e-2, 2.4177}, {1.17e-2, 2.7405}, {2.67e-2, 2.9299}, {5.34e-2, 3.0872},
			{8.85e-2, 3.1942}, {29.72e-2, 3.2772}, {98.33e-2, 3.3511}, {99.50e-2, 3.4180}, {1, 3.5981}}
	case refAcidic(m):
		return nil
	}
	panic("reference: cells of " + m.Chemistry)
}

// refWells are the parameters of lead-acid's two wells: stated, or those at which
// three capacities at constant current are met (Manwell & McGowan 1993). With
// a = 1 − e^(−kt) and b = kt − a a discharge of t gives Q·k·c·t/(a + c·b), so that the
// ratio of two capacities gives c for any k; k is where both other capacities ask
// for one c.
func refWells(m *bank.Module) (c, kPerH, capacityAh float64) {
	if w := m.Wells; w != nil {
		return w.AvailableFraction, w.RatePerH, w.CapacityAh
	}
	given := m.CapacitiesAh
	a := func(k, t float64) float64 { return -math.Expm1(-k * t) }
	part := func(k float64, other int) float64 {
		t1, t2, ratio := given[0][0], given[other][0], given[0][1]/given[other][1]
		a1, a2 := a(k, t1), a(k, t2)
		return (t1*a2 - ratio*t2*a1) / (ratio*t2*(k*t1-a1) - t1*(k*t2-a2))
	}
	apart := func(k float64) float64 { return part(k, 1) - part(k, 2) }
	low := 0.001
	for high := low * 1.01; ; low, high = high, high*1.01 {
		if high > 1000 {
			panic("reference: no wells give these capacities")
		}
		if c := part(high, 1); (apart(low) > 0) == (apart(high) > 0) || c <= 0 || c >= 1 {
			continue
		}
		for range 60 {
			if k := (low + high) / 2; (apart(k) > 0) == (apart(low) > 0) {
				low = k
			} else {
				high = k
			}
		}
		break
	}
	c, kPerH = part(low, 1), low
	t := given[0][0]
	return c, kPerH, given[0][1] * (a(low, t) + c*(low*t-a(low, t))) / (low * c * t)
}

// refCell is what is programmed for one cell; common practice, no source.
type refCell struct {
	absorbV, floatV, restartV, absorbMaxH, tail, compensationV float64 // tail over capacity
	equaliseV, equaliseH, equaliseD                            float64
	cutOffV, fastV, returnV                                    float64
	countFullV, countFullA, countEfficiency                    float64 // a shunt's; current over capacity
}

func refCellOf(m *bank.Module) refCell {
	switch m.Chemistry {
	case "lead_acid_vented":
		return refCell{2.45, 2.23, 2.10, 4, .02, -.005, 2.58, 2, 30, 1.92, 1.80, 2.10, 2.35, .02, .95}
	case "lead_acid_sealed":
		return refCell{2.38, 2.26, 2.12, 4, .02, -.004, 0, 0, 0, 1.92, 1.80, 2.10, 2.30, .02, .95}
	case "lfp", "table":
		return refCell{56. / 16, 54. / 16, 53. / 16, 1, .05, 0, 0, 0, 0, 49.6 / 16, 46. / 16, 52. / 16, 55.2 / 16, .06, .99}
	}
	panic("reference: cells of " + m.Chemistry)
}

// typed is a voltage as it is typed in.
func typed(v float64) float64 { return math.Round(100*v) / 100 }

// refCounter is how the reported state of charge is kept: what is stated, else what
// its kind has (common practice, no source), with the error that reads high.
func refCounter(b *bank.Spec) bank.Counter {
	m, e, n, cells := &b.Module, &b.Estimate, float64(b.Modules), float64(b.Module.CellsInSeries)
	or := func(stated *float64, is float64) float64 {
		if stated != nil {
			return *stated
		}
		return is
	}
	c := bank.Counter{Kind: e.Kind, AssumedDrawA: e.AssumedDrawA, AssumedAh: e.AssumedAh}
	if c.Kind == "" {
		c.Kind = map[string]string{"data_linked": "bms", "voltage_only": "shunt"}[b.Operation]
	}
	if c.AssumedAh == 0 {
		c.AssumedAh = n * m.CapacityAh
	}
	cell := refCellOf(m)
	gain, offset, band, efficiency := 0.005, 0.05, 0.1, cell.countEfficiency
	fullV, fullA, hold := typed(cell.countFullV*cells), cell.countFullA*n*m.CapacityAh, 60.
	switch c.Kind {
	case "inverter_own":
		gain, offset, band = 0.02, 0, 1
	case "bms":
		gain, offset, band, efficiency = 0.01, 0, 0.3*n, m.CoulombicFraction
		fullV, fullA, hold = m.Linked.FullV, n*m.Linked.FullA, m.Linked.FullHoldS
		c.LowKneeV, c.LowKneeSoCFraction = cells*or(e.LowKneeCellV, 3), or(e.LowKneeSoC, 0.05)
	}
	c.GainFraction, c.OffsetA, c.DeadBandA = or(e.GainFraction, gain), or(e.OffsetA, offset), or(e.DeadBandA, band)
	c.AssumedFraction = or(e.AssumedFraction, efficiency)
	c.FullV, c.FullA, c.FullHoldS = or(e.FullV, fullV), or(e.FullA, fullA), or(e.FullHoldS, hold)
	return c
}
