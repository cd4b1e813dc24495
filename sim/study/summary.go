package study

import (
	"math"
	"slices"
)

// Percentile is one percentile of a figure over the members of an ensemble, with
// a confidence interval that assumes no distribution.
type Percentile struct {
	Percent   int      `json:"percent" doc:"Percentile: 90 is not exceeded in nine years of ten."`
	Value     float64  `json:"value" doc:"The percentile, in the figure's unit."`
	Low       *float64 `json:"low,omitzero" required:"false" doc:"Lower end of its confidence interval; left out when there are too few members for one."`
	High      *float64 `json:"high,omitzero" required:"false" doc:"Upper end; left out likewise."`
	Converged bool     `json:"converged" doc:"Whether half the interval is within the tolerance asked for."`
	// Needed is members in all, with as many draws a year as there are.
	Needed int `json:"members_needed,omitzero" required:"false" doc:"About how many members it would take to converge; left out when it has."`
}

// Summary is a figure over the members of an ensemble.
type Summary struct {
	Members     int          `json:"members" doc:"Simulated years behind it."`
	Years       int          `json:"weather_years" doc:"Different weather years among them. With one, the spread is that of chance alone."`
	Mean        float64      `json:"mean" doc:"Mean, in the figure's unit."`
	Lowest      float64      `json:"lowest" doc:"Lowest of the members."`
	Highest     float64      `json:"highest" doc:"Highest of the members."`
	Percentiles []Percentile `json:"percentiles" doc:"P10, P50, P90 and P99."`
	Converged   bool         `json:"converged" doc:"Whether P10, P50 and P90 have all converged."`
	None        Share        `json:"none" doc:"Members in which the figure is 0: for downtime, years without a dark hour."`
}

// Summarise reads a figure's values over the members of one candidate, in the
// order of the members, perYear of them in each weather year. It panics when
// there is none.
func Summarise(values []float64, perYear int, precision Precision) Summary {
	sorted := slices.Sorted(slices.Values(values))
	n := len(values)
	s := Summary{
		Members: n, Years: n / perYear, Lowest: sorted[0], Highest: sorted[n-1], Converged: true,
		None: shareOf(values, perYear, precision.ConfidenceFraction),
	}
	for _, x := range sorted {
		s.Mean += x / float64(n)
	}
	s.Mean = min(max(s.Mean, s.Lowest), s.Highest)
	for _, percent := range []int{10, 50, 90, 99} {
		p := percentile(values, sorted, percent, perYear, precision)
		s.Percentiles = append(s.Percentiles, p)
		s.Converged = s.Converged && (p.Converged || percent == 99)
	}
	return s
}

func percentile(values, sorted []float64, percent, perYear int, precision Precision) Percentile {
	p, tail := float64(percent)/100, (1-precision.ConfidenceFraction)/2
	out := Percentile{Percent: percent, Value: quantile(sorted, p)}
	ratio := clusterRatio(values, perYear, out.Value, tail)
	l, u := orderInterval(len(sorted), ratio, p, tail)
	if l > 0 {
		low := sorted[l-1] // a copy: the answer must not keep all values
		out.Low = &low
	}
	if u > 0 {
		high := sorted[u-1]
		out.High = &high
	}
	if l == 0 || u == 0 {
		out.Needed = int(math.Ceil(leastMembers(p, tail) / ratio))
		return out
	}
	half := (*out.High - *out.Low) / 2
	tolerance := max(precision.RelativeFraction*math.Abs(out.Value), precision.Absolute)
	if out.Converged = half <= tolerance; !out.Converged { // an interval narrows as 1/√n
		out.Needed = int(min(math.Ceil(float64(len(sorted))*half*half/(tolerance*tolerance)), MostRuns))
	}
	return out
}
