package weather

import (
	"fmt"
	"math"
)

// Shares of samples outside a rule from which a check cautions and fails.
// Common practice, no source; the sound open years lie under a tenth of them.
const (
	closureCaution, closureFail   = 0.02, 0.10
	possibleCaution, possibleFail = 0, 0.002
	rareCaution, rareFail         = 0.01, 0.05
	nightCaution, nightFail       = 0.0005, 0.005
)

// closure holds global against its two parts: Long & Shi 2008, The Open
// Atmospheric Science Journal 2, 23 (BSRN quality tests): for a sum
// S = DHI + DNI cos z above 50 W/m², |GHI/S − 1| ≤ 0.08 for z < 75° and ≤ 0.15
// up to 93°; and DHI/GHI below 1.05 and 1.10 for GHI above 50 W/m².
func (r *report) closure() QualityCheck {
	c := QualityCheck{Name: "closure", Rule: "GHI within 8 % (sun above 15°) or 15 % (lower) of DNI·cos z + DHI above 50 W/m², DHI at most 5 % or 10 % above GHI; Long & Shi 2008"}
	y := r.y
	if y.GHI == nil || y.DNI == nil {
		return c.without("GHI, DNI and DHI beside each other")
	}
	for i, global := range y.GHI {
		sum := y.DHI[i] + y.DNI[i]*max(0, r.sun.CosZenith[i])
		zenith := r.sun.ZenithDeg[i]
		if zenith >= 93 || sum <= 50 && global <= 50 {
			continue
		}
		ratio, diffuse := 0.08, 1.05
		if zenith >= 75 {
			ratio, diffuse = 0.15, 1.10
		}
		c.Tested++
		off := 0.0
		if sum > 50 {
			off = math.Abs(global/sum-1) - ratio
		}
		if global > 50 {
			off = max(off, y.DHI[i]/global-diffuse)
		}
		if off > 0 {
			r.outside(&c, ghi, i, global, off, func() string { return fmt.Sprintf("within %g %% of %.0f", ratio*100, sum) })
		}
	}
	return c.judge(closureCaution, closureFail, "do not close")
}

// limit is factor·S·μ^power + above, S being the extraterrestrial irradiance
// and μ = max(0, cos z).
type limit struct{ factor, power, above float64 }

func (l limit) of(extraterrestrial, up float64) float64 {
	return l.factor*extraterrestrial*math.Pow(up, l.power) + l.above
}

func (r *report) possible() QualityCheck {
	return r.limits("possible", "Upper physically possible limits of BSRN, Long & Shi 2008: GHI 1.5 S μ^1.2 + 100, DHI 0.95 S μ^1.2 + 50, DNI S",
		[...]limit{ghi: {1.5, 1.2, 100}, dni: {1, 0, 0}, dhi: {0.95, 1.2, 50}}, possibleCaution, possibleFail, "are not possible")
}

func (r *report) rare() QualityCheck {
	return r.limits("rare", "Upper extremely rare limits of BSRN, Long & Shi 2008: GHI 1.2 S μ^1.2 + 50, DHI 0.75 S μ^1.2 + 30, DNI 0.95 S μ^0.2 + 10",
		[...]limit{ghi: {1.2, 1.2, 50}, dni: {0.95, 0.2, 10}, dhi: {0.75, 1.2, 30}}, rareCaution, rareFail, "are extremely rare")
}

// limits holds each sample of daylight against a limit.
func (r *report) limits(name, rule string, upper [dhi + 1]limit, caution, fail float64, what string) QualityCheck {
	c := QualityCheck{Name: name, Rule: rule}
	if r.y.GHI == nil {
		return c.without("horizontal irradiance")
	}
	for of := ghi; of <= dhi; of++ {
		for i, x := range *r.y.values(of) {
			up := max(0, r.sun.CosZenith[i])
			if x == 0 && up == 0 {
				continue
			}
			c.Tested++
			if most := upper[of].of(r.sun.ExtraterrestrialWM2[i], up); x > most {
				r.outside(&c, of, i, x, x-most, func() string { return fmt.Sprintf("at most %.0f", most) })
			}
		}
	}
	return c.judge(caution, fail, what)
}

// nightLightWM2 is what a record may show in intervals without sun: sky light
// around sunrise and sunset, rounding.
const nightLightWM2 = 5

// night looks at intervals in which the sun's centre never rises.
func (r *report) night() QualityCheck {
	c := QualityCheck{Name: "night", Rule: fmt.Sprintf("At most %d W/m² in intervals that the sun does not reach", nightLightWM2)}
	for _, of := range []column{ghi, dni, plane} {
		for i, x := range *r.y.values(of) {
			if r.sun.SunlitFraction[i] > 0 {
				continue
			}
			c.Tested++
			if x > nightLightWM2 {
				r.outside(&c, of, i, x, x, func() string { return fmt.Sprintf("at most %d", nightLightWM2) })
			}
		}
	}
	return c.judge(nightCaution, nightFail, "are bright at night")
}
