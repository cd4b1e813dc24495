package api

import (
	"iter"
	"math"
	"slices"
	"strconv"

	"bankyear/api/tabular"
	"bankyear/sim/study"
)

// usualFigures are those that a summary tells when none are asked for.
var usualFigures = []string{"downtime_h", "dark_nights", "longest_outage_h", "unserved_kwh", "generator_h", "generator_starts", "fuel_l", "lowest_soc_fraction", "years_to_80_pct", "charged_too_cold_h"}

const (
	mostSummaryFigures    = 24
	mostSummaryCandidates = 64
	mostSummaryValues     = 4_000_000 // held at once
)

// summary reads what the runs say about some figures. blocks gives the rows of
// Columns in the order of the runs; it is asked again as often as is needed to hold
// but a few megabytes at once. done tells whether all runs are there.
func (s *Study) summary(names []string, done bool, blocks func(columns []tabular.Column) iter.Seq2[*tabular.Block, error]) (*RunsSummary, error) {
	atOnce := s.figuresAtOnce()
	var out *RunsSummary
	for first := 0; first < len(names); first += atOnce {
		r := newSummary(s, names[first:min(first+atOnce, len(names))], first == 0)
		for b, err := range blocks(r.columns()) {
			if err != nil {
				return nil, err
			}
			r.read(b)
		}
		out = r.tell(out, done)
	}
	return out, nil
}

// figuresAtOnce is how many figures are read in one go: of each, the values of a
// candidate's members are held, and in a ranking the means of all candidates.
func (s *Study) figuresAtOnce() int {
	held := s.Plan.Members()
	if s.request.Kind == "ranking" {
		held = max(held, s.Plan.Candidates())
	}
	return max(1, mostSummaryValues/held)
}

// SummaryReader reads a summary from blocks that come one after the other, once.
type SummaryReader struct {
	reading *summing
	columns []tabular.Column
}

// SummaryReader reads what the usual figures say, the first of them where a study
// has very many members.
func (s *Study) SummaryReader() *SummaryReader {
	usual := s.usual()
	r := newSummary(s, usual[:min(s.figuresAtOnce(), len(usual))], true)
	return &SummaryReader{r, r.columns()}
}

// Read takes the next block of the table of runs.
func (r *SummaryReader) Read(b *tabular.Block) { r.reading.read(b.In(r.columns)) }

// Summary is what all runs say.
func (r *SummaryReader) Summary() *RunsSummary { return r.reading.tell(nil, true) }

// note says how a summary is to be read.
func (s *Study) note(out *RunsSummary, done bool) {
	add := func(text string) { out.Notes = append(out.Notes, text) }
	if s.request.Kind == "ranking" && done && out.Faulty > 0 {
		add("There is no ranking: " + count(out.Faulty, "run") + " could not be simulated.")
	}
	if s.Plan.Members() > 1 && s.Plan.Candidates() > mostSummaryCandidates {
		add("Percentiles are told of the first " + itoa(mostSummaryCandidates) + " candidates; the table of runs has all.")
	}
	if !done {
		add("Not all runs are done: everything here may change.")
	}
	if s.Plan.Members() > 1 && s.Plan.Members() == s.Plan.PerYear() {
		add("There is one weather year: the spread is that of chance alone, and says nothing of worse winters.")
	}
}

// tell adds what was read to a summary, or begins one. done tells whether all runs
// were there.
func (r *summing) tell(out *RunsSummary, done bool) *RunsSummary {
	r.flush()
	r.candidate = -1
	if out == nil {
		out = &RunsSummary{Figures: []FigureExtremes{}, Notes: []string{}, Runs: r.runs, Faulty: r.faulty}
		r.study.note(out, done)
	}
	for _, f := range r.figures {
		if f.n > 0 {
			f.extremes.Mean = sixDigits(f.sum / float64(f.n))
			out.Figures = append(out.Figures, f.extremes)
		}
	}
	for i, c := range r.candidates {
		if i == len(out.Candidates) {
			out.Candidates = append(out.Candidates, c)
			continue
		}
		out.Candidates[i].Figures = append(out.Candidates[i].Figures, c.Figures...)
		if out.Candidates[i].DarkFree == "" {
			out.Candidates[i].DarkFree = c.DarkFree
		}
	}
	if r.sizer != nil {
		answer := r.sizer.Answer(r.study.written)
		out.Sizing = &answer
	}
	if r.means != nil && done && r.faulty == 0 {
		out.Ranking = append(out.Ranking, r.rank()...)
	}
	return out
}

// summing is a summary on its way.
type summing struct {
	study      *Study
	runs       int
	faulty     int
	figures    []*figureSum
	sizer      *study.Sizer
	row        []float64 // of the sizer
	computed   int       // first column of figures for the sizer, in its block
	candidate  int       // that is being read, −1 for none
	members    []int
	candidates []CandidateYears
	means      [][]float64 // of a ranking: by figure, by candidate
}

type figureSum struct {
	extremes FigureExtremes
	n        int
	sum      float64
	values   []float64 // of the candidate that is being read, in the order of members
}

func newSummary(s *Study, names []string, first bool) *summing {
	r := &summing{study: s, candidate: -1}
	columns := s.computed()
	for _, name := range names {
		unit := columns[tabular.Find(columns, name)].Unit
		r.figures = append(r.figures, &figureSum{extremes: FigureExtremes{Figure: name, Unit: unit, Lowest: math.Inf(1), Highest: math.Inf(-1)}})
	}
	switch {
	case s.request.Kind == "sizing" && first:
		r.sizer, r.row = s.Plan.Sizer(), make([]float64, len(study.Figures()))
	case s.request.Kind == "ranking":
		r.means = make([][]float64, len(names))
		for i := range r.means {
			r.means[i] = make([]float64, s.Plan.Candidates())
		}
	}
	return r
}

// columns are those that the summary reads: run, hash, then its figures, then for
// a sizing all figures.
func (r *summing) columns() []tabular.Column {
	computed := r.study.computed()
	list := []tabular.Column{runColumns[0], computed[hashColumn]}
	for _, f := range r.figures {
		list = append(list, computed[tabular.Find(computed, f.extremes.Figure)])
	}
	if r.sizer != nil {
		r.computed = len(list)
		list = append(list, computed[firstFigure:firstFigure+len(r.row)]...)
	}
	return list
}

// read takes a block.
func (r *summing) read(b *tabular.Block) {
	for row := range b.Rows {
		run := int(b.Numbers[0][row])
		r.runs++
		if b.Texts[1][row] == "" {
			r.faulty++
			continue
		}
		if r.sizer != nil {
			for i := range r.row {
				r.row[i] = b.Numbers[r.computed+i][row]
			}
			r.sizer.Add(run, r.row)
		}
		candidate, member := run/r.study.Plan.Members(), run%r.study.Plan.Members()
		if candidate != r.candidate {
			r.flush()
			r.candidate = candidate
		}
		r.members = append(r.members, member)
		for i, f := range r.figures {
			f.add(run, b.Numbers[2+i][row])
		}
	}
}

func (f *figureSum) add(run int, x float64) {
	f.values = append(f.values, x)
	if math.IsNaN(x) {
		return
	}
	f.n++
	f.sum += x
	if e := &f.extremes; x < e.Lowest {
		e.Lowest, e.LowestRun = x, run
	}
	if e := &f.extremes; x > e.Highest {
		e.Highest, e.HighestRun = x, run
	}
}

// flush ends the candidate that was read.
func (r *summing) flush() {
	if r.candidate < 0 {
		return
	}
	p := r.study.Plan
	if r.means != nil && len(r.members) == p.Members() {
		for i, f := range r.figures {
			r.means[i][r.candidate] = p.MeanOfMembers(0, func(run int) float64 { return f.values[run] })
		}
	}
	if p.Members() > 1 && len(r.candidates) < mostSummaryCandidates && r.sizer == nil && r.means == nil {
		r.spread()
	}
	r.members = r.members[:0]
	for _, f := range r.figures {
		f.values = f.values[:0]
	}
}

// spread adds the percentiles of the candidate that was read, over the weather
// years of which all draws are there.
func (r *summing) spread() {
	perYear := r.study.Plan.PerYear()
	var rows []int
	for i := 0; i+perYear <= len(r.members); {
		if r.members[i]%perYear == 0 && r.members[i+perYear-1] == r.members[i]+perYear-1 {
			for k := range perYear {
				rows = append(rows, i+k)
			}
			i += perYear
			continue
		}
		i++
	}
	if len(rows) == 0 {
		return
	}
	c := CandidateYears{Candidate: r.candidate, Values: []any{}, Figures: []FigureSpread{}}
	for _, a := range r.study.Plan.Candidate(r.candidate) { // one an axis: of a ranking no percentiles are told
		c.Values = append(c.Values, r.study.written(a))
	}
	values := make([]float64, len(rows))
	for _, f := range r.figures {
		for i, row := range rows {
			values[i] = f.values[row]
		}
		if slices.ContainsFunc(values, math.IsNaN) {
			continue // there is no such figure for this candidate
		}
		s := study.Summarise(values, perYear, r.study.request.Precision)
		e := &f.extremes
		c.Figures = append(c.Figures, FigureSpread{Figure: e.Figure, Unit: e.Unit, Words: study.BandOf(values).Words(e.Unit), Summary: s})
		if e.Figure == "downtime_h" {
			c.DarkFree = s.None.DarkFree()
		}
	}
	r.candidates = append(r.candidates, c)
}

// rank is the ranking of each figure.
func (r *summing) rank() []FigureRanking {
	list := []FigureRanking{}
	for i, f := range r.figures {
		if slices.ContainsFunc(r.means[i], math.IsNaN) {
			continue
		}
		figure := func(candidate int) float64 { return r.means[i][candidate] }
		list = append(list, FigureRanking{Figure: f.extremes.Figure, Unit: f.extremes.Unit,
			Swings: r.study.Plan.Swings(figure, r.study.written), Sensitivities: r.study.Plan.Sensitivities(figure)})
	}
	return list
}

// sixDigits rounds a number for people to six digits.
func sixDigits(x float64) float64 {
	y, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64)
	if err != nil {
		panic("api: " + err.Error())
	}
	return y
}
