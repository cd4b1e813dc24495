package api

import (
	"net/url"
	"slices"
	"strconv"
	"strings"

	"bankyear/sim"
)

// detailParameter is the query of a simulation and of a comparison.
type detailParameter struct {
	Detail  string `json:"detail" query:"detail" default:"figures" doc:"What to tell beside the figures, separated by commas: months, days, events (outages, incidents, decisions), hours; and of other runs bands, endurance, headroom, reliefs. CSV and Parquet hold the hours whatever it says."`
	Columns string `json:"columns,omitzero" query:"columns" required:"false" doc:"With detail=hours as JSON: names of the columns to tell, separated by commas; all of them when left out."`
}

// comparisonParameter is the query of a comparison.
type comparisonParameter struct {
	detailParameter
	Verdict bool `json:"verdict" query:"verdict" default:"true" doc:"false leaves out verdict, bands, endurance and people, which take other runs than the years themselves: for a page that asks at every move of a slider. Details that take other runs are then not told."`
	Printed
}

// Printed is how a report is put on paper.
type Printed struct {
	Paper string `json:"paper" query:"paper" enum:"a4,letter" default:"a4" doc:"Size of the paper of a PDF."`
	Units string `json:"units" query:"units" enum:"metric,us" default:"metric" doc:"Units of what is read in a PDF: metric, or US."`
}

// telling is how much of a year a client wants to be told.
type telling struct {
	details []Detail
	columns []string // of the hours; none for all
	brief   bool     // nothing that takes other runs than the year
	printed Printed
}

var details = []string{string(FiguresOnly), string(Months), string(Days), string(Events), string(Hours),
	string(WithPeople), string(WithSettings), string(WithBands), string(WithEndurance), string(WithHeadroom), string(WithReliefs)}

// readTelling reads the query; its faults come all at once.
func readTelling(query url.Values) (telling, *Problem) {
	var q detailParameter
	p := readParameters(query, &q)
	return tellingOf(q, p)
}

// readComparing likewise, of a comparison.
func readComparing(query url.Values) (telling, *Problem) {
	var q comparisonParameter
	p := readParameters(query, &q)
	out, p := tellingOf(q.detailParameter, p)
	out.brief, out.printed = !q.Verdict, q.Printed
	return out, p
}

// tellingOf adds the faults of the lists to those of the query.
func tellingOf(q detailParameter, p *Problem) (telling, *Problem) {
	var out telling
	names, faults := named("detail", q.Detail, details)
	for _, name := range names {
		out.details = append(out.details, Detail(name))
	}
	var known []string
	for _, c := range Columns() {
		known = append(known, c.Name)
	}
	var more []Fault
	out.columns, more = named("columns", q.Columns, known)
	if faults = append(faults, more...); len(faults) == 0 {
		return out, p
	}
	if p == nil {
		p = badParameter.faults(nil)
	}
	p.Faults = append(p.Faults, faults...)
	p.Detail = count(len(p.Faults), "fault") + ", each with its parameter, value and what is allowed."
	return out, p
}

// named reads a list of names in a parameter; nothing for an empty one.
func named(parameter, list string, known []string) (names []string, faults []Fault) {
	if list == "" {
		return nil, nil
	}
	for name := range strings.SplitSeq(list, ",") {
		if !slices.Contains(known, name) {
			faults = append(faults, Fault{Parameter: parameter, Value: name, Allowed: strings.Join(known, ", "), Message: "has no " + strconv.Quote(name)})
		}
		names = append(names, name)
	}
	return names, faults
}

// needsHours tells whether a run must record the hours.
func (t telling) needsHours() bool { return slices.ContainsFunc(t.details, Detail.NeedsHours) }

// answer tells a year.
func (t telling) answer(c *Case, y *sim.Year, m *more) *Answer {
	a := t.plain(c, y)
	if t.brief {
		return a
	}
	m.tell(a, t.deep()...)
	return a
}

// deep are the details that take other runs; people and wrong settings are always
// told of.
func (t telling) deep() []Detail {
	out := []Detail{WithPeople, WithSettings}
	for _, d := range t.details {
		if d.deep() && !slices.Contains(out, d) {
			out = append(out, d)
		}
	}
	return out
}

func (d Detail) deep() bool {
	return slices.Contains([]Detail{WithPeople, WithSettings, WithBands, WithEndurance, WithHeadroom, WithReliefs}, d)
}

func (t telling) plain(c *Case, y *sim.Year) *Answer {
	if !slices.Contains(t.details, Hours) {
		return NewAnswer(c, y, t.details...)
	}
	a := NewAnswer(c, y, slices.DeleteFunc(slices.Clone(t.details), func(d Detail) bool { return d == Hours })...)
	a.Hours = hourColumns(y.Hours, t.columns)
	return a
}

// query is the part of an address that asks for the same again.
func (t telling) query() string {
	if len(t.details) == 0 || slices.Equal(t.details, []Detail{FiguresOnly}) {
		return ""
	}
	out := "?detail="
	for i, d := range t.details {
		if i > 0 {
			out += ","
		}
		out += string(d)
	}
	if len(t.columns) > 0 {
		out += "&columns=" + strings.Join(t.columns, ",")
	}
	return out
}
