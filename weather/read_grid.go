package weather

import (
	"fmt"
	"math"
	"time"
)

// grid puts the rows of a file at their places in one year. A value that is
// not there is NaN until the gaps are dealt with.
type grid struct {
	cells
	year *Year
	// line is the file's line of each row, 0 where there is none.
	line []int32
	// last is the row put last, -1 before the first.
	last int
	// leapRepeated tells that 29 February repeats 28 February.
	leapRepeated bool
	// marked is what the file itself marks as filled.
	marked []Fill
}

func newGrid(in cells, site Site, calendarYear, stepS int) *grid {
	g := &grid{cells: in, year: &Year{Site: site, CalendarYear: calendarYear, StepS: stepS}, last: -1}
	n := g.year.Len()
	g.line = make([]int32, n)
	for c := range columns {
		if in.field[c] == 0 {
			continue
		}
		values := make([]float64, n)
		for i := range values {
			values[i] = math.NaN()
		}
		*g.year.values(c) = values
	}
	return g
}

// put stores a row with its marks. Rows must come in order; the first of two
// is kept.
func (g *grid) put(line, index int, row *[columns]float64, filled string) {
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
	g.set(line, index, row, filled)
}

func (g *grid) set(line, index int, row *[columns]float64, filled string) {
	g.line[index] = int32(line)
	if filled != "" {
		fills, _ := fillsOf(filled, index)
		g.marked = append(g.marked, fills...)
	}
	for c := range columns {
		if g.field[c] != 0 {
			(*g.year.values(c))[index] = row[c]
		}
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
	copy(g.line[from:to], g.line[from-day:from])
	for c := range columns {
		if values := *g.year.values(c); values != nil {
			copy(values[from:to], values[from-day:from])
		}
	}
	g.leapRepeated = true
	return true
}

var leapDayRepeated = Assumed{"leap_day", "28 February repeated", "the file has no 29 February and the calendar year has one"}

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
