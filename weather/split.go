package weather

// Split gives direct normal and diffuse horizontal irradiance, W/m², a row an
// interval: those of the year when it has them, else global split by the
// model (Erbs1982 or Disc1987). Of a split, DNI·cos z + DHI is GHI in every
// row. The models' correlations mean nothing in the last degrees before the
// horizon: the clearness index is taken as if the sun were no lower than
// lowestCosZenith, and beam beyond that of very clean air is left in the
// diffuse part.
// The columns may be the year's own; they must not be changed.
func (y *Year) Split(sun *Sun, model string) (dni, dhi []float64) {
	if y.DNI != nil {
		return y.DNI, y.DHI
	}
	known(model, Erbs1982, Disc1987)
	n := len(y.GHI)
	dni, dhi = make([]float64, n), make([]float64, n)
	clean := newClearAir(y.Site.ElevationM, cleanAirTurbidity)
	pressure := pressureRatio(y.Site.ElevationM)
	for i, ghi := range y.GHI {
		up, lit := sun.CosZenith[i], sun.SunlitFraction[i]
		if up <= 0 || lit <= 0 || ghi <= 0 {
			dhi[i] = ghi
			continue
		}
		normal := sun.ExtraterrestrialWM2[i] * lit
		kt := min(1, ghi/(normal*max(up, lowestCosZenith)))
		var beam float64
		if model == Erbs1982 {
			beam = ghi * (1 - ErbsDiffuseFraction(kt)) / up
		} else {
			beam = normal * discBeamFraction(kt, sun.AirMass[i]*pressure)
		}
		beam = min(beam, ghi/up, normal*clean.beamFraction(sun.AirMass[i]*pressure))
		dni[i], dhi[i] = beam, max(0, ghi-beam*up)
	}
	return dni, dhi
}

// lowestCosZenith is 86.3° (common practice, no source). Without it the beam
// below 87° comes out two to eight times that of the open typical years.
const lowestCosZenith = 0.065

// cleanAirTurbidity is a Linke turbidity that air at a site does not fall
// below: 1 is air without water or dust, cold clear days reach about 2 (common
// practice, no source).
const cleanAirTurbidity = 1.5

// ErbsDiffuseFraction is the diffuse part of hourly global irradiance on the
// horizontal for a clearness index kt, global over extraterrestrial; Erbs,
// Klein & Duffie 1982, Solar Energy 28, 293:
//
//	kt ≤ 0.22: 1 − 0.09 kt
//	kt ≤ 0.80: 0.9511 − 0.1604 kt + 4.388 kt² − 16.638 kt³ + 12.336 kt⁴
//	above:     0.165
func ErbsDiffuseFraction(kt float64) float64 {
	switch {
	case kt <= 0.22:
		return 1 - 0.09*kt
	case kt <= 0.80:
		return 0.9511 + kt*(-0.1604+kt*(4.388+kt*(-16.638+kt*12.336)))
	}
	return 0.165
}
