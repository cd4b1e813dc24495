package api

import (
	"fmt"
	"slices"
	"strconv"

	"bankyear/api/document"
	"bankyear/sim"
	"bankyear/sim/fault"
	"bankyear/sim/study"
)

// ManyYears is the candidates of a comparison in further years of weather. What
// is left to chance, link faults and failed starts, is in every year as the seeds
// say.
type ManyYears struct {
	Years   []OneYear `json:"years" doc:"Each year, in the order of the request."`
	Figures []YearRow `json:"figures" doc:"Every number among the figures over the years."`
	Words   []string  `json:"words" doc:"What they say, one sentence for each candidate and difference."`
}

// OneYear is one further year.
type OneYear struct {
	CalendarYear int               `json:"calendar_year" doc:"Year that dates the rows."`
	Hashes       map[string]string `json:"hashes" doc:"Content hash of each candidate in this year."`
	Figures      map[string]Glance `json:"figures" doc:"What a quote says of it, by candidate."`
}

// YearRow is one figure over the years.
type YearRow struct {
	Figure      string                   `json:"figure" doc:"Name of the figure; a dotted path for a cause."`
	Unit        string                   `json:"unit,omitzero" required:"false" doc:"Its unit."`
	Values      map[string][]float64     `json:"values" doc:"Value in each year, by candidate."`
	Summaries   map[string]study.Summary `json:"summaries" doc:"Mean, extremes and percentiles with their confidence interval (90 %, by order statistics), by candidate."`
	Differences map[string]study.Summary `json:"differences" doc:"The same of value minus that of the reference in the same year, by candidate."`
}

const (
	mostYears    = 64
	mostYearRuns = 512
)

// checkYears wants few enough years, and nothing in them but weather.
func checkYears(c fault.Collector, r *ComparisonRequest) {
	c = c.At("years")
	n := len(r.Years)
	if n > mostYears {
		c.Add(n, "up to "+strconv.Itoa(mostYears), "items", "has too many years")
	} else if runs := n * (len(r.Candidates) + 1); runs > mostYearRuns {
		c.Add(runs, "up to "+strconv.Itoa(mostYearRuns), "runs", "makes too many runs with the candidates and the base; a study takes more")
	}
	for i, y := range r.Years {
		at := c.At(strconv.Itoa(i))
		if y.Kind() != document.Object || len(y.Members()) == 0 {
			at.Addf(nil, "is no object with weather or calendar_year")
			continue
		}
		for _, m := range y.Members() {
			if m.Name != "weather" && m.Name != "calendar_year" {
				at.At(m.Name).Add(nil, "weather, calendar_year", "", "does not belong to a year of weather")
			}
		}
	}
}

// years prepares every candidate in every further year.
func (cs *Cases) years(r *ComparisonRequest, out *comparison) (faults fault.Faults) {
	seen := map[string]bool{}
	for i, patch := range r.Years {
		base := document.Merge(r.Base, patch)
		var cases []*Case
		for _, x := range out.candidates {
			tree := base
			if x.patch != nil {
				tree = document.Merge(base, x.patch)
			}
			c, found := cs.Prepare(tree, nil)
			for _, f := range found {
				f.Pointer = fault.New().At("years", strconv.Itoa(i)).Pointer() + f.Pointer
				if key := f.Pointer + "\n" + f.Message; !seen[key] {
					seen[key] = true
					faults = append(faults, f)
				}
			}
			cases = append(cases, c)
		}
		out.years = append(out.years, cases)
	}
	return faults
}

// manyYears runs the further years; nil when nobody waits any more.
func manyYears(by *crew, x *comparison) *ManyYears {
	years := make([][]*sim.Year, len(x.years))
	if !by.each(len(x.years), func(i int) {
		var like *sim.Plan
		for _, c := range x.years[i] {
			p := sim.Compile(&c.System, c.Weather, c.Load)
			if like != nil {
				p = sim.CompileLike(&c.System, c.Weather, c.Load, like)
			}
			like = p
			years[i] = append(years[i], p.Run(false))
			by.count()
		}
	}) {
		return nil
	}
	out := &ManyYears{}
	for i, cases := range x.years {
		one := OneYear{CalendarYear: cases[0].Weather.CalendarYear, Hashes: map[string]string{}, Figures: map[string]Glance{}}
		for k, c := range cases {
			name := x.candidates[k].name
			one.Hashes[name], one.Figures[name] = c.Hash, glance(&years[i][k].Figures)
		}
		out.Years = append(out.Years, one)
	}
	out.summarise(x, years)
	return out
}

// yearPrecision is when a percentile over the years counts as converged.
var yearPrecision = study.Precision{ConfidenceFraction: 0.9, RelativeFraction: 0.1, Absolute: 1}

// summarise reads every figure over the years.
func (m *ManyYears) summarise(x *comparison, years [][]*sim.Year) {
	figures := study.Figures()
	table := make([][][]float64, len(x.candidates)) // candidate, figure, year
	row := make([]float64, len(figures))
	for k := range x.candidates {
		table[k] = make([][]float64, len(figures))
		for i := range years {
			study.Row(row, figures, &years[i][k].Figures)
			for f, v := range row {
				table[k][f] = append(table[k][f], v)
			}
		}
	}
	for f, figure := range figures {
		r := YearRow{Figure: figure.Name, Unit: figure.Unit, Values: map[string][]float64{}, Summaries: map[string]study.Summary{}, Differences: map[string]study.Summary{}}
		for k, c := range x.candidates {
			r.Values[c.name] = table[k][f]
			r.Summaries[c.name] = study.Summarise(table[k][f], 1, yearPrecision)
			if k > 0 {
				r.Differences[c.name] = study.Summarise(minus(table[k][f], table[0][f]), 1, yearPrecision)
			}
		}
		m.Figures = append(m.Figures, r)
	}
	dark, gen := m.row("downtime_h"), m.row("generator_h")
	for k, c := range x.candidates {
		s := dark.Summaries[c.name]
		m.Words = append(m.Words, fmt.Sprintf("%s: %s; dark for %s a year, %s in the worst; the generator runs for %s.",
			c.name, s.None.DarkFree(), study.BandOf(dark.Values[c.name]).Words("h"), hours(s.Highest), study.BandOf(gen.Values[c.name]).Words("h")))
		if k > 0 {
			m.Words = append(m.Words, fmt.Sprintf("%s against %s, year by year: %s dark, %s of the generator.", c.name, x.candidates[0].name,
				study.BandOf(minus(dark.Values[c.name], dark.Values[x.candidates[0].name])).DifferenceWords("h"),
				study.BandOf(minus(gen.Values[c.name], gen.Values[x.candidates[0].name])).DifferenceWords("h")))
		}
	}
}

func (m *ManyYears) row(figure string) *YearRow {
	return &m.Figures[slices.IndexFunc(m.Figures, func(r YearRow) bool { return r.Figure == figure })]
}

// minus is a − b, element by element.
func minus(a, b []float64) []float64 {
	out := make([]float64, len(a))
	for i := range a {
		out[i] = a[i] - b[i]
	}
	return out
}
