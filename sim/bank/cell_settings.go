package bank

// CellSettings are what is programmed for one cell of a chemistry: common
// practice, no source. Voltages are a cell's; 0 where the chemistry has none.
type CellSettings struct {
	AbsorbV, FloatV, RestartV  float64
	Absorb, Float              Bounds // between which either is neither too low nor too high
	AbsorbMaxS                 float64
	TailFraction               float64 // tail current over the capacity, A/Ah
	CompensationV              float64 // of absorption, float and equalisation, V/K above 25 °C
	EqualiseV, EqualiseS       float64
	EqualiseDays               float64 // between equalisations; 0: none
	CutOffV, FastCutV, ReturnV float64
	CountFullV, CountFullA     float64 // a shunt's re-set to full: voltage, and current over the capacity
	CountFraction              float64 // coulombic efficiency that a shunt's counter is set to
	LowKneeV                   float64 // a BMS's re-set at the low knee; 0: none
	CellsFor12V                float64 // cells of the chemistry in a system of 12 V
	UsableDepthFraction        float64 // planned depth of a night's discharge; 1: no limit of its own
}

// Bounds are the least and the most of a setting.
type Bounds struct{ Least, Most float64 }

// times are the bounds of so many cells.
func (b Bounds) times(cells float64) Bounds { return Bounds{b.Least * cells, b.Most * cells} }

// CellSettingsOf are those of a chemistry. A caller's own table takes LFP's, which
// its maker's values replace; so does a name that is none, which a check refuses.
//
// NMC is charged to 4.10–4.15 V of its 4.2, for its life. Lead-acid absorbs at
// 2.35–2.47 V for 2–4 h to a tail of 1–3 % of the capacity and floats at
// 2.20–2.30, with −3…−5 mV/K; vented cells are equalised every month or so at
// 2.50–2.60 V, sealed cells never.
func CellSettingsOf(chemistry string) CellSettings {
	switch chemistry {
	case "nmc":
		return CellSettings{
			AbsorbV: 4.10, FloatV: 4.00, RestartV: 3.92, AbsorbMaxS: 3600, TailFraction: .05,
			Absorb: Bounds{4.05, 4.15}, Float: Bounds{3.90, 4.05},
			CutOffV: 3.25, FastCutV: 3.05, ReturnV: 3.50,
			CountFullV: 4.05, CountFullA: .06, CountFraction: .99, LowKneeV: 3.10, CellsFor12V: 3.5, UsableDepthFraction: 1,
		}
	case "lead_acid_vented":
		return CellSettings{
			AbsorbV: 2.45, FloatV: 2.23, RestartV: 2.10, AbsorbMaxS: 4 * 3600, TailFraction: .02, CompensationV: -.005,
			Absorb: Bounds{2.40, 2.50}, Float: Bounds{2.19, 2.27},
			EqualiseV: 2.58, EqualiseS: 2 * 3600, EqualiseDays: 30,
			CutOffV: 1.92, FastCutV: 1.80, ReturnV: 2.10,
			CountFullV: 2.35, CountFullA: .02, CountFraction: .95, CellsFor12V: 6, UsableDepthFraction: AcidUsableDepth,
		}
	case "lead_acid_sealed":
		return CellSettings{
			AbsorbV: 2.38, FloatV: 2.26, RestartV: 2.12, AbsorbMaxS: 4 * 3600, TailFraction: .02, CompensationV: -.004,
			Absorb: Bounds{2.33, 2.43}, Float: Bounds{2.22, 2.30},
			CutOffV: 1.92, FastCutV: 1.80, ReturnV: 2.10,
			CountFullV: 2.30, CountFullA: .02, CountFraction: .95, CellsFor12V: 6, UsableDepthFraction: AcidUsableDepth,
		}
	}
	return CellSettings{
		AbsorbV: 3.5, FloatV: 3.375, RestartV: 3.3125, AbsorbMaxS: 3600, TailFraction: 5. / 100,
		Absorb: Bounds{3.45, 3.55}, Float: Bounds{3.35, 3.40},
		CutOffV: 3.1, FastCutV: 2.875, ReturnV: 3.25,
		CountFullV: 3.45, CountFullA: .06, CountFraction: .99, LowKneeV: 3.0, CellsFor12V: 4, UsableDepthFraction: 1,
	}
}

// ChargeBounds are the bounds of the module's absorption and float voltages, V: those
// of its chemistry. A caller's own table has those of its BMS: absorption from 1.5 %
// below the voltage at which that counts full up to what it asks for, and float from
// the voltage of 80 % at rest up to where absorption begins (common practice, no
// source).
func (m *Module) ChargeBounds() (absorb, float Bounds) {
	if m.Chemistry == "table" {
		absorb = Bounds{0.985 * m.Linked.FullV, m.Linked.VoltageV}
		return absorb, Bounds{min(At(m.OpenCircuitV(), 0.8), absorb.Least), absorb.Least}
	}
	cell, cells := CellSettingsOf(m.Chemistry), float64(m.CellsInSeries)
	return cell.Absorb.times(cells), cell.Float.times(cells)
}

// Settings are the voltage-only charger settings that follow for a bank: cell
// voltages times cells, tail from the capacity, and the current of each charger
// from the module's voltage-only ceiling shared by the modules.
func (c CellSettings) Settings(s *Spec) Settings {
	cells := float64(s.Module.CellsInSeries)
	return Settings{
		AbsorbV: round(c.AbsorbV * cells), AbsorbMaxS: c.AbsorbMaxS,
		TailA: c.TailFraction * s.Module.CapacityAh * float64(s.Modules), TailHoldS: 180, TailSeen: "bank",
		FloatV: round(c.FloatV * cells), RestartV: round(c.RestartV * cells), RestartHoldS: 120,
		ChargeA: s.VoltageOnlyCeilingA(), CompensationV: c.CompensationV * cells,
		EqualiseV: round(c.EqualiseV * cells), EqualiseS: c.EqualiseS, EqualiseDays: c.EqualiseDays,
	}
}

// LowEndV are the voltages of the low end of a module: the slow and the fast
// cut-off and the return.
func (c CellSettings) LowEndV(m *Module) (cutOffV, fastCutOffV, returnV float64) {
	cells := float64(m.CellsInSeries)
	return round(c.CutOffV * cells), round(c.FastCutV * cells), round(c.ReturnV * cells)
}
