package weather

import (
	"fmt"
	"slices"
)

// Verdicts of the quality report, from good to bad; NotTested where the year
// lacks the columns that a check needs.
const (
	VerdictPass      = "pass"
	VerdictCaution   = "caution"
	VerdictFail      = "fail"
	VerdictNotTested = "not_tested"
)

// Quality tells whether a year of weather can be trusted.
type Quality struct {
	Verdict string         `json:"verdict" enum:"pass,caution,fail" doc:"The worst verdict of the checks."`
	Checks  []QualityCheck `json:"checks" doc:"The checks, always in the same order."`
}

// QualityCheck is one check of the report.
type QualityCheck struct {
	Name    string           `json:"name" doc:"Name of the check."`
	Verdict string           `json:"verdict" enum:"pass,caution,fail,not_tested" doc:"Outcome."`
	Rule    string           `json:"rule" doc:"What is held against what, and from where the limits are."`
	Message string           `json:"message" doc:"The finding in plain words."`
	Tested  int              `json:"tested" doc:"Samples that the rule applies to."`
	Failed  int              `json:"failed" doc:"Samples outside the rule."`
	Worst   []QualityExample `json:"worst,omitzero" doc:"Up to five samples furthest outside."`
	Months  []MonthShift     `json:"months,omitzero" doc:"For time_shift: each month."`
}

// QualityExample is one sample outside a rule.
type QualityExample struct {
	Member  string  `json:"member"`
	Index   int     `json:"index"`
	Start   string  `json:"start"`
	Value   float64 `json:"value"`
	Allowed string  `json:"allowed"`
	Unit    string  `json:"unit"`

	excess float64
}

// worstExamples is how many examples a check keeps.
const worstExamples = 5

// Quality checks a year that passed Check. filled are the samples that were
// not measured.
func (y *Year) Quality(filled []Fill) *Quality {
	r := &report{y: y, sun: y.Sun()}
	if y.GHI != nil {
		r.clear = y.ClearSky(r.sun, usualTurbidity)
	}
	q := &Quality{Checks: []QualityCheck{
		r.closure(), r.possible(), r.rare(), r.night(), r.gaps(filled), r.stuck(), r.timeShift(), r.units(),
	}}
	order := []string{VerdictNotTested, VerdictPass, VerdictCaution, VerdictFail}
	worst := 1
	for _, c := range q.Checks {
		worst = max(worst, slices.Index(order, c.Verdict))
	}
	q.Verdict = order[worst]
	return q
}

// usualTurbidity is a Linke turbidity of mid-latitude air, as used for a clear
// sky that real ones are held against (common practice, no source).
const usualTurbidity = 3

// report computes the checks of one year.
type report struct {
	y     *Year
	sun   *Sun
	clear *Year
}

// outside records a sample outside the rule of a check by how much.
func (r *report) outside(c *QualityCheck, of column, i int, value, excess float64, allowed func() string) {
	c.Failed++
	at := len(c.Worst)
	for at > 0 && c.Worst[at-1].excess < excess {
		at--
	}
	if at == worstExamples {
		return
	}
	start := r.y.Start(i).Format("2006-01-02T15:04")
	c.Worst = slices.Insert(c.Worst, at, QualityExample{of.String(), i, start, value, allowed(), columnInfos[of].unit, excess})
	c.Worst = c.Worst[:min(len(c.Worst), worstExamples)]
}

// judge gives the verdict by the share of samples outside the rule.
func (c *QualityCheck) judge(caution, fail float64, what string) QualityCheck {
	share := 0.0
	if c.Tested > 0 {
		share = float64(c.Failed) / float64(c.Tested)
	}
	switch {
	case c.Tested == 0:
		c.Verdict = VerdictNotTested
		c.Message = "No sample to test."
		return *c
	case share > fail:
		c.Verdict = VerdictFail
	case share > caution:
		c.Verdict = VerdictCaution
	default:
		c.Verdict = VerdictPass
	}
	c.Message = fmt.Sprintf("%d of %d samples (%.2g %%) %s.", c.Failed, c.Tested, 100*share, what)
	return *c
}

// without is the outcome of a check that the year has no columns for.
func (c QualityCheck) without(columns string) QualityCheck {
	c.Verdict, c.Message = VerdictNotTested, "The year has no "+columns+"."
	return c
}
