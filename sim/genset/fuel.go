package genset

// RatedAtKW is the rating at a height above sea level and an air temperature:
// the product of one line for thin air and one for heat, never below 0.
// Common practice, no source.
func (s *Spec) RatedAtKW(elevationM, ambientC float64) float64 {
	air := 1 + s.AltitudeFractionPer100M*max(0, elevationM-s.AltitudeFreeM)/100
	heat := 1 + s.HeatFractionPC*max(0, ambientC-s.HeatFreeC)
	return s.RatedKW * max(0, air) * max(0, heat)
}

// MinLoadKW is the lowest load that the set is run at; what the site does not
// take of it is dumped.
func (s *Spec) MinLoadKW() float64 { return s.MinLoadFraction * s.RatedKW }

// FuelLPerH is the fuel that a loaded set burns while it delivers kw, by
// Skarstein & Uhlen 1989 (Wind Engineering 13(2), 72):
//
//	F = f0·P_rated + f1·P
//
// with P_rated the rating before derating, since f0 stands for the friction of
// the engine; or by its fuel map, where one is given. Below the minimum load it
// is the fuel of the minimum load. Litres an hour; kw is not negative.
func (s *Spec) FuelLPerH(kw float64) float64 {
	kw = max(kw, s.MinLoadKW())
	if len(s.FuelPoints) > 0 {
		return s.mapped(kw)
	}
	return s.NoLoadLPerKWh*s.RatedKW + s.SlopeLPerKWh*kw
}

// NoLoadFuelLPerH is the fuel of a set that runs without load, in warm-up and
// cool-down.
func (s *Spec) NoLoadFuelLPerH() float64 {
	if len(s.FuelPoints) > 0 {
		return s.mapped(0)
	}
	return s.NoLoadLPerKWh * s.RatedKW
}

// mapped is the fuel map at kw: straight between its points and on beyond them,
// never below 0.
func (s *Spec) mapped(kw float64) float64 {
	i := 1
	for i < len(s.FuelPoints)-1 && kw > s.FuelPoints[i][0] {
		i++
	}
	a, b := s.FuelPoints[i-1], s.FuelPoints[i]
	return max(0, a[1]+(b[1]-a[1])*(kw-a[0])/(b[0]-a[0]))
}
