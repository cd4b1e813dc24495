package bank

import "math"

// Voltage of lead-acid cells from the level of the available well.
//
// At rest a cell has its acid's specific gravity + 0.84 V, and by Faraday's law
// the gravity falls in a straight line with the charge drawn (Vinal, Storage
// Batteries, and Linden, Handbook of Batteries, from memory):
//
//	E(h) = E_empty + (E_full − E_empty)·h
//
// h is the level, not the state of charge, as in Manwell & McGowan's own voltage
// law, whose X is 1 where that current empties or fills the battery: the
// terminals feel the acid between the plates, and recover at rest.
//
// Discharge adds the steady resistance, charge a resistance that rises as the
// plates run out of sulphate: the modified Shepherd law of Schiffer et al. 2007,
// J. Power Sources 168, 66 (from memory)
//
//	V = E + R·I,  V = E + R·I·(1 + M·h/(C − h)) while charging
//
// with M = 0.888, C = 1.001 and R = 0.42 V for a current of one capacity an
// hour, a cell. The paper's own discharge has 0.699 there; the difference is the
// lag of the level behind the state of charge, which it does not model.
const (
	acidRise        = 0.888
	acidRiseEnd     = 1.001
	acidResistance  = 0.42 // Ω·Ah a cell
	gassingPerV     = 11.  // a cell
	gassingPerC     = 0.06
	gassingWarmC    = 25.
	hoursInMonth    = 730.
	acidEmptyCellV  = 1.96
	ventedFullCellV = 2.12
	sealedFullCellV = 2.14
)

// AcidVoltage is the voltage of a lead-acid bank. Volts are the bank's, at its
// terminals; currents positive into it.
type AcidVoltage struct {
	EmptyV, FullV float64 // at rest
	ResistanceOhm float64 // at the cells' temperature, without the cable; above 0
	CableOhm      float64
	Cells         float64 // in series
	GasA          float64 // gassing current of the full bank at rest at 25 °C
}

// NewAcidVoltage is the voltage of n modules in parallel of a lead-acid
// chemistry, at 25 °C. Gassing at rest is what the module's self-discharge is.
// It panics for any other chemistry.
func NewAcidVoltage(s *Spec) AcidVoltage {
	m, n := &s.Module, float64(s.Modules)
	full := ventedFullCellV
	switch m.Chemistry {
	case "lead_acid_vented":
	case "lead_acid_sealed":
		full = sealedFullCellV
	default:
		panic("bank: " + m.Chemistry + " is not a lead-acid chemistry")
	}
	cells := float64(m.CellsInSeries)
	return AcidVoltage{
		EmptyV: acidEmptyCellV * cells, FullV: full * cells,
		ResistanceOhm: m.ResistanceOhm / n, CableOhm: s.CableOhm, Cells: cells,
		GasA: m.SelfDischargeFraction * m.CapacityAh * n / hoursInMonth,
	}
}

// AcidResistanceOhm is the steady resistance that the law above gives cells in
// series of a capacity (Ah).
func AcidResistanceOhm(cells, capacityAh float64) float64 { return acidResistance * cells / capacityAh }

// RestV is the voltage at rest at a level.
func (a *AcidVoltage) RestV(level float64) float64 { return a.EmptyV + (a.FullV-a.EmptyV)*level }

// OhmAt is the resistance between terminals and E at a level, charging or not.
// Charging it has no end where the level passes 1.001.
func (a *AcidVoltage) OhmAt(level float64, charging bool) float64 {
	if !charging {
		return a.CableOhm + a.ResistanceOhm
	}
	if level >= acidRiseEnd {
		return math.Inf(1)
	}
	return a.CableOhm + a.ResistanceOhm*(1+acidRise*level/(acidRiseEnd-level))
}

// TerminalV is the voltage at a level and a current (A).
func (a *AcidVoltage) TerminalV(level, currentA float64) float64 {
	if currentA == 0 {
		return a.RestV(level)
	}
	return a.RestV(level) + currentA*a.OhmAt(level, currentA > 0)
}

// HeldA is the current, A, at a level and a terminal voltage.
func (a *AcidVoltage) HeldA(level, terminalV float64) float64 {
	over := terminalV - a.RestV(level)
	return over / a.OhmAt(level, over > 0)
}

// PowerA is the current, A, at a level when the bus offers powerW beside sources
// of constant current sourceA; ok is false when the voltage collapses (CurrentA).
func (a *AcidVoltage) PowerA(level, powerW, sourceA float64) (currentA float64, ok bool) {
	e := a.RestV(level)
	charging := powerW+e*sourceA > 0
	r := a.OhmAt(level, charging)
	if math.IsInf(r, 1) {
		return 0, true
	}
	currentA, _, ok = CurrentA(e, r, powerW, sourceA)
	return currentA, ok
}

// LevelAtV is the level at which a constant current (A) has a terminal voltage,
// TerminalV solved for the level. It may lie outside 0 to 1, where the voltage
// is not met.
func (a *AcidVoltage) LevelAtV(terminalV, currentA float64) float64 {
	g := a.FullV - a.EmptyV
	over := terminalV - a.EmptyV - currentA*(a.CableOhm+a.ResistanceOhm)
	if currentA <= 0 {
		return over / g
	}
	// (over − g·h)(C − h) = I·R·M·h, the lesser root
	b := over + g*acidRiseEnd + currentA*a.ResistanceOhm*acidRise
	return 2 * over * acidRiseEnd / (b + math.Sqrt(b*b-4*g*over*acidRiseEnd))
}

// GassingA is the part of the current, A, that splits water instead of charging
// the plates, at a terminal voltage and a cell temperature (°C): by Schiffer et
// al. 2007 (from memory)
//
//	I_g = I_0·exp(11/V·(V_cell − V_0) + 0.06/K·(T − 25 °C))
//
// with V_0 the full cell's voltage at rest and I_0 its self-discharge, which is
// this current. It is what float and equalisation cost, and all that a full
// battery takes. The wells get the terminal current less this one.
// The oxygen that a sealed cell takes back at float draws more, as heat, and is
// not counted.
func (a *AcidVoltage) GassingA(terminalV, celsius float64) float64 {
	return a.GasA * math.Exp(gassingPerV*(terminalV-a.FullV)/a.Cells+gassingPerC*(celsius-gassingWarmC))
}

// StoredJ is the energy of the wells, J, counted from empty: ∫E dq of each well
// at its own level. What goes in is E(h1) times the charge; the difference is
// lost between the wells.
func (a *AcidVoltage) StoredJ(b TwoWell, w Wells) float64 {
	g := (a.FullV - a.EmptyV) / 2
	return b.AvailableAs(w)*(a.EmptyV+g*w.Level) + b.BoundAs(w)*(a.EmptyV+g*w.BoundLevel)
}
