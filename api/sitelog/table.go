// Package sitelog reads what a site or a workshop logged: tables of time stamps
// and named columns, as loggers, shunts and battery-management systems export
// them. It knows nothing of what the columns mean.
package sitelog

import "math"

// Column is one column that a table may have.
type Column struct {
	Name, Unit string
	Min, Max   float64 // of numbers
	Text       bool    // a word, not a number
	Required   bool    // the table must have it
	Filled     bool    // and each row a value
}

// Table is what was read, rows in the order of the file.
type Table struct {
	// Seconds is each row's time since 1970-01-01T00:00 of the log's own clock:
	// as written, and with stamps that carry a zone on the clock of the first.
	Seconds []float64
	// Numbers holds the number columns by name, NaN where a field is empty; a
	// column that the table does not have is missing here.
	Numbers map[string][]float64
	Texts   map[string][]string
	// Lines is the line of each row, from 1, when it was read from text.
	Lines []int
	// Ignored lists headings that nothing was read from.
	Ignored []string
}

// Limits of a table: ten columns of a year of ten-second rows are about 3 GB of
// text, more than any body that is taken.
const (
	mostRows     = 4 << 20
	mostProblems = 100
	mostOfAKind  = 20
	firstYear    = 1950
	lastYear     = 2100
)

// Problem is one thing wrong with a table.
type Problem struct {
	Line   int    // from 1; 0 when it is not text, or not one line's
	Field  int    // field of the line, from 1; 0 for the whole line
	Member string // name of the column, "" for a whole row
	Row    int    // from 0; −1 when it is not one row's
	Value  any
	// Allowed and Unit say what would be accepted, Message what is wrong.
	Allowed, Unit, Message string
}

// problems collects, and counts what goes beyond what anybody reads.
type problems struct {
	list []Problem
	seen map[string]int
	more int
}

func (p *problems) add(x Problem) {
	if p.seen == nil {
		p.seen = map[string]int{}
	}
	kind := x.Member + "\n" + x.Message
	if p.seen[kind]++; p.seen[kind] > mostOfAKind || len(p.list) >= mostProblems {
		p.more++
		return
	}
	p.list = append(p.list, x)
}

// all is the list, with the count of those that were left out.
func (p *problems) all() []Problem {
	if p.more > 0 {
		p.list = append(p.list, Problem{Row: -1, Value: p.more, Unit: "problems", Message: "there are more problems of the same kinds"})
		p.more = 0
	}
	return p.list
}

// InOrder finds rows that do not come after the row before them of the same
// key; keys of nil make one series of all rows.
func (t *Table) InOrder(keys []string) []Problem {
	var p problems
	last := map[string]float64{}
	for i, at := range t.Seconds {
		key := ""
		if keys != nil {
			key = keys[i]
		}
		before, known := last[key]
		switch {
		case known && at == before:
			p.add(t.at(i, Problem{Member: "time", Value: Show(at), Message: "is there twice"}))
		case known && at < before:
			p.add(t.at(i, Problem{Member: "time", Value: Show(at), Allowed: "after " + Show(before), Message: "goes back; a clock that follows daylight saving does so once a year, stamps with a zone do not"}))
		}
		if !known || at > before {
			last[key] = at
		}
	}
	return p.all()
}

// at gives a problem the place of a row.
func (t *Table) at(row int, p Problem) Problem {
	p.Row = row
	if t.Lines != nil {
		p.Line = t.Lines[row]
	}
	return p
}

// Check finds numbers outside the range of their column, in tables that were
// not read from text. NaN is a missing value and passes where the column may
// have some.
func (t *Table) Check(columns []Column) []Problem {
	var p problems
	for _, c := range columns {
		for i, x := range t.Numbers[c.Name] {
			if math.IsInf(x, 0) || math.IsNaN(x) && c.Filled || x < c.Min || x > c.Max {
				p.add(t.at(i, Problem{Member: c.Name, Value: x, Allowed: c.allowed(), Unit: c.Unit, Message: "is outside the allowed range"}))
			}
		}
	}
	return p.all()
}
