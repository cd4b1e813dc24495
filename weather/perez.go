package weather

import "math"

// perezSky is the anisotropic sky of Perez, Ineichen, Seals, Michalsky &
// Stewart 1990, Solar Energy 44(5), 271. With zenith z in radians, relative
// air mass m, extraterrestrial normal irradiance I0, tilt β and incidence θ:
//
//	ε = ((DHI + DNI)/DHI + 1.041 z³)/(1 + 1.041 z³)       clearness
//	Δ = DHI m/I0                                           brightness
//	F1 = max(0, f11 + f12 Δ + f13 z),  F2 = f21 + f22 Δ + f23 z
//	circumsolar = DHI F1 max(0, cos θ)/max(cos 85°, cos z)
//	rest of sky = DHI ((1 − F1)(1 + cos β)/2 + F2 sin β)
//
// A negative rest is taken from the circumsolar part, and their sum held at 0.
// Without diffuse irradiance both are 0.
func perezSky(dni, dhi, cosZenith, zenithDeg, airMass, extraterrestrial, cosIncidence, cosTilt, sinTilt float64) (circumsolar, rest float64) {
	if dhi <= 0 {
		return 0, 0
	}
	z := zenithDeg * radian
	z3 := 1.041 * z * z * z
	f := &perezCoefficients[perezBin(((dhi+dni)/dhi+z3)/(1+z3))]
	brightness := dhi * airMass / extraterrestrial
	f1 := max(0, f[0]+f[1]*brightness+f[2]*z)
	f2 := f[3] + f[4]*brightness + f[5]*z
	circumsolar = dhi * f1 * max(0, cosIncidence) / max(cos85, cosZenith)
	rest = dhi * ((1-f1)*(1+cosTilt)/2 + f2*sinTilt)
	if rest < 0 {
		circumsolar, rest = max(0, circumsolar+rest), 0
	}
	return circumsolar, rest
}

var cos85 = math.Cos(85 * radian)

// perezBin is the row of perezCoefficients for a clearness; a bin holds its
// lower edge.
func perezBin(clearness float64) int {
	switch {
	case clearness < 1.065:
		return 0
	case clearness < 1.230:
		return 1
	case clearness < 1.500:
		return 2
	case clearness < 1.950:
		return 3
	case clearness < 2.800:
		return 4
	case clearness < 4.500:
		return 5
	case clearness < 6.200:
		return 6
	}
	return 7
}

// perezCoefficients are f11, f12, f13, f21, f22, f23 of table 6 of the paper.
var perezCoefficients = [8][6]float64{
	{-0.008, 0.588, -0.062, -0.060, 0.072, -0.022},
	{0.130, 0.683, -0.151, -0.019, 0.066, -0.029},
	{0.330, 0.487, -0.221, 0.055, -0.064, -0.026},
	{0.568, 0.187, -0.295, 0.109, -0.152, -0.014},
	{0.873, -0.392, -0.362, 0.226, -0.462, 0.001},
	{1.132, -1.237, -0.412, 0.288, -0.823, 0.056},
	{1.060, -1.600, -0.359, 0.264, -1.127, 0.131},
	{0.678, -0.327, -0.250, 0.156, -1.377, 0.251},
}
