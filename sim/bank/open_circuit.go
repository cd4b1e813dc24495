package bank

// lfpOpenCircuit is the open-circuit voltage of a lithium iron phosphate cell
// against state of charge at C/32 and room temperature: the break points of
// Sunil, Pattipati & Balasingam 2025, IEEE Trans. Instrum. Meas.
var lfpOpenCircuit = [][2]float64{
	{0, 2.0102}, {.0033, 2.4177}, {.0117, 2.7405}, {.0267, 2.9299}, {.0534, 3.0872}, {.0885, 3.1942},
	{.2972, 3.2772}, {.9833, 3.3511}, {.9950, 3.4180}, {1, 3.5981},
}

// OpenCircuitV is the module's open-circuit voltage against SoC: pairs of SoC
// fraction and volts, piecewise linear between them. It is the cell's table
// times the number of cells in series.
func (m *Module) OpenCircuitV() [][2]float64 {
	cell := m.OpenCircuit
	if m.Chemistry == "lfp" {
		cell = lfpOpenCircuit
	}
	out := make([][2]float64, len(cell))
	for i, p := range cell {
		out[i] = [2]float64{p[0], p[1] * float64(m.CellsInSeries)}
	}
	return out
}
