package study

import (
	"cmp"
	"math"
	"slices"
)

// A ranking's candidates are, in this order: the base; each value of each axis
// alone (a continuous axis gives its two ends); and, for each base sample, the
// points A, B and A with one axis at a time from B (Saltelli et al. 2010).

// oneAtATime is the number of candidates of the first two groups.
func (p *Plan) oneAtATime() int {
	n := 1
	for _, l := range p.levels {
		n += len(l)
	}
	return n
}

// ranked is what candidate c of a ranking changes.
func (p *Plan) ranked(c int) []Assignment {
	if c == 0 {
		return nil
	}
	rest := c - 1
	for i, l := range p.levels {
		if rest < len(l) {
			return []Assignment{{p.spec.Axes[i].Path, l[rest]}}
		}
		rest -= len(l)
	}
	k := len(p.levels)
	x := make([]float64, 2*k)
	p.sequence.point(uint32(rest/(k+2)), x)
	list := make([]Assignment, k)
	for i := range list {
		u := x[i]
		if block := rest % (k + 2); block == 1 || block == i+2 {
			u = x[k+i]
		}
		list[i] = Assignment{p.spec.Axes[i].Path, p.spec.Axes[i].sample(u, p.levels[i])}
	}
	return list
}

// Swing is how far a figure moves when one axis alone goes through its values.
type Swing struct {
	Path string `json:"path" doc:"Dotted path of the axis."`
	// Lowest and Highest are over the values of the axis and the base.
	Lowest    float64 `json:"lowest" doc:"Lowest value of the figure; the base counts too."`
	LowestAt  any     `json:"lowest_at,omitzero" required:"false" doc:"Value of the axis there, as the request has it: a number as a number; left out for the base's own."`
	Highest   float64 `json:"highest" doc:"Highest value of the figure."`
	HighestAt any     `json:"highest_at,omitzero" required:"false" doc:"Value of the axis there, likewise."`
	Swing     float64 `json:"swing" doc:"Highest less lowest, in the figure's unit."`
}

// Swings ranks the axes of a ranking one at a time: the base with one axis at
// each of its values, which write writes. figure is a figure of a candidate, the mean
// of its members for example. The widest swing comes first; equal ones stay in the order of the
// axes.
func (p *Plan) Swings(figure func(candidate int) float64, write Writer) []Swing {
	p.mustRank()
	base := figure(0)
	list := make([]Swing, len(p.levels))
	c := 1
	for i, levels := range p.levels {
		s := Swing{Path: p.spec.Axes[i].Path, Lowest: base, Highest: base}
		for _, v := range levels {
			x := figure(c)
			if x < s.Lowest {
				s.Lowest, s.LowestAt = x, write(Assignment{s.Path, v})
			}
			if x > s.Highest {
				s.Highest, s.HighestAt = x, write(Assignment{s.Path, v})
			}
			c++
		}
		s.Swing = s.Highest - s.Lowest
		list[i] = s
	}
	slices.SortStableFunc(list, func(a, b Swing) int { return cmp.Compare(b.Swing, a.Swing) })
	return list
}

// Sensitivity is an axis' share in the variance of a figure.
type Sensitivity struct {
	Path      string  `json:"path" doc:"Dotted path of the axis."`
	First     float64 `json:"first" doc:"First-order index: share of the variance that the axis explains alone."`
	FirstLow  float64 `json:"first_low" doc:"Lower end of its confidence interval."`
	FirstHigh float64 `json:"first_high" doc:"Upper end."`
	Total     float64 `json:"total" doc:"Total index: share that is left when all other axes are known; above the first by its interactions."`
	TotalLow  float64 `json:"total_low" doc:"Lower end of its confidence interval."`
	TotalHigh float64 `json:"total_high" doc:"Upper end."`
}

// Sensitivities ranks the axes of a ranking with samples by their total index,
// largest first; equal ones stay in the order of the axes. The intervals are
// those of the study's confidence by bootstrap over the base samples (Archer,
// Saltelli & Sobol' 1997), drawn by the study's seed. A figure that does not vary has
// indices of 0.
func (p *Plan) Sensitivities(figure func(candidate int) float64) []Sensitivity {
	p.mustRank()
	n, k := p.spec.Samples, len(p.levels)
	if n == 0 {
		return nil
	}
	f := make([]float64, n*(k+2))
	first := p.oneAtATime()
	for i := range f {
		f[i] = figure(first + i)
	}
	list := sensitivities(f, k, p.spec.Precision.ConfidenceFraction, p.spec.Seed)
	for i := range list {
		list[i].Path = p.spec.Axes[i].Path
	}
	slices.SortStableFunc(list, func(a, b Sensitivity) int { return cmp.Compare(b.Total, a.Total) })
	return list
}

func (p *Plan) mustRank() {
	if p.spec.Kind != ranking {
		panic("study: is no ranking")
	}
}

// MeanOfMembers is the mean over a candidate's members of a figure of its runs,
// by run number.
func (p *Plan) MeanOfMembers(candidate int, figure func(run int) float64) float64 {
	var sum, lost float64 // Neumaier's compensated sum
	for m := range p.members {
		x := figure(candidate*p.members + m)
		t := sum + x
		if math.Abs(sum) >= math.Abs(x) {
			lost += (sum - t) + x
		} else {
			lost += (x - t) + sum
		}
		sum = t
	}
	return (sum + lost) / float64(p.members)
}
