package weather

import (
	"bufio"
	"bytes"
	"fmt"
)

// giveYear takes the years of a file as they are complete.
type giveYear func(*Reading)

// dated gathers rows that carry their date, year after year. It holds one year
// in memory, and at most a day of rows on either side of it.
type dated struct {
	cells
	o       ReadOptions
	format  string
	site    Site
	header  *header
	label   string
	assumed []Assumed
	give    giveYear

	step     int64 // minutes
	shift    int64 // minutes from an interval's start to its time in the file
	instants bool  // times are instants at the starts of intervals

	grid     *grid // of the year being read
	from, to int64 // its minutes since 1970
	// before and after hold rows within a day outside the year.
	before, after []datedRow
	years         int // begun
}

// datedRow is a row by the minute since 1970 at which its interval starts.
type datedRow struct {
	line   int
	minute int64
	values [columns]float64
	filled string // marks, see filledColumn
}

// dayMinutes is how far outside a year rows may lie and still belong to it: a
// file in UTC covers another 8760 hours than the site's calendar year.
const dayMinutes = 1440

// requireColumns wants a time, irradiance and the air temperature. Irradiance
// in the plane comes before horizontal irradiance (and GHI alone may be left
// out: it is DHI + DNI cos z).
func (d *dated) requireColumns(line int) {
	h := d.header
	missing := func(member, message string) {
		d.p.add(Problem{Line: line, Member: member, Index: -1, Message: message, Cause: ErrColumn})
	}
	if h.time.none() {
		missing("time", "no column is recognised as the time; state columns")
	}
	if h.time.whole == 0 && h.time.date == 0 && h.time.year != 0 && (h.time.month == 0 || h.time.day == 0 || h.time.hour == 0) {
		missing("time", "a year column needs month, day and hour columns beside it")
	}
	switch {
	case h.field[plane] != 0:
		for _, c := range []column{ghi, dni, dhi} {
			if h.field[c] != 0 {
				d.assumed = append(d.assumed, Assumed{c.String(), "left out", "irradiance in the plane is preferred where there is both"})
				h.field[c] = 0
			}
		}
	case h.field[dni] != 0 && h.field[dhi] == 0:
		missing(dhi.String(), "is missing beside dni_w_m2; give both or neither")
	case h.field[dni] == 0 && h.field[dhi] != 0:
		missing(dni.String(), "is missing beside dhi_w_m2; give both or neither")
	case h.field[ghi] == 0 && h.field[dni] == 0:
		missing(ghi.String(), "no column is recognised as irradiance; state columns")
	}
	if h.field[ambient] == 0 {
		missing(ambient.String(), "no column is recognised as the air temperature; state columns")
	}
}

// findStep looks ahead at the first rows for the length of the interval: the
// smallest time between two of them.
func (d *dated) findStep(l *lines, sep byte) error {
	ahead, _ := l.r.Peek(maxLineBytes / 2)
	peek := newLines(bufio.NewReaderSize(bytes.NewReader(ahead), maxLineBytes))
	peek.number = l.number
	var last, first int64
	known := 0
	for range 50 {
		line, err := peek.next()
		if err != nil || bytes.IndexByte(line, '"') >= 0 && len(line) == 0 {
			break
		}
		fields, bad := peek.split(line, sep, d.header.limit)
		if bad > 0 {
			continue
		}
		minute, _, err := d.time(fields)
		if err != nil {
			continue
		}
		if known == 0 {
			first = minute
		} else if gap := minute - last; gap > 0 && (d.step == 0 || gap < d.step) {
			d.step = gap
		}
		last = minute
		known++
	}
	if !isStep(int(d.step) * 60) {
		return Problem{Line: l.number + 1, Member: "time", Index: -1, Value: d.step, Allowed: "60, 30, 15, 10, 5 or 1", Unit: "min",
			Message: "the first rows do not show an interval that a year may have", Cause: ErrTime}
	}
	return d.align(l.number+1, first)
}

// align finds how the times of the file lie to the starts of intervals, and
// the conversion of amounts in the interval.
func (d *dated) align(line int, first int64) error {
	switch d.label {
	case "end":
		d.shift = d.step
	case "middle":
		d.shift = d.step / 2
	case "instant":
		if d.instants = first%d.step == 0; !d.instants {
			d.shift = d.step / 2 // the middle stands for the mean
		}
	}
	if d.step%2 != 0 && (d.label == "middle" || d.label == "instant" && !d.instants) {
		return Problem{Line: line, Member: "time", Index: -1, Value: d.step, Unit: "min", Message: "an interval of this length has no middle on a whole minute", Cause: ErrTime}
	}
	d.unit, d.field = d.header.unit, d.header.field
	for c := range columns {
		if d.header.perInterval[c] {
			d.unit[c].factor *= 60 / float64(d.step)
		}
	}
	return nil
}

// row reads one line.
func (d *dated) row(line int, fields [][]byte) {
	minute, field, err := d.time(fields)
	start := minute - d.shift
	if err == nil && start%d.step != 0 {
		err = fmt.Errorf("does not lie on the grid of %d minutes that the first rows show", d.step)
	}
	one := datedRow{line: line, minute: start}
	for c := range columns {
		d.value(&one.values, c, line, fields, nil)
	}
	if err != nil {
		text := ""
		if field > 0 && field <= len(fields) {
			text = string(fields[field-1])
		}
		d.p.add(Problem{Line: line, Column: field, Member: "time", Index: -1, Value: text, Message: err.Error(), Cause: ErrTime})
		d.unplaced++
		return
	}
	if at := d.header.filled; at > 0 && at <= len(fields) {
		one.filled = string(fields[at-1])
		if _, ok := fillsOf(one.filled, 0); !ok {
			d.p.add(Problem{Line: line, Column: at, Member: filledColumn, Index: -1, Value: one.filled, Allowed: "such as ghi_w_m2=interpolated", Message: "is not a mark of filled samples", Cause: ErrFormat})
		}
	}
	d.place(&one)
}

// time is the time of a row on the site's clock, in minutes since 1970, and
// the field that holds it.
func (d *dated) time(fields [][]byte) (minute int64, field int, err error) {
	t := d.header.time
	at := func(i int) []byte {
		if i == 0 || i > len(fields) {
			return nil
		}
		return fields[i-1]
	}
	var s stamp
	switch {
	case t.whole != 0:
		field = t.whole
		s, err = parseStamp(at(field), d.o.DateOrder)
	case t.date != 0:
		if s, err = parseStamp(at(t.date), d.o.DateOrder); err != nil {
			return 0, t.date, err
		}
		field = t.clock
		s.minute, err = d.clock(s.minute, t, at)
	default:
		field = t.year
		s.minute, err = d.parts(t, at)
	}
	if err != nil {
		return 0, field, err
	}
	switch {
	case s.hasOffset:
		s.minute += int64(d.site.UTCOffsetH*60) - int64(s.offset)
	case d.o.TimeZone == "utc":
		s.minute += int64(d.site.UTCOffsetH * 60)
	}
	return s.minute, field, nil
}

// clock adds the time of day beside a date.
func (d *dated) clock(day int64, t timeFields, at func(int) []byte) (int64, error) {
	if t.clock != 0 {
		minutes, rest, err := parseClock(at(t.clock))
		if err == nil && len(rest) > 0 {
			err = errNoTime
		}
		return day + int64(minutes), err
	}
	err := d.addHour(&day, t, at)
	return day, err
}

// parts puts a time together from year, month, day, hour and minute.
func (d *dated) parts(t timeFields, at func(int) []byte) (int64, error) {
	year, ok1 := whole(at(t.year))
	month, ok2 := whole(at(t.month))
	day, ok3 := whole(at(t.day))
	if !ok1 || !ok2 || !ok3 {
		return 0, errNoTime
	}
	minute, err := minuteOf(year, month, day, 0)
	if err != nil {
		return 0, err
	}
	err = d.addHour(&minute, t, at)
	return minute, err
}

func (d *dated) addHour(minute *int64, t timeFields, at func(int) []byte) error {
	hour, ok := whole(at(t.hour))
	past := 0
	if ok && t.minute != 0 {
		past, ok = whole(at(t.minute))
	}
	if !ok {
		return errNoTime
	}
	if hour > 24 || past > 59 {
		return errNoSuchDay
	}
	*minute += int64(hour*60 + past)
	return nil
}
