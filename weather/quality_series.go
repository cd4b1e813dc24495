package weather

import "fmt"

// Shares of filled samples from which the gaps check cautions and fails:
// common practice, no source.
const gapsCaution, gapsFail = 0.01, 0.10

// gaps counts samples that were filled, not measured.
func (r *report) gaps(filled []Fill) QualityCheck {
	c := QualityCheck{Name: "gaps", Rule: fmt.Sprintf("At most %g %% of the samples filled, not measured (above %g %%: fail)", gapsCaution*100, gapsFail*100)}
	for of := range columns {
		c.Tested += len(*r.y.values(of))
	}
	for _, f := range filled {
		c.Failed += f.Count
		for of := range columns {
			if of.String() == f.Member {
				c.Failed--
				r.outside(&c, of, f.Index, (*r.y.values(of))[f.Index], float64(f.Count), func() string {
					return fmt.Sprintf("measured; %d samples from here are filled: %s", f.Count, f.Rule)
				})
			}
		}
	}
	return c.judge(gapsCaution, gapsFail, "are filled")
}

// How long a value may stand still, in hours, and the least that counts. The
// sound open years have at most 2 h of one irradiance and 17 h of one
// temperature.
var standstill = [columns]struct{ hours, above float64 }{
	ghi: {4, 20}, dni: {4, 20}, dhi: {4, 20}, plane: {4, 20},
	ambient: {30, -100}, wind: {30, 0},
}

// stuckSamples is the least number of equal samples that counts as stuck,
// stuckFail the share of them from which the check fails.
const (
	stuckSamples = 4
	stuckFail    = 0.01
)

// stuck looks for values that do not move: a frozen logger, a clipped sensor, a
// monthly mean passed off as a record.
func (r *report) stuck() QualityCheck {
	c := QualityCheck{Name: "stuck", Rule: "No irradiance above 20 W/m² unchanged for 4 h, no temperature and no wind for 30 h; common practice, no source"}
	stillWind := 0
	for of := range columns {
		values := *r.y.values(of)
		c.Tested += len(values)
		still := standstill[of]
		for i := 0; i < len(values); {
			from := i
			for i < len(values) && values[i] == values[from] {
				i++
			}
			hours := float64((i-from)*r.y.StepS) / 3600
			if values[from] > still.above && hours >= still.hours && i-from >= stuckSamples {
				r.outside(&c, of, from, values[from], hours, func() string { return fmt.Sprintf("less than %g h of one value, not %.3g h", still.hours, hours) })
				c.Failed += i - from - 1
				if of == wind {
					stillWind += i - from
				}
			}
		}
	}
	failed := c.Failed
	c.judge(0, stuckFail, "stand still")
	if c.Verdict == VerdictFail && float64(failed-stillWind) <= stuckFail*float64(c.Tested) {
		c.Verdict = VerdictCaution // one wind speed throughout is poor, not wrong
	}
	return c
}
