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

func newDated(p *Problems, o ReadOptions, format string, site Site, h *header, give giveYear) *dated {
	d := &dated{cells: cells{p: p}, o: o, format: format, site: site, header: h, label: o.IntervalLabel, assumed: h.assumed, give: give}
	switch {
	case d.label != "":
	case format == FormatSatellite:
		d.label = "instant"
		d.assumed = append(d.assumed, Assumed{"interval_label", d.label, "the times of this format are instants"})
	default:
		d.label = "start"
		d.assumed = append(d.assumed, Assumed{"interval_label", d.label, "not stated; the product's own convention"})
	}
	return d
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

// aheadRows is how many rows are looked at for the length of the interval.
const aheadRows = 50

// findStep looks ahead at the first rows of a text file.
func (d *dated) findStep(l *lines, sep byte) error {
	ahead, _ := l.r.Peek(maxLineBytes / 2)
	peek := newLines(bufio.NewReaderSize(bytes.NewReader(ahead), maxLineBytes))
	peek.number = l.number
	var times []int64
	for range aheadRows {
		line, err := peek.next()
		if err != nil {
			break
		}
		fields, bad := peek.split(line, sep, d.header.limit)
		if bad > 0 {
			continue
		}
		if minute, _, err := d.time(fields); err == nil {
			times = append(times, minute)
		}
	}
	return d.settle(l.number+1, times)
}

// settle takes the smallest time between two of the first rows as the length
// of the interval.
func (d *dated) settle(line int, times []int64) error {
	for i := 1; i < len(times); i++ {
		if gap := times[i] - times[i-1]; gap > 0 && (d.step == 0 || gap < d.step) {
			d.step = gap
		}
	}
	if d.step > 60 || !isStep(int(d.step)*60) {
		return Problem{Line: line, Member: "time", Index: -1, Value: d.step, Allowed: "60, 30, 15, 10, 5 or 1", Unit: "min",
			Message: "the first rows do not show an interval that a year may have", Cause: ErrTime}
	}
	return d.align(line, times[0])
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
	if err == nil {
		err = d.onGrid(start)
	}
	one := datedRow{line: line, minute: start}
	for c := range columns {
		d.value(&one.values, c, line, fields, nil)
	}
	if at := d.header.filled; at > 0 && at <= len(fields) {
		one.filled = string(fields[at-1])
	}
	text := ""
	if err != nil && field > 0 && field <= len(fields) {
		text = string(fields[field-1])
	}
	d.take(&one, field, text, err)
}

// take places a row, or reports why its time (text, in a field) cannot be.
func (d *dated) take(row *datedRow, field int, text string, err error) {
	if _, ok := fillsOf(row.filled, 0); !ok {
		d.p.add(Problem{Line: row.line, Column: d.header.filled, Member: filledColumn, Index: -1, Value: row.filled, Allowed: "such as ghi_w_m2=interpolated", Message: "is not a mark of filled samples", Cause: ErrFormat})
	}
	if err != nil {
		d.p.add(Problem{Line: row.line, Column: field, Member: "time", Index: -1, Value: text, Message: err.Error(), Cause: ErrTime})
		d.unplaced++
		return
	}
	d.place(row)
}

func (d *dated) onGrid(start int64) error {
	if start%d.step != 0 {
		return fmt.Errorf("does not lie on the grid of %d minutes that the first rows show", d.step)
	}
	return nil
}
