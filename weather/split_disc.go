package weather

import "math"

// discBeamFraction is direct normal over extraterrestrial normal irradiance
// for a clearness index kt and a pressure-corrected air mass m; Maxwell 1987,
// A Quasi-Physical Model for Converting Hourly Global Horizontal to Direct
// Normal Insolation, SERI/TR-215-3087:
//
//	Kn = Knc − (a + b e^(c m))
//	Knc = 0.866 − 0.122 m + 0.0121 m² − 0.000653 m³ + 0.000014 m⁴
//	kt ≤ 0.6: a = 0.512 − 1.56 kt + 2.286 kt² − 2.222 kt³,
//	          b = 0.37 + 0.962 kt,  c = −0.28 + 0.932 kt − 2.048 kt²
//	above:    a = −5.743 + 21.77 kt − 27.49 kt² + 11.56 kt³,
//	          b = 41.4 − 118.5 kt + 66.05 kt² + 31.9 kt³,
//	          c = −47.01 + 184.2 kt − 222.0 kt² + 73.81 kt³
//
// The quartic in m turns upward beyond m = 12 (a zenith of some 86°), where m
// is held.
func discBeamFraction(kt, airMass float64) float64 {
	m := min(airMass, 12)
	var a, b, c float64
	if kt <= 0.6 {
		a = 0.512 + kt*(-1.56+kt*(2.286-kt*2.222))
		b = 0.37 + 0.962*kt
		c = -0.28 + kt*(0.932-kt*2.048)
	} else {
		a = -5.743 + kt*(21.77+kt*(-27.49+kt*11.56))
		b = 41.4 + kt*(-118.5+kt*(66.05+kt*31.9))
		c = -47.01 + kt*(184.2+kt*(-222.0+kt*73.81))
	}
	clear := 0.866 + m*(-0.122+m*(0.0121+m*(-0.000653+m*0.000014)))
	return max(0, clear-(a+b*math.Exp(c*m)))
}
