package weather

import "fmt"

// place puts a row into its year, and begins and ends years.
func (d *dated) place(row *datedRow) {
	if d.grid == nil {
		d.begin(row)
	}
	switch {
	case row.minute >= d.from && row.minute < d.to:
		if len(d.after) > 0 {
			d.p.add(Problem{Line: row.line, Index: -1, Value: showMinute(row.minute), Message: "the row is earlier than the one before it", Cause: ErrOrder})
			return
		}
		d.grid.put(row.line, int((row.minute-d.from)/d.step), &row.values, row.filled)
	case row.minute < d.from && row.minute >= d.from-dayMinutes && d.grid.last < 0:
		d.before = append(d.before, *row)
	case row.minute >= d.to && row.minute < d.to+dayMinutes:
		d.after = append(d.after, *row)
	case d.o.CalendarYear != 0: // a row of another year
	case row.minute < d.from:
		d.p.add(Problem{Line: row.line, Index: -1, Value: showMinute(row.minute), Message: "the row is earlier than the one before it", Cause: ErrOrder})
	default:
		d.next(row)
	}
}

// begin opens the year that the caller picked, or that the row lies in; a row
// of the last day of December may belong before the year that follows.
func (d *dated) begin(row *datedRow) {
	year := d.o.CalendarYear
	if year == 0 {
		year = yearOf(row.minute)
		if end, _ := minuteOf(year+1, 1, 1, 0); end-row.minute <= dayMinutes {
			year++
		}
	}
	d.open(year)
}

func (d *dated) open(year int) {
	d.years++
	d.from, _ = minuteOf(year, 1, 1, 0)
	d.to, _ = minuteOf(year+1, 1, 1, 0)
	d.grid = newGrid(cells{p: d.p, field: d.field}, d.site, year, int(d.step)*60)
}

// next ends the year before a row that is more than a day past it, and begins
// the following one.
func (d *dated) next(row *datedRow) {
	held := d.after
	d.after = nil
	d.finish()
	d.before = nil
	d.open(yearOf(row.minute))
	for i := range held {
		d.place(&held[i])
	}
	d.place(row)
}

// end finishes the last year of the file.
func (d *dated) end(line int) {
	if d.grid == nil {
		d.p.addf(ErrMissing, line, 0, "the file has no rows that can be placed")
		return
	}
	if d.grid.last < 0 && len(d.before) > 0 && d.o.CalendarYear == 0 {
		// Nothing but a part of one day: it is that year's.
		held := d.before
		d.before = nil
		d.open(yearOf(held[0].minute))
		for i := range held {
			d.place(&held[i])
		}
	}
	if d.grid.last < 0 {
		d.p.add(Problem{Member: "calendar_year", Index: -1, Value: d.grid.year.CalendarYear, Message: "the file has no row of this year", Cause: ErrCalendar})
		return
	}
	if d.years == 1 {
		d.wrap()
	}
	d.finish()
}

// wrap moves rows that lie within a day outside the only year to its other
// end, to the same time of day, where rows are missing: a file of 8760 hours
// in UTC begins or ends in the site's neighbouring year.
func (d *dated) wrap() {
	g := d.grid
	outside := append(d.before, d.after...)
	if len(d.before) == 0 && len(d.after) == 1 && g.line[0] == 0 && g.line[1] != 0 && d.label == "start" && d.o.IntervalLabel == "" {
		d.p.add(Problem{Line: d.after[0].line, Member: "time", Index: -1, Value: showMinute(d.after[0].minute), Cause: ErrTime,
			Message: "the times run from one step after midnight to the next year's midnight, as ends of intervals do; state interval_label"})
		g.line[0] = 1 // the one missing row is this one
		return
	}
	length := d.to - d.from
	moved := 0
	for _, row := range outside {
		i := int(((row.minute-d.from)%length + length) % length / d.step)
		if g.line[i] == 0 {
			g.set(row.line, i, &row.values, row.filled)
			moved++
		}
	}
	if moved > 0 {
		d.assumed = append(d.assumed, Assumed{"rows outside the year", "moved to its other end",
			fmt.Sprintf("%d rows lie within a day outside %d, where the same number is missing", moved, g.year.CalendarYear)})
	}
	if left := len(outside) - moved; left > 0 {
		d.assumed = append(d.assumed, Assumed{"rows outside the year", "left out", fmt.Sprintf("%d rows lie within a day outside %d", left, g.year.CalendarYear)})
	}
}

// finish completes the year being read and hands it on when nothing is wrong.
func (d *dated) finish() {
	g := d.grid
	g.unplaced, g.offsets = d.unplaced, d.offsets
	d.unplaced, d.offsets = 0, 0
	assumed := append([]Assumed(nil), d.assumed...)
	if g.repeatLeapDay() {
		assumed = append(assumed, leapDayRepeated)
	}
	if g.year.GHI == nil && g.year.DNI != nil {
		g.deriveGHI(d.instants)
		assumed = append(assumed, Assumed{"ghi_w_m2", "dhi_w_m2 + dni_w_m2·cos z", "the file has no such column"})
	}
	if d.instants {
		g.meansOfInstants()
		assumed = append(assumed, Assumed{"interval means", "mean of the instants at both ends", "the times of the file are instants"})
	}
	got := g.finish(d.format, d.o, assumed)
	if len(d.p.List) == 0 {
		d.give(got)
	}
}
