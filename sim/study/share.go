package study

import (
	"fmt"

	"gonum.org/v1/gonum/mathext"
)

// Share is how many of the simulated years have something.
type Share struct {
	Count int     `json:"count" doc:"How many."`
	Of    int     `json:"of" doc:"Of how many simulated years."`
	Low   float64 `json:"low_fraction" doc:"Lower end of the confidence interval of the share in the long run."`
	High  float64 `json:"high_fraction" doc:"Upper end."`
}

// shareOf counts the values that are 0, perYear of them in each weather year.
func shareOf(values []float64, perYear int, confidence float64) Share {
	count := 0
	for _, x := range values {
		if x == 0 {
			count++
		}
	}
	ratio := clusterRatio(values, perYear, 0, (1-confidence)/2)
	return newShare(count, len(values), ratio, confidence)
}

// newShare has the interval of Clopper & Pearson 1934, Biometrika 26, 404, with
// both counts scaled by ratio (Korn & Graubard 1998, Survey Methodology 24, 193).
func newShare(count, of int, ratio, confidence float64) Share {
	s := Share{Count: count, Of: of, High: 1}
	tail, k, n := (1-confidence)/2, float64(count)*ratio, float64(of)*ratio
	if count > 0 {
		s.Low = mathext.InvRegIncBeta(k, n-k+1, tail)
	}
	if count < of {
		s.High = mathext.InvRegIncBeta(k+1, n-k, 1-tail)
	}
	return s
}

// DarkFree says a share of years without downtime in words.
func (s Share) DarkFree() string {
	switch s.Count {
	case 0:
		return fmt.Sprintf("dark hours in each of %d years", s.Of)
	case s.Of:
		return fmt.Sprintf("no dark hour in any of %d years", s.Of)
	}
	return fmt.Sprintf("no dark hour in %d of %d years", s.Count, s.Of)
}
