package study

import (
	"slices"

	"bankyear/sim/fault"
)

// Plan is a study that passed every check, expanded into numbered runs. It is
// not changed by use, and may be used by several at once.
type Plan struct {
	spec       Spec
	levels     [][]Value // of each axis
	candidates int
	members    int
	perYear    int
	years      []Value
	order      []int       // of a sizing: the grid point of each candidate
	columns    [][]float64 // of a Latin hypercube
	sequence   *sobol
	draws      [][]float64
	drawLevels [][]Value
}

// Run is one candidate in one member.
type Run struct {
	Candidate, Member int
	// Year and Draw are the member's weather year and its draw in that year.
	Year, Draw int
	// Assignments is what the base is changed by, the candidate's axes first.
	Assignments []Assignment
}

// Plan checks the study and expands it. All faults come at once; their pointers
// start at the study. Whether the paths lead to members of a request is not
// known here.
func (s *Spec) Plan() (*Plan, fault.Faults) {
	c := fault.New()
	fault.CheckTags(c, s)
	s.check(c)
	if faults := c.Faults(); len(faults) > 0 {
		return nil, faults
	}
	p := &Plan{spec: *s, perYear: 1, years: []Value{{}}}
	for i := range s.Axes {
		p.levels = append(p.levels, s.Axes[i].levels())
	}
	if s.Years != nil {
		p.years = s.Years.levels()
	}
	if s.Chance != nil {
		p.perYear = s.Chance.PerYear
	}
	p.members = len(p.years) * p.perYear
	p.candidates = p.countCandidates()
	if s.Kind == sizing && p.candidates > mostSized {
		c.At("axes").Add(p.candidates, "at most 1000000", "candidates", "makes too many candidates for a sizing, which keeps count of each")
		return nil, c.Faults()
	}
	if runs := p.candidates * p.members; runs > MostRuns {
		c.Add(runs, "at most 10000000", "runs", "has too many runs")
		return nil, c.Faults()
	}
	p.arrange()
	return p, nil
}

// countCandidates: the check bounds each factor, so that no product overflows.
func (p *Plan) countCandidates() int {
	switch s := &p.spec; {
	case s.Kind == ranking:
		return p.oneAtATime() + s.Samples*(len(s.Axes)+2)
	case len(s.Axes) == 0:
		return 1
	case s.Points == grid:
		n := 1
		for _, l := range p.levels {
			n = min(n*len(l), MostRuns+1)
		}
		return n
	case s.Points == listed:
		return len(p.levels[0])
	default:
		return s.Samples
	}
}

// arrange draws what is drawn and puts a sizing in its order.
func (p *Plan) arrange() {
	s := &p.spec
	switch {
	case s.Kind == ranking && s.Samples > 0:
		p.sequence = newSobol(2*len(s.Axes), s.Seed)
	case s.Kind == sizing:
		p.order = coarseToFine(p.levels, p.candidates)
	case s.Points == sobolPoints:
		p.sequence = newSobol(len(s.Axes), s.Seed)
	case s.Points == latin:
		p.columns = hypercube(len(s.Axes), s.Samples, s.Seed)
	}
	if s.Chance != nil && len(s.Chance.Draws) > 0 {
		p.draws = hypercube(len(s.Chance.Draws), p.members, ^s.Seed)
		for i := range s.Chance.Draws {
			p.drawLevels = append(p.drawLevels, s.Chance.Draws[i].levels())
		}
	}
}

// Runs is the number of runs.
func (p *Plan) Runs() int { return p.candidates * p.members }

// Candidates is the number of candidates.
func (p *Plan) Candidates() int { return p.candidates }

// Members is the number of members that each candidate meets.
func (p *Plan) Members() int { return p.members }

// PerYear is the number of members in each weather year.
func (p *Plan) PerYear() int { return p.perYear }

// Paths are the paths of the axes, in order.
func (p *Plan) Paths() []string {
	list := make([]string, len(p.spec.Axes))
	for i, a := range p.spec.Axes {
		list[i] = a.Path
	}
	return list
}

// Run is run i, 0 to Runs() − 1: all members of candidate 0 first.
func (p *Plan) Run(i int) Run {
	r := p.Place(i)
	r.Assignments = append(p.Candidate(r.Candidate), p.Member(r.Member)...)
	return r
}

// Place is run i without what it changes.
func (p *Plan) Place(i int) Run {
	if i < 0 || i >= p.Runs() {
		panic("study: run is out of range")
	}
	c, m := i/p.members, i%p.members
	return Run{Candidate: c, Member: m, Year: m / p.perYear, Draw: m % p.perYear}
}

// Member is what member m changes: the weather year, the seeds, the draws.
func (p *Plan) Member(m int) []Assignment {
	return append(p.Year(m/p.perYear), p.chance(m)...)
}

// Year is what weather year y changes.
func (p *Plan) Year(y int) []Assignment {
	if p.spec.Years == nil {
		return nil
	}
	return []Assignment{{p.spec.Years.Path, p.years[y]}}
}

// WithinYear is what a run changes beside its weather year.
func (p *Plan) WithinYear(r *Run) []Assignment {
	return append(p.Candidate(r.Candidate), p.chance(r.Member)...)
}

// chance is the seeds and the draws of a member.
func (p *Plan) chance(m int) []Assignment {
	var list []Assignment
	if ch := p.spec.Chance; ch != nil {
		for _, path := range ch.SeedPaths {
			list = append(list, Assignment{path, Number(float64(ch.FirstSeed + uint64(m)))})
		}
		for d := range p.draws {
			a := &ch.Draws[d]
			list = append(list, Assignment{a.Path, a.sample(p.draws[d][m], p.drawLevels[d])})
		}
	}
	return list
}

// Candidate is what candidate c changes, axis by axis; in a ranking, the base
// and the values taken one at a time change less.
func (p *Plan) Candidate(c int) []Assignment {
	s := &p.spec
	switch {
	case s.Kind == ranking:
		return p.ranked(c)
	case len(s.Axes) == 0:
		return nil
	}
	list := make([]Assignment, len(s.Axes))
	switch s.Points {
	case grid:
		if p.order != nil {
			c = p.order[c]
		}
		for i, at := range p.indices(c) {
			list[i] = Assignment{s.Axes[i].Path, p.levels[i][at]}
		}
	case listed:
		for i := range list {
			list[i] = Assignment{s.Axes[i].Path, p.levels[i][c]}
		}
	default:
		p.samplePoint(c, list)
	}
	return list
}

func (p *Plan) samplePoint(c int, list []Assignment) {
	x := make([]float64, len(list))
	if p.sequence != nil {
		p.sequence.point(uint32(c), x)
	} else {
		for i := range x {
			x[i] = p.columns[i][c]
		}
	}
	for i := range list {
		a := &p.spec.Axes[i]
		list[i] = Assignment{a.Path, a.sample(x[i], p.levels[i])}
	}
}

// sample is the value at u in [0, 1] of an axis: a number between the ends of a
// continuous one, else one of the levels, each as likely.
func (a *Axis) sample(u float64, levels []Value) Value {
	switch {
	case a.Range != nil && a.continuous():
		return Number(a.Range.at(u))
	case a.LogRange != nil && a.continuous():
		return Number(a.LogRange.at(u))
	}
	return levels[min(int(u*float64(len(levels))), len(levels)-1)]
}

// indices are the level numbers of a grid point, the last axis fastest.
func (p *Plan) indices(point int) []int {
	at := make([]int, len(p.levels))
	for i, l := range slices.Backward(p.levels) {
		at[i] = point % len(l)
		point /= len(l)
	}
	return at
}
