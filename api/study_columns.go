package api

import (
	"strconv"
	"strings"
	"sync"

	"bankyear/api/document"
	"bankyear/api/tabular"
	"bankyear/sim/fault"
	"bankyear/sim/study"
)

func itoa(i int) string { return strconv.Itoa(i) }

// valueAt is the value at a dotted path.
func valueAt(n *document.Node, path string) *document.Node {
	for name := range strings.SplitSeq(path, ".") {
		n = n.Get(name)
	}
	return n
}

// The columns that a worker computes of every study: hash, faults, every figure, every text among
// the figures.
const (
	hashColumn = iota
	faultColumn
	firstFigure
)

var computedColumns = sync.OnceValue(func() []tabular.Column {
	list := []tabular.Column{
		hashColumn:  {Name: "hash", Kind: tabular.Text, Doc: "Content hash of the run: the hash that a single simulation of it answers."},
		faultColumn: {Name: "fault", Kind: tabular.Text, Doc: "Why the run could not be simulated: what is wrong with its input. Its figures are left out."},
	}
	for _, f := range study.Figures() {
		kind := tabular.Number
		if f.Whole {
			kind = tabular.Whole
		}
		list = append(list, tabular.Column{Name: f.Name, Kind: kind, Unit: f.Unit, Doc: f.Doc})
	}
	for _, t := range study.TextFigures() {
		list = append(list, tabular.Column{Name: t.Name, Kind: tabular.Text, Doc: t.Doc})
	}
	return list
})

// runColumns is what every table of runs begins with.
var runColumns = []tabular.Column{
	{Name: "run", Kind: tabular.Whole, Doc: "Number of the run, from 0."},
	{Name: "candidate", Kind: tabular.Whole, Doc: "Number of the candidate: what is built. Its axes follow."},
	{Name: "member", Kind: tabular.Whole, Doc: "Number of the member: what happens, a weather year and a draw of chance. Every candidate meets the same."},
	{Name: "weather_year", Kind: tabular.Whole, Doc: "Number of the weather year."},
}

// runsForm names what the columns of a table of runs are. In one form columns are
// never renamed, retyped or taken away; figures may be added.
const runsForm = "bankyear.runs/1"

// Columns are those of the table of runs: the run, one for each axis, the weather
// year and what is left to chance, and one for each figure.
func (s *Study) Columns() []tabular.Column {
	list := append([]tabular.Column{}, runColumns...)
	for _, v := range s.varied {
		c := tabular.Column{Name: v.path, Kind: tabular.Text, Doc: "Value of " + v.path + "; left out where the run has the base's own."}
		if v.numeric {
			c.Kind, c.Unit = tabular.Number, fault.UnitOf(v.path)
		}
		list = append(list, c)
	}
	return append(list, s.computed()...)
}

// place fills in what the runs from on are: their numbers, and the values of their
// axes.
func (s *Study) place(b *tabular.Block, from int) {
	run, candidate, member, year := tabular.Find(b.Columns, "run"), tabular.Find(b.Columns, "candidate"), tabular.Find(b.Columns, "member"), tabular.Find(b.Columns, "weather_year")
	axes, any := map[string]int{}, false
	for _, v := range s.varied {
		axes[v.path] = tabular.Find(b.Columns, v.path)
		any = any || axes[v.path] >= 0
	}
	set := func(column, row, x int) {
		if column >= 0 {
			b.Numbers[column][row] = float64(x)
		}
	}
	for row := range b.Rows {
		r := s.Plan.Place(from + row)
		set(run, row, from+row)
		set(candidate, row, r.Candidate)
		set(member, row, r.Member)
		set(year, row, r.Year)
		if !any {
			continue
		}
		for _, a := range s.Plan.Run(from + row).Assignments {
			i := axes[a.Path]
			if i < 0 {
				continue
			}
			if b.Columns[i].Kind == tabular.Text {
				b.Texts[i][row] = a.Value.String()
			} else if x, ok := a.Value.Number(); ok {
				b.Numbers[i][row] = x
			}
		}
	}
}
