package bank

import "math"

// heatModules is how many modules of 45 kg a bank is as large as: its modules;
// lead-acid strings, which are many cells, by their mass.
func (s *Spec) heatModules() float64 {
	n := float64(s.Modules)
	if s.Module.LeadAcid() && s.Module.MassKg > 0 {
		n *= s.Module.MassKg / 45
	}
	return n
}

// SurfaceCPerW is the thermal resistance from the cells of n modules to the air
// around them, K/W: as given, else 0.6·n^−0.63 (common practice, no source).
func (s *Spec) SurfaceCPerW() float64 {
	if r := s.Enclosure.SurfaceCPerW; r > 0 {
		return r
	}
	return 0.6 * math.Pow(s.heatModules(), -0.63)
}

// InsulationCPerW is the thermal resistance of an insulated cupboard, K/W: as
// given, else 1 for up to four modules and 1·(n/4)^−0.63 for more, whose cupboard
// has more walls; a cupboard of 1 K/W around sixteen would cook them by the draw
// of their BMS alone (common practice for four, the rest follows). 0 for any other
// enclosure.
func (s *Spec) InsulationCPerW() float64 {
	switch e := &s.Enclosure; {
	case e.Kind != "insulated_cupboard":
		return 0
	case e.InsulationCPerW > 0:
		return e.InsulationCPerW
	}
	return math.Pow(max(1, s.heatModules()/4), -0.63)
}
