package weather

import (
	"fmt"
	"math"
	"time"
)

// grid puts the rows of a file at their places in one year. A value that is
// not there is NaN until the gaps are dealt with.
type grid struct {
	year *Year
	p    *Problems
	// has tells which columns the file gives, and field where in its lines
	// (from 1).
	has   [columns]bool
	field [columns]int
	// unit turns a number of the file into the unit of the Year.
	unit [columns]conversion
	// line is the file's line of each row, 0 where there is none.
	line []int32
	// last is the row put last, -1 before the first.
	last int
	// unplaced counts rows whose time could not be read, leapDropped rows of a
	// 29 February that the calendar has no place for.
	unplaced, leapDropped int
}

// conversion is x·factor + offset; a factor of 0 leaves x as it is.
type conversion struct{ factor, offset float64 }

func (k conversion) of(x float64) float64 {
	if k.factor == 0 {
		return x
	}
	return float64(x*k.factor) + k.offset // no fused multiply-add: same bits everywhere
}

// bad stands for a value that a problem was reported for, so that it is not
// reported as a gap again.
var bad = math.Inf(1)

func newGrid(p *Problems, site Site, calendarYear, stepS int, field [columns]int) *grid {
	g := &grid{year: &Year{Site: site, CalendarYear: calendarYear, StepS: stepS}, p: p, field: field, last: -1}
	n := g.year.Len()
	g.line = make([]int32, n)
	for c := range columns {
		if field[c] == 0 {
			continue
		}
		g.has[c] = true
		values := make([]float64, n)
		for i := range values {
			values[i] = math.NaN()
		}
		*g.year.values(c) = values
	}
	return g
}

// put stores a row. Rows must come in order; the first of two is kept.
func (g *grid) put(line, index int, row *[columns]float64) {
	switch {
	case g.line[index] != 0:
		g.p.add(Problem{Line: line, Index: index, Value: g.stamp(index), Cause: ErrRepeat,
			Message: fmt.Sprintf("the row repeats the time of line %d", g.line[index])})
		return
	case index < g.last:
		g.p.add(Problem{Line: line, Index: index, Value: g.stamp(index), Cause: ErrOrder,
			Message: "the row is earlier than the one before it"})
	}
	g.last = index
	g.line[index] = int32(line)
	for c := range columns {
		if g.has[c] {
			(*g.year.values(c))[index] = row[c]
		}
	}
}

// value reads one field of a row into it: NaN for a gap, a problem for what is
// no number or not possible. missing is the file format's mark for a gap.
func (g *grid) value(row *[columns]float64, c column, line int, fields [][]byte, missing func(float64) bool) {
	row[c] = math.NaN()
	at := g.field[c]
	if at == 0 {
		return
	}
	if at > len(fields) {
		g.p.add(Problem{Line: line, Column: at, Member: c.String(), Index: -1, Message: "the row ends before this column", Cause: ErrMissing})
		row[c] = bad
		return
	}
	text := fields[at-1]
	if len(text) == 0 {
		return
	}
	x, ok := number(text)
	info := &columnInfos[c]
	switch {
	case !ok:
		g.p.add(Problem{Line: line, Column: at, Member: c.String(), Index: -1, Value: string(text), Allowed: info.allowed(), Unit: info.unit,
			Message: "is not a finite number (leave a gap empty)", Cause: ErrNumber})
		row[c] = bad
	case missing != nil && missing(x):
	default:
		if x = g.unit[c].of(x); x < info.min || x > info.max {
			g.p.add(Problem{Line: line, Column: at, Member: c.String(), Index: -1, Value: shown(x), Allowed: info.allowed(), Unit: info.unit,
				Message: "is outside the physical range", Cause: ErrRange})
			x = bad
		}
		row[c] = x + 0 // −0 becomes 0
	}
}

// stamp shows the start of a row in messages.
func (g *grid) stamp(index int) string { return g.year.Start(index).Format("2006-01-02 15:04") }

// leapDay is the range of rows of 29 February, empty in a common year.
func (g *grid) leapDay() (from, to int) {
	perDay := 86400 / g.year.StepS
	if g.year.Len() == 365*perDay {
		return 0, 0
	}
	return 59 * perDay, 60 * perDay
}

// repeatLeapDay fills a 29 February of which the file has no row with the rows
// of 28 February, and tells whether it did.
func (g *grid) repeatLeapDay() bool {
	from, to := g.leapDay()
	if from == to {
		return false
	}
	day := to - from
	for i := from; i < to; i++ {
		if g.line[i] != 0 || g.line[i-day] == 0 {
			return false
		}
	}
	for i := from; i < to; i++ {
		g.line[i] = g.line[i-day]
		for c := range columns {
			if g.has[c] {
				values := *g.year.values(c)
				values[i] = values[i-day]
			}
		}
	}
	return true
}

// dayOfYear is the day from 0 of a date in a given year, false for a date that
// no calendar has. A 29 February in a common year is day -1.
func dayOfYear(year, month, day int) (int, bool) {
	if month < 1 || month > 12 || day < 1 || day > daysOfMonth[month-1] {
		return 0, false
	}
	if month == 2 && day == 29 && HoursInYear(year) == 8760 {
		return -1, true
	}
	return time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC).YearDay() - 1, true
}

var daysOfMonth = [12]int{31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
