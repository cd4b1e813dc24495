package bank

// AcidSoCAt is the state of charge of the rated capacity at which a lead-acid bank at
// 25 °C has a terminal voltage while a steady charge current (A) goes into it, as
// before a weak sun or at the end of an absorption:
//
//	level h at which V = TerminalV(h, I);  SoC = h − (1−c)·(I − I_gas)/(k·c·Q)
//
// the available well leads both by what runs on into the bound one. It is where a
// counter that goes by that voltage and current calls full.
func (s *Spec) AcidSoCAt(terminalV, currentA float64) float64 {
	b, ok := s.Module.TwoWell(float64(s.Modules))
	if !ok {
		return 0
	}
	v := NewAcidVoltage(s)
	level := min(max(v.LevelAtV(terminalV, currentA), 0), 1)
	into := max(0, currentA-v.GassingA(terminalV, gassingWarmC))
	lead := (1 - b.AvailableFraction) * into / (b.RatePerS * b.AvailableFraction * b.CapacityAs)
	rated := s.Module.CapacityAh * float64(s.Modules) * 3600
	return max(0, b.RatedSoC(Rested(level-lead), rated))
}
