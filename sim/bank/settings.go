package bank

import "math"

// DeriveSettings are the voltage-only charger settings that follow from the
// module, by its chemistry.
func (s *Spec) DeriveSettings() Settings { return CellSettingsOf(s.Module.Chemistry).Settings(s) }

// FactorySettings are what a charger holds from the factory, for lead-acid of
// the same system voltage, six cells for every 12 V (four LFP cells): absorption
// 2.40 V, float 2.25 V and restart 2.1 V a cell, −4 mV a cell and kelvin (common
// practice, no source).
func (s *Spec) FactorySettings() Settings {
	cells := 6 * max(1, math.Round(float64(s.Module.CellsInSeries)/CellSettingsOf(s.Module.Chemistry).CellsFor12V))
	f := s.DeriveSettings()
	f.AbsorbV, f.FloatV, f.RestartV = round(2.40*cells), round(2.25*cells), round(2.1*cells)
	f.AbsorbMaxS, f.CompensationV = 2*3600, -0.004*cells
	f.TailA = 0.04 * s.Module.CapacityAh * float64(s.Modules)
	return f
}

// SoloSettings are the settings that the chargers work by without a link: the
// installer's in a voltage-only bank, what they hold after a loss in a
// data-linked one. The spec is complete: Settings is not nil.
func (s *Spec) SoloSettings() Settings {
	if s.Operation == "data_linked" {
		switch s.Link.AfterLoss {
		case "factory_lead_acid":
			return s.FactorySettings()
		case "pushed_kept":
			kept := *s.Settings
			kept.AbsorbV, kept.ChargeA = s.Module.Linked.VoltageV, math.Inf(1)
			return kept
		}
	}
	return *s.Settings
}

// CompensatesByCells tells whether the temperature compensation goes by the cells.
func (s *Spec) CompensatesByCells() bool {
	if by := s.SoloSettings().Senses; by != "" {
		return by == "cells"
	}
	return s.Module.LeadAcid()
}

// LowEndV are the voltages of the low end that follow from the cells: the slow
// and the fast cut-off and the return (common practice, no source).
func (m *Module) LowEndV() (cutOffV, fastCutOffV, returnV float64) {
	return CellSettingsOf(m.Chemistry).LowEndV(m)
}

// VoltageOnlyCeilingA is the bank's charge ceiling without a link, A.
func (s *Spec) VoltageOnlyCeilingA() float64 {
	return s.Module.VoltageOnlyA * float64(s.Modules) / s.Module.WorstShare
}

// NominalOhm is the resistance of the new bank at 25 °C with its cable, Ω: what a
// controller is told that goes by current.
func (s *Spec) NominalOhm() float64 {
	return s.Module.ResistanceOhm/float64(s.Modules) + s.CableOhm
}

// OverVoltageV is the module voltage at which the highest cell passes its
// limit: the trip less what the cells are spread at the top of charge.
func (m *Module) OverVoltageV() float64 {
	return m.Protection.OverV - m.Protection.OverSpreadV*float64(m.CellsInSeries)
}

// round keeps a derived voltage as an installer would type it, to 10 mV.
func round(v float64) float64 { return math.Round(v*100) / 100 }
