package weather

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Bounds of the clear-sky ratio of a year in the right unit, and of means that
// no place on earth has. The sound open years have a ratio of 1.04 to 1.10.
// The highest annual mean temperature on record is 34.6 °C (Dallol; from
// memory); annual mean winds above 10 m/s are found on a few ridges and coasts.
const (
	ratioLow, ratioHigh         = 0.75, 1.30
	ratioFailLow, ratioFailHigh = 0.60, 1.60
	warmestMeanC                = 35
	windiestMeanMS              = 10
)

// units holds bright samples against a clear sky: the ratio that one in a
// hundred exceeds is about 1 in the right unit. Another unit shows as its
// factor.
func (r *report) units() QualityCheck {
	c := QualityCheck{Name: "units", Rule: fmt.Sprintf("The brightest hundredth at %g to %g of a clear sky, mean temperature at most %d °C, mean wind at most %d m/s", ratioLow, ratioHigh, warmestMeanC, windiestMeanMS)}
	c.Verdict = VerdictPass
	var found []string
	if r.y.GHI != nil {
		c.Tested++
		if ratio, ok := r.clearRatio(); ok && (ratio < ratioLow || ratio > ratioHigh) {
			c.Failed++
			c.Verdict = VerdictCaution
			text := fmt.Sprintf("bright samples reach %.2g of a clear sky", ratio)
			if ratio < ratioFailLow || ratio > ratioFailHigh {
				c.Verdict = VerdictFail
				text += r.likelyUnit(ratio)
			}
			found = append(found, text)
		}
	}
	if m := mean(r.y.AmbientC); r.y.AmbientC != nil {
		c.Tested++
		if m > warmestMeanC {
			c.Failed++
			c.Verdict = VerdictFail
			found = append(found, fmt.Sprintf("the mean temperature is %.1f °C, which looks like °F", m))
		}
	}
	if m := mean(r.y.WindMS); r.y.WindMS != nil {
		c.Tested++
		if m > windiestMeanMS {
			c.Failed++
			if c.Verdict == VerdictPass {
				c.Verdict = VerdictCaution
			}
			found = append(found, fmt.Sprintf("the mean wind is %.1f m/s, which looks like km/h, mph or knots", m))
		}
	}
	c.Message = "The units look right."
	if len(found) > 0 {
		c.Message = "Units look wrong: " + strings.Join(found, "; ") + "."
	}
	return c
}

// clearRatio is the 99th percentile of GHI over a clear sky's, for samples
// with the sun above 30°, or above 10° where it rarely gets there.
func (r *report) clearRatio() (float64, bool) {
	for _, lowest := range []float64{30, 10} {
		var all []float64
		for i, x := range r.y.GHI {
			if r.sun.ZenithDeg[i] < 90-lowest {
				all = append(all, x/r.clear.GHI[i])
			}
		}
		if len(all) >= 200 {
			slices.Sort(all)
			return all[len(all)*99/100], true
		}
	}
	return 0, false
}

// likelyUnit names a unit whose factor explains a ratio within a fifth.
func (r *report) likelyUnit(ratio float64) string {
	hours := float64(r.y.StepS) / 3600
	best, off := "", math.Log(1.2)
	for _, u := range []struct {
		name   string
		factor float64
	}{
		{"kW/m²", 0.001}, {"kWh/m² per interval", 0.001 * hours}, {"MJ/m² per interval", 0.0036 * hours},
		{"J/cm² per interval", 0.36 * hours}, {"Wh/m² per interval", hours}, {"kJ/m² per interval", 3.6 * hours},
	} {
		if d := math.Abs(math.Log(ratio / u.factor)); d < off {
			best, off = ", which looks like "+u.name, d
		}
	}
	return best
}

func mean(values []float64) float64 {
	total := 0.0
	for _, x := range values {
		total += x
	}
	return total / float64(max(1, len(values)))
}
