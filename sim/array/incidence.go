package array

import "math"

// Incidence modifier: the part of the irradiance that still reaches the cells
// at an angle, relative to that at a right angle.

const (
	// ashraeB0 is the slope of the ASHRAE modifier for glass, common practice.
	ashraeB0 = 0.05
	// Glass by De Soto, Klein & Beckman 2006 (Solar Energy 80, 78): refractive
	// index, and extinction coefficient 4 /m times thickness 2 mm.
	glassIndex  = 1.526
	glassAbsorb = 4 * 0.002
)

// ASHRAEModifier is 1 − b0 (1/cos θ − 1) with b0 = 0.05, and 0 where that is
// negative or the light comes from behind (ASHRAE 93; from memory).
func ASHRAEModifier(cosIncidence float64) float64 {
	if cosIncidence <= ashraeB0/(1+ashraeB0) {
		return 0
	}
	return min(1, 1-ashraeB0*(1/cosIncidence-1))
}

// PhysicalModifier is τ(θ)/τ(0) of a sheet of glass by Snell, Fresnel and
// Bouguer as in De Soto, Klein & Beckman 2006:
//
//	τ(θ) = e^(−KL/cos θr) · (1 − (r⊥ + r∥)/2),  sin θr = sin θ / n
//
// It is 0 where the light comes from behind.
func PhysicalModifier(cosIncidence float64) float64 {
	if cosIncidence <= 0 {
		return 0
	}
	c := min(1, cosIncidence)
	cr := math.Sqrt(1 - (1-c*c)/(glassIndex*glassIndex))
	s := (c - glassIndex*cr) / (c + glassIndex*cr) // amplitudes of Fresnel
	p := (glassIndex*c - cr) / (glassIndex*c + cr)
	return math.Exp(glassAbsorb*(1-1/cr)) * (1 - (s*s+p*p)/2) / normalTransmittance
}

// normalTransmittance is 1 − r at a right angle: 4n/(n + 1)².
const normalTransmittance = 4 * glassIndex / ((glassIndex + 1) * (glassIndex + 1))

// DiffuseAngles are the angles of incidence, in degrees, of beam light that
// glass passes as it does light from the whole visible sky and from the ground
// in front of a plane tilted by tiltDeg, by Brandemuehl & Beckman 1980 (Solar
// Energy 24, 511; as given in Duffie & Beckman, from memory):
//
//	sky    59.7 − 0.1388 β + 0.001497 β²
//	ground 90 − 0.5788 β + 0.002693 β²
func DiffuseAngles(tiltDeg float64) (skyDeg, groundDeg float64) {
	return 59.7 - 0.1388*tiltDeg + 0.001497*tiltDeg*tiltDeg,
		90 - 0.5788*tiltDeg + 0.002693*tiltDeg*tiltDeg
}

// modifier is one of the choices of incidence_modifier.
func modifier(name string) func(cosIncidence float64) float64 {
	switch name {
	case "ashrae":
		return ASHRAEModifier
	case "physical":
		return PhysicalModifier
	case "none":
		return func(c float64) float64 {
			if c <= 0 {
				return 0
			}
			return 1
		}
	}
	panic("array: unknown incidence modifier " + name)
}
