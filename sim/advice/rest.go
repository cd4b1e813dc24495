package advice

import (
	"slices"

	"bankyear/sim/bank"
)

// rising finds the lowest SoC at which a quantity that is piecewise linear
// between knots reaches a value; 0 when it starts there, 1 when it never does.
func rising(knots []float64, at func(soc float64) float64, value float64) float64 {
	below := at(knots[0])
	if below >= value {
		return knots[0]
	}
	for i, knot := range knots[1:] {
		here := at(knot)
		if here >= value {
			return knots[i] + (knot-knots[i])*(value-below)/(here-below)
		}
		below = here
	}
	return knots[len(knots)-1]
}

// knots are the SoC at which the open-circuit voltage or the resistance bends.
func knots(m *bank.Module) []float64 {
	var out []float64
	for _, table := range [][][2]float64{m.OpenCircuitV(), m.ResistanceBySoC} {
		for _, row := range table {
			out = append(out, row[0])
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// restSoC is the SoC (fraction) at which a module at rest after discharge has a
// voltage.
func restSoC(m *bank.Module, v float64) float64 {
	ocv := m.BranchV(-1)
	return rising(knots(m), func(soc float64) float64 { return bank.At(ocv, soc) }, v)
}

// chargedSoC is likewise that after charge, which is lower where the cells have
// hysteresis.
func chargedSoC(m *bank.Module, v float64) float64 {
	ocv := m.BranchV(1)
	return rising(knots(m), func(soc float64) float64 { return bank.At(ocv, soc) }, v)
}

// taperSoC is the SoC at which a charge at constant bank current meets a
// voltage and begins to taper, at 25 °C: E(SoC) + I·R(SoC) = V.
func (f *fit) taperSoC(v, bankA float64) float64 {
	ocv := f.m.BranchV(1)
	return rising(knots(f.m), func(soc float64) float64 { return bank.At(ocv, soc) + bankA*f.ohm(25, soc) }, v)
}

// loadedSoC is the SoC at which a bank under a DC draw has a voltage, at 25 °C:
// E(SoC) − R(SoC)·P/V = V.
func (f *fit) loadedSoC(v, drawW float64) float64 {
	ocv := f.m.BranchV(-1)
	return rising(knots(f.m), func(soc float64) float64 { return bank.At(ocv, soc) - f.ohm(25, soc)*drawW/v }, v)
}

// correctedSoC is likewise that at which a controller that adds the sag of the bank's
// nominal resistance R₀ reads a voltage: E(SoC) − (R(SoC) − R₀)·P/V = V.
func (f *fit) correctedSoC(v, drawW float64) float64 {
	ocv, nominal := f.m.BranchV(-1), f.s.Bank.NominalOhm()
	return rising(knots(f.m), func(soc float64) float64 { return bank.At(ocv, soc) - (f.ohm(25, soc)-nominal)*drawW/v }, v)
}

// storedWh is the energy that a bank of ah gives between two SoC: Q·∫E d(SoC),
// exact for a piecewise-linear open-circuit voltage.
func storedWh(m *bank.Module, ah, from, to float64) float64 {
	ocv := m.BranchV(-1)
	at, e, wh := from, bank.At(ocv, from), 0.0
	for _, row := range append(ocv, [2]float64{to, bank.At(ocv, to)}) {
		if row[0] <= from || row[0] > to {
			continue
		}
		wh += ah * (row[0] - at) * (e + row[1]) / 2
		at, e = row[0], row[1]
	}
	return wh
}
