package api

import (
	"context"
	"slices"
	"strings"

	"bankyear/api/document"
	"bankyear/api/tabular"
	"bankyear/sim"
	"bankyear/sim/fault"
	"bankyear/sim/study"
)

// lane computes runs of one study, one after the other. What they share it makes
// once: a weather year with its sun, a load, and the rows of a plan where no axis
// touches them. Not for concurrent use.
type lane struct {
	study   *Study
	cases   Cases
	years   map[int]*document.Node // base in a weather year
	plans   plans
	figures []study.Figure
	texts   []study.TextFigure
	further []*furtherFigure
	columns []tabular.Column // of what it computes
	row     []float64
}

func newLane(s *Study, cases Cases) *lane {
	cases.keepsSun, cases.reader = true, document.NewReader(catalogue())
	l := &lane{study: s, cases: cases, years: map[int]*document.Node{}, figures: study.Figures(), texts: study.TextFigures(), further: s.further(), columns: s.computed()}
	l.row = make([]float64, len(l.figures))
	return l
}

// request is the request of a run. Runs in the same weather year share the parts
// that they do not change.
func (l *lane) request(r *study.Run) *document.Node {
	base, ok := l.years[r.Year]
	if !ok {
		base = l.study.base
		if y := l.study.request.Years; y != nil {
			base = document.Merge(base, l.study.patch(l.study.Plan.Year(r.Year)))
		}
		if len(l.years) >= mostKeptYears {
			clear(l.years)
		}
		l.years[r.Year] = base
	}
	return document.Merge(base, l.study.patch(l.study.Plan.WithinYear(r)))
}

// mostKeptYears bounds the bases that a lane keeps.
const mostKeptYears = 1000

// check takes a run through all checks.
func (l *lane) check(run int) (*prepared, fault.Faults) {
	r := l.study.Plan.Place(run)
	return l.cases.prepare(l.request(&r), nil)
}

// prepare makes the case of a run that passes them.
func (l *lane) prepare(run int) (*Case, fault.Faults) {
	p, faults := l.check(run)
	if p == nil {
		return nil, faults
	}
	return p.named(), nil
}

// rows computes the runs from … to − 1 as a block of the lane's columns. A run that
// has faults says so instead of its figures.
func (l *lane) rows(ctx context.Context, from, to int) (*tabular.Block, error) {
	b := tabular.New(l.columns, to-from)
	members, perYear := l.study.Plan.Members(), l.study.Plan.PerYear()
	order := make([]int, to-from)
	for i := range order {
		order[i] = from + i
	}
	// Year by year, so that runs in the same weather follow each other.
	slices.SortStableFunc(order, func(a, b int) int { return a%members/perYear - b%members/perYear })
	for _, run := range order {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		l.fill(b, run-from, run)
	}
	return b, nil
}

// fill computes one run into a row.
func (l *lane) fill(b *tabular.Block, row, run int) {
	c, faults := l.prepare(run)
	if len(faults) > 0 {
		b.Texts[faultColumn][row] = clip(faults.Error(), mostFaultBytes)
		return
	}
	x := l.subject(c)
	figures := &x.year.Figures
	b.Texts[hashColumn][row] = c.Hash
	study.Row(l.row, l.figures, figures)
	for i, f := range l.figures {
		if x := l.row[i]; x != 0 || !f.MayLack {
			b.Numbers[firstFigure+i][row] = x
		}
	}
	for i := range l.texts {
		b.Texts[firstFigure+len(l.figures)+i][row] = l.texts[i].Of(figures)
	}
	l.fillFurther(b, row, x)
}

// mostFaultBytes of a run's faults are kept.
const mostFaultBytes = 300

func clip(text string, most int) string {
	if len(text) <= most {
		return text
	}
	return strings.ToValidUTF8(text[:most], "") + "…"
}

// mostLaneRows is what the plans that a lane keeps may have together, about 48 MB;
// one for the longest year is always kept.
const mostLaneRows = 24 * 8784

// compile compiles a case, and takes over what an earlier plan has already.
func (l *lane) compile(c *Case) *sim.Plan {
	l.plans.mostRows = max(mostLaneRows, l.plans.mostRows, 2*c.Weather.Len())
	return l.plans.compile(c)
}
