package study

import (
	"math"
	"slices"
)

// Sizer judges the candidates of a sizing as their runs come in, in any order.
// It keeps a few numbers a candidate, whatever the number of years.
type Sizer struct {
	plan    *Plan
	limits  []bound
	goals   []goal
	need    int // members that must meet the limits
	done    []int
	met     []int
	sums    [][]float64 // of the goals that are figures
	grid    []int       // candidate of a grid point
	strides []int
}

type bound struct {
	column int
	lo, hi float64
}

// goal is one thing to be small.
type goal struct {
	axis, column int // −1 when it is none
}

// Candidate is one candidate of a sizing.
type Candidate struct {
	Candidate   int       `json:"candidate" doc:"Number of the candidate."`
	Values      []any     `json:"values" doc:"Its values, one an axis, as the request has them: numbers as numbers."`
	Goals       []float64 `json:"goals" doc:"What is to be small, in the order asked for; figures are means over the years."`
	Price       *float64  `json:"price,omitzero" required:"false" doc:"Sum of the prices, when there are any."`
	YearsMet    int       `json:"years_met" doc:"Simulated years in which all limits were met."`
	YearsJudged int       `json:"years_judged" doc:"Simulated years so far."`
	Passes      bool      `json:"passes" doc:"Whether the limits were met in enough years."`
}

// Border is two neighbours on the grid of which one passes.
type Border struct {
	Passes int `json:"passes" doc:"Candidate that passes."`
	Fails  int `json:"fails" doc:"Its neighbour that does not."`
	// Against is a pair that a search trusting in monotony would get wrong.
	Against bool `json:"against" doc:"Whether it is the larger one, on an axis that is to be small, that fails."`
}

// SizingAnswer is what a sizing knows so far.
type SizingAnswer struct {
	Judged   int         `json:"candidates_judged" doc:"Candidates whose years have all been simulated."`
	Of       int         `json:"candidates" doc:"Candidates in all."`
	Goals    []string    `json:"minimised" doc:"What is to be small."`
	Frontier []Candidate `json:"frontier" doc:"Passing candidates that no other passing one beats in everything that is to be small."`
	Cheapest *int        `json:"cheapest,omitzero" required:"false" doc:"Passing candidate with the lowest price; the first of equals."`
	Border   []Border    `json:"border" doc:"Where passing and failing candidates meet on the grid."`
}

// Sizer starts the judgement of a sizing. It panics for another kind of study.
func (p *Plan) Sizer() *Sizer {
	z := p.spec.Sizing
	if z == nil {
		panic("study: is no sizing")
	}
	s := &Sizer{plan: p, done: make([]int, p.candidates), met: make([]int, p.candidates), sums: make([][]float64, p.candidates), grid: make([]int, p.candidates)}
	s.need = int(math.Ceil(z.MetInFraction*float64(p.members) - 1e-9))
	for _, l := range z.Limits {
		b := bound{Column(l.Figure), math.Inf(-1), math.Inf(1)}
		if l.AtMost != nil {
			b.hi = *l.AtMost
		}
		if l.AtLeast != nil {
			b.lo = *l.AtLeast
		}
		s.limits = append(s.limits, b)
	}
	for _, name := range p.goals() {
		s.goals = append(s.goals, goal{axis: slices.Index(p.Paths(), name), column: Column(name)})
	}
	for c := range s.sums {
		s.sums[c] = make([]float64, len(s.goals))
		s.grid[p.order[c]] = c
	}
	stride := p.candidates
	for _, l := range p.levels {
		stride /= len(l)
		s.strides = append(s.strides, stride)
	}
	return s
}

// goals are the names of what is to be small.
func (p *Plan) goals() []string {
	if list := p.spec.Sizing.Minimise; len(list) > 0 {
		return list
	}
	var list []string
	for i := range p.spec.Axes {
		if p.spec.Axes[i].Choices == nil {
			list = append(list, p.spec.Axes[i].Path)
		}
	}
	return list
}

// Add takes the figures of a run, a row in the order of Figures. Each run is
// added once.
func (s *Sizer) Add(run int, row []float64) {
	c := run / s.plan.members
	s.done[c]++
	if s.done[c] > s.plan.members {
		panic("study: a run was added twice")
	}
	met := true
	for _, l := range s.limits {
		met = met && row[l.column] >= l.lo && row[l.column] <= l.hi
	}
	if met {
		s.met[c]++
	}
	for i, g := range s.goals {
		if g.axis < 0 && g.column >= 0 {
			s.sums[c][i] += row[g.column]
		}
	}
}

func (s *Sizer) judged(c int) bool { return s.done[c] == s.plan.members }
func (s *Sizer) passes(c int) bool { return s.judged(c) && s.met[c] >= s.need }

// Answer is what follows from the candidates judged so far, their values as write
// writes them.
func (s *Sizer) Answer(write Writer) SizingAnswer {
	a := SizingAnswer{Of: s.plan.candidates, Goals: s.plan.goals(), Frontier: []Candidate{}, Border: []Border{}}
	var passing []Candidate
	var points [][]float64
	lowest := math.Inf(1)
	for c := range s.plan.candidates {
		if s.judged(c) {
			a.Judged++
		}
		if s.passes(c) {
			k := s.judge(c)
			passing, points = append(passing, k), append(points, k.Goals)
			if k.Price != nil && *k.Price < lowest {
				lowest, a.Cheapest = *k.Price, &k.Candidate
			}
		}
	}
	for _, i := range Frontier(points) {
		a.Frontier = append(a.Frontier, s.written(passing[i], write))
	}
	a.Border = append(a.Border, s.border()...)
	return a
}

// Candidate is the state of one candidate, its values as write writes them.
func (s *Sizer) Candidate(c int, write Writer) Candidate { return s.written(s.judge(c), write) }

// written is a candidate with its values.
func (s *Sizer) written(k Candidate, write Writer) Candidate {
	for _, a := range s.plan.Candidate(k.Candidate) {
		k.Values = append(k.Values, write(a))
	}
	return k
}

// judge is the state of a candidate without its values.
func (s *Sizer) judge(c int) Candidate {
	z := s.plan.spec.Sizing
	k := Candidate{Candidate: c, YearsMet: s.met[c], YearsJudged: s.done[c], Passes: s.passes(c)}
	at := s.plan.Candidate(c)
	sum := 0.
	for _, x := range at {
		n, _ := x.Value.Number()
		sum += z.Prices[x.Path] * n
	}
	if z.Prices != nil {
		k.Price = &sum
	}
	for i, g := range s.goals {
		x := sum // price
		switch {
		case g.axis >= 0:
			x, _ = at[g.axis].Value.Number()
		case g.column >= 0:
			x = s.sums[c][i] / float64(max(s.done[c], 1))
		}
		k.Goals = append(k.Goals, x)
	}
	return k
}

// border lists the neighbours along each axis of numbers of which one passes and
// the other fails.
func (s *Sizer) border() []Border {
	var list []Border
	for point := range s.grid {
		at := s.plan.indices(point)
		for i := range at {
			if s.plan.spec.Axes[i].Choices != nil || at[i]+1 == len(s.plan.levels[i]) {
				continue
			}
			a, b := s.grid[point], s.grid[point+s.strides[i]]
			if !s.judged(a) || !s.judged(b) || s.passes(a) == s.passes(b) {
				continue
			}
			minimised := slices.ContainsFunc(s.goals, func(g goal) bool { return g.axis == i })
			if s.passes(a) {
				list = append(list, Border{Passes: a, Fails: b, Against: minimised})
			} else {
				list = append(list, Border{Passes: b, Fails: a})
			}
		}
	}
	return list
}
