package weather

// typical gathers the rows of a typical-year file (TMY3, EPW): twelve months,
// often of different years, that are dated anew by one calendar year. Times
// are the ends of intervals, from 01:00 to 24:00.
type typical struct {
	*grid
	o       ReadOptions
	assumed []Assumed
	// leapDropped counts rows of a 29 February that the calendar has no place
	// for.
	leapDropped int
}

func newTypical(p *Problems, o ReadOptions, site Site, stepS int, field [columns]int) *typical {
	t := &typical{o: o}
	calendarYear := o.CalendarYear
	if calendarYear == 0 {
		calendarYear = typicalCalendarYear
		t.assumed = append(t.assumed, Assumed{"calendar_year", calendarYear, "a typical year carries no date; a common year that starts on a Sunday"})
	}
	t.grid = newGrid(cells{p: p, field: field}, site, calendarYear, stepS)
	return t
}

// index is the row of the interval that ends at endMinute of a day (1 to
// 1440). It is -1 for a day that the calendar year has no place for; ok is
// false for a date that does not exist.
func (t *typical) index(month, day, endMinute int) (i int, ok bool) {
	d, ok := dayOfYear(t.year.CalendarYear, month, day)
	if !ok || d < 0 {
		return -1, ok
	}
	return (d*1440+endMinute)*60/t.year.StepS - 1, true
}

// finish deals with the leap day and with gaps and hands the year on when
// nothing is wrong.
func (t *typical) finish(format string, give giveYear) {
	if t.leapDropped > 0 {
		t.assumed = append(t.assumed, Assumed{"leap_day", "left out", "the file has a 29 February and the calendar year has none"})
	}
	if t.repeatLeapDay() {
		t.assumed = append(t.assumed, leapDayRepeated)
	}
	got := t.grid.finish(format, t.o, t.assumed)
	if len(t.p.List) == 0 {
		give(got)
	}
}
