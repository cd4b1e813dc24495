package bank

// lfpOpenCircuit is the open-circuit voltage of a lithium iron phosphate cell
// against state of charge at C/32 and room temperature: the break points of
// Sunil, Pattipati & Balasingam 2025, IEEE Trans. Instrum. Meas.
var lfpOpenCircuit = [][2]float64{
	{0, 2.0102}, {.0033, 2.4177}, {.0117, 2.7405}, {.0267, 2.9299}, {.0534, 3.0872}, {.0885, 3.1942},
	{.2972, 3.2772}, {.9833, 3.3511}, {.9950, 3.4180}, {1, 3.5981},
}

// nmcOpenCircuit is that of a nickel-manganese-cobalt cell of high nickel content
// against graphite with some silicon: break points, 8 mV off at most, of the
// electrode functions of Chen et al. 2020, J. Electrochem. Soc. 167, 080534 (from
// memory), between the stoichiometries that they give for full and empty.
var nmcOpenCircuit = [][2]float64{
	{0, 2.4977}, {.005, 2.6047}, {.015, 2.7722}, {.025, 2.8929}, {.04, 3.0159}, {.06, 3.1175}, {.13, 3.3542},
	{.17, 3.4221}, {.39, 3.6274}, {.535, 3.7416}, {.82, 4.0423}, {.89, 4.0915}, {.955, 4.1207}, {1, 4.1929},
}

// acidOpenCircuit is that of a lead-acid cell at rest, against the state of charge of
// its rated capacity: at 0 the wells still hold what lies beyond that.
func (m *Module) acidOpenCircuit(fullV float64) [][2]float64 {
	beyond := 0.
	if b, ok := m.TwoWell(1); ok {
		beyond = b.RestedAt(0, m.CapacityAh*3600).Level
	}
	return [][2]float64{{0, acidEmptyCellV + (fullV-acidEmptyCellV)*beyond}, {1, fullV}}
}

// OpenCircuitV is the module's open-circuit voltage against SoC: pairs of SoC
// fraction and volts, piecewise linear between them. It is the cell's table
// times the number of cells in series. Of lead-acid it is the voltage at rest.
func (m *Module) OpenCircuitV() [][2]float64 {
	cell := m.OpenCircuit
	switch m.Chemistry {
	case "lfp":
		cell = lfpOpenCircuit
	case "nmc":
		cell = nmcOpenCircuit
	case "lead_acid_vented":
		cell = m.acidOpenCircuit(ventedFullCellV)
	case "lead_acid_sealed":
		cell = m.acidOpenCircuit(sealedFullCellV)
	}
	out := make([][2]float64, len(cell))
	for i, p := range cell {
		out[i] = [2]float64{p[0], p[1] * float64(m.CellsInSeries)}
	}
	return out
}
