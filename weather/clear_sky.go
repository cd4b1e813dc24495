package weather

import "math"

// clearAir is the cloudless atmosphere of Ineichen & Perez 2002, Solar Energy
// 73, 151, for one elevation and Linke turbidity T (dimensionless: about 2 for
// cold clean air, 3 for a temperate summer, 5 for haze). With altitude h in m,
// fh1 = e^(−h/8000), fh2 = e^(−h/1250), pressure-corrected air mass m and
// extraterrestrial normal irradiance I0:
//
//	global = (5.09e−5 h + 0.868) I0 cos z e^(−(3.92e−5 h + 0.0387) m (fh1 + fh2 (T − 1)))
//	beam   = (0.664 + 0.163/fh1) I0 e^(−0.09 m (T − 1))
//
// Beam is further held to global/cos z · (1 − (0.1 − 0.2 e^(−T))/(0.1 + 0.88/fh1)).
type clearAir struct {
	global, globalExponent float64
	beam, beamExponent     float64
	beamShare              float64
}

func newClearAir(elevationM, turbidity float64) clearAir {
	fh1, fh2 := math.Exp(-elevationM/8000), math.Exp(-elevationM/1250)
	return clearAir{
		global:         5.09e-5*elevationM + 0.868,
		globalExponent: -(3.92e-5*elevationM + 0.0387) * (fh1 + fh2*(turbidity-1)),
		beam:           0.664 + 0.163/fh1,
		beamExponent:   -0.09 * (turbidity - 1),
		beamShare:      1 - (0.1-0.2*math.Exp(-turbidity))/(0.1+0.88/fh1),
	}
}

// globalFraction is global over extraterrestrial irradiance on the horizontal.
func (c clearAir) globalFraction(airMass float64) float64 {
	return c.global * math.Exp(c.globalExponent*airMass)
}

// beamFraction is direct over extraterrestrial normal irradiance.
func (c clearAir) beamFraction(airMass float64) float64 {
	return c.beam * math.Exp(c.beamExponent*airMass)
}

// ClearSky is the same year without a cloud: GHI, DNI and DHI in W/m² from the
// sun alone, as the mean over each interval, temperature and wind as they are.
// It bounds what a record can contain and what an array can deliver.
// linkeTurbidity is the haze, above 1 (clearAir).
func (y *Year) ClearSky(sun *Sun, linkeTurbidity float64) *Year {
	n := len(sun.CosZenith)
	clear := &Year{
		Site: y.Site, CalendarYear: y.CalendarYear, StepS: y.StepS,
		GHI: make([]float64, n), DNI: make([]float64, n), DHI: make([]float64, n),
		AmbientC: y.AmbientC, WindMS: y.WindMS,
	}
	air := newClearAir(y.Site.ElevationM, linkeTurbidity)
	pressure := pressureRatio(y.Site.ElevationM)
	for i := range n {
		up, lit := sun.CosZenith[i], sun.SunlitFraction[i]
		if up <= 0 || lit <= 0 {
			continue
		}
		m := sun.AirMass[i] * pressure
		normal := sun.ExtraterrestrialWM2[i] * lit
		global := normal * up * air.globalFraction(m)
		beam := min(normal*air.beamFraction(m), global/up*air.beamShare)
		clear.GHI[i], clear.DNI[i], clear.DHI[i] = global, beam, global-beam*up
	}
	return clear
}

// pressureRatio is air pressure at an elevation over that at sea level: the
// barometric formula of the International Standard Atmosphere (ISO 2533).
func pressureRatio(elevationM float64) float64 {
	return math.Pow(1-2.25577e-5*elevationM, 5.25588)
}
