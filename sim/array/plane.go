package array

import "math"

// Converter turns irradiance on one plane into DC power. It holds what a year
// does not change: the modifiers of diffuse light and the losses by month.
type Converter struct {
	modify      func(cosIncidence float64) float64
	sky, ground float64 // incidence modifiers of diffuse light
	gain        [12]float64
	perC        float64
	faiman      bool
	u0, u1      float64     // Faiman
	perWM2      float64     // NOCT: kelvin for each W/m²
	diode       *diodeTable // nil: power by perC
	turned      *turned     // nil: a fixed plane
}

// Converter prepares the plane. The spec has passed its checks: an unknown
// choice, or a list that has neither 1 nor 12 items, panics.
func (p *Plane) Converter() Converter {
	c := Converter{
		modify: modifier(p.Incidence), perC: p.PowerFractionPC,
		u0: p.FaimanU0, u1: p.FaimanU1, perWM2: (p.NOCTC - 20) / 800,
	}
	skyDeg, groundDeg := DiffuseAngles(p.TiltDeg)
	c.sky = c.modify(math.Cos(skyDeg * math.Pi / 180))
	c.ground = c.modify(math.Cos(groundDeg * math.Pi / 180))
	switch p.CellHeat {
	case "faiman":
		c.faiman = true
	case "noct":
	default:
		panic("array: unknown cell temperature " + p.CellHeat)
	}
	snow := p.SnowFraction()
	for m := range c.gain {
		c.gain[m] = p.RatedKW * p.Losses.passed(m+1, snow)
	}
	if p.Tracker != nil {
		c.turned = newTurned(c.modify)
	}
	if p.SingleDiode != nil {
		c.diode = p.SingleDiode.table()
	}
	return c
}

// PowerW is the DC power that reaches the charger's terminals, before the
// charger's own limits:
//
//	P = P_rated · G_eff/1000 · (1 + γ (T_cell − 25)) · Π(1 − loss)
//
// or, with the single-diode model, the highest power of its curve at G_eff and
// T_cell in place of G_eff/1000 · (1 + γ (T_cell − 25)).
//
// beamWM2, diffuseWM2 and groundWM2 are the parts of the irradiance in the
// plane, W/m²; G_eff is their sum, each times its incidence modifier, and
// T_cell follows from their plain sum. Circumsolar light may be counted with
// the beam or with the diffuse part. cosIncidence is that of the beam, month 1
// to 12. Watts, never negative.
func (c *Converter) PowerW(beamWM2, diffuseWM2, groundWM2, cosIncidence, ambientC, windMS float64, month int) float64 {
	g := beamWM2 + diffuseWM2 + groundWM2
	if g <= 0 {
		return 0
	}
	effective := diffuseWM2*c.sky + groundWM2*c.ground
	if beamWM2 > 0 {
		effective += beamWM2 * c.modify(cosIncidence)
	}
	return c.power(effective, c.cellC(g, ambientC, windMS), month)
}

// PlainPowerW is PowerW for irradiance planeWM2 measured in the plane, whose
// parts are not known: no incidence modifier acts.
func (c *Converter) PlainPowerW(planeWM2, ambientC, windMS float64, month int) float64 {
	if planeWM2 <= 0 {
		return 0
	}
	return c.power(planeWM2, c.cellC(planeWM2, ambientC, windMS), month)
}

func (c *Converter) cellC(g, ambientC, windMS float64) float64 {
	if c.faiman {
		return FaimanC(g, ambientC, windMS, c.u0, c.u1)
	}
	return ambientC + c.perWM2*g
}

func (c *Converter) power(effective, cellC float64, month int) float64 {
	relative := 1 + c.perC*(cellC-25)
	if c.diode != nil {
		relative = c.diode.relative(effective, cellC)
	}
	return max(0, effective*relative) * c.gain[month-1]
}

// passed is the fraction that the losses of a month, 1 to 12, let through, with
// the plane's loss by snow.
func (l *Losses) passed(month int, snow []float64) float64 {
	return (1 - monthly(l.SoilingFraction, month)) * (1 - monthly(snow, month)) *
		(1 - l.MismatchFraction) * (1 - l.WiringFraction)
}

// monthly reads a list of one value for all months, or of twelve.
func monthly(list []float64, month int) float64 {
	if len(list) == 1 {
		return list[0]
	}
	if len(list) != 12 {
		panic("array: a monthly list has neither 1 nor 12 items")
	}
	return list[month-1]
}
