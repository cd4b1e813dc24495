package sim_test

import (
	"math"
	"time"

	"bankyear/sim/array"
	"bankyear/sim/inverter"
)

// What planes, chargers and inverter give and take.

// refDerate is what a rating keeps where x is above a limit: a straight line, never
// below nothing (common practice, no source).
func refDerate(perUnit, x, limit float64) float64 {
	if x <= limit {
		return 1
	}
	return max(0, 1+perUnit*(x-limit))
}

// refPlaneW is the power of a plane of measured irradiance at its charger: rated
// power, a straight line of the cells' temperature, and the losses one after
// another. Faiman 2008: T = T_a + G/(U0 + U1·v); NOCT is measured at 800 W/m² and
// 20 °C.
func refPlaneW(p *array.Plane, wm2, airC, windMS float64, month time.Month) float64 {
	if p.Tracker != nil || p.SingleDiode != nil {
		panic("reference: a plane that is not fixed and plain")
	}
	cellC := airC + wm2/(p.FaimanU0+p.FaimanU1*windMS)
	if p.CellHeat == "noct" {
		cellC = airC + (p.NOCTC-20)*wm2/800
	}
	w := 1000 * p.RatedKW * wm2 / 1000
	w *= 1 + p.PowerFractionPC*(cellC-25)
	for _, lost := range [][]float64{p.Losses.SoilingFraction, refSnow(p), {p.Losses.MismatchFraction}, {p.Losses.WiringFraction}} {
		switch len(lost) {
		case 0:
		case 1:
			w *= 1 - lost[0]
		default:
			w *= 1 - lost[month-1]
		}
	}
	return max(0, w)
}

// refSnow is the loss by snow: as stated, or that of 60° four times on the flat, 2.5
// times at 30° and none from 80° on (common practice, no source).
func refSnow(p *array.Plane) []float64 {
	if p.Losses.SnowFraction != nil {
		return p.Losses.SnowFraction
	}
	var out []float64
	for _, at60 := range p.Losses.SnowAt60DegFraction {
		out = append(out, min(1, at60*min(4, max(0, (80-p.TiltDeg)/20))))
	}
	return out
}

// refHears tells whether the link reaches a charger: unless it says no.
func refHears(hears *bool) bool {
	if hears == nil {
		return true
	}
	return *hears
}

// refDCPowerW is the DC power that an AC power takes, by Schmidt & Sauer 1996:
// P_dc = P_ac + P_r (p0 + k1 x + k2 x²), x = P_ac/P_r; in search mode its own draw.
func refDCPowerW(i *inverter.Spec, acW float64) float64 {
	if acW < i.SearchBelowW {
		return acW + i.SearchDrawW
	}
	x := acW / i.RatedW
	return acW + i.RatedW*(i.IdleFraction+i.LinearFraction*x+i.QuadraticFraction*math.Pow(x, 2))
}

// refBearsS is how long the inverter bears a power: the time of the least short
// rating that covers it, without end at its rating, not at all above every one.
func refBearsS(i *inverter.Spec, acW float64) float64 {
	if acW <= i.RatedW {
		return math.Inf(1)
	}
	least, seconds := math.Inf(1), 0.0
	for _, rating := range i.Short {
		if acW <= rating[0] && rating[0] < least {
			least, seconds = rating[0], rating[1]
		}
	}
	return seconds
}
