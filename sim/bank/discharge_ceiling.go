package bank

// LimitsDischarge tells whether the BMS reports a discharge ceiling.
func (l *LinkedLimits) LimitsDischarge() bool { return len(l.DischargeByC)+len(l.DischargeBySoC) > 0 }

// DischargeFactorBySoC is the factor on the discharge ceiling by reported SoC, 1 where
// none is stated.
func (l *LinkedLimits) DischargeFactorBySoC() [][2]float64 {
	if len(l.DischargeBySoC) == 0 {
		return [][2]float64{{0, 1}}
	}
	return l.DischargeBySoC
}

// DischargeCeilingByC is the discharge ceiling of one module by cell °C, A: the
// continuous current where none is stated.
func (m *Module) DischargeCeilingByC() [][2]float64 {
	if len(m.Linked.DischargeByC) == 0 {
		return [][2]float64{{25, m.DischargeA}}
	}
	return m.Linked.DischargeByC
}
