package weather

import (
	"bytes"
	"fmt"
	"io"
)

// Fields of a data line of an EPW file, from 1, and how many a line needs.
// The format: Crawley, Hand & Lawrie 1999, Improving the weather information
// available to simulation programs (Building Simulation '99), whose data
// dictionary gives the marks of missing values too.
const (
	epwMonth, epwDay, epwHour, epwMinute = 2, 3, 4, 5

	epwFields = 22
)

var epwColumns = [columns]int{ambient: 7, ghi: 14, dni: 15, dhi: 16, wind: 22}

// epwMissing holds the value from which a field is missing.
var epwMissing = [columns]float64{ambient: 99.9, ghi: 9999, dni: 9999, dhi: 9999, wind: 999}

// readEPW reads an EPW file: eight header lines, then rows stamped with the
// hour 1 to 24 that they end (of the same date) and, when there are several
// rows an hour, with the minute that they end. The hour's minute field of
// hourly files is 0 or 60 and means nothing.
func readEPW(l *lines, o ReadOptions, p *Problems, give giveYear) error {
	site, perHour, err := epwHeader(l, p)
	if err != nil {
		return err
	}
	if len(p.List) > 0 {
		return nil // nothing below can be placed
	}
	t := newTypical(p, o, site, 3600/perHour, epwColumns)
	if perHour > 1 {
		t.perInterval(perHour)
	}
	for {
		line, err := l.next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return err
		}
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		fields, bad := l.split(line, ',', epwFields)
		if bad > 0 {
			t.openQuote(l.number, bad)
			continue
		}
		t.epwRow(l.number, fields, 60/perHour)
	}
	t.finish(FormatEPW, give)
	return nil
}

// epwHeader reads the eight header lines: the site from LOCATION, the rows an
// hour from DATA PERIODS.
func epwHeader(l *lines, p *Problems) (site Site, perHour int, err error) {
	for _, key := range []string{
		"LOCATION", "DESIGN CONDITIONS", "TYPICAL/EXTREME PERIODS", "GROUND TEMPERATURES",
		"HOLIDAYS/DAYLIGHT SAVINGS", "COMMENTS 1", "COMMENTS 2", "DATA PERIODS",
	} {
		line, err := l.next()
		if err != nil {
			return site, 0, headerError(err, l)
		}
		fields, _ := l.split(line, ',', 10)
		if !bytes.EqualFold(fields[0], []byte(key)) {
			return site, 0, Problem{Line: l.number, Column: 1, Index: -1, Value: string(fields[0]), Allowed: key, Message: "is not the header line that belongs here", Cause: ErrFormat}
		}
		switch key {
		case "LOCATION":
			site = siteFrom(p, l.number, fields, siteFields{latitude: 7, longitude: 8, offset: 9, elevation: 10})
		case "DATA PERIODS":
			perHour = epwPeriods(l.number, fields, p)
		}
	}
	return site, perHour, nil
}

// epwPeriods takes one data period with 1, 2, 4, 6, 12 or 60 rows an hour.
func epwPeriods(line int, fields [][]byte, p *Problems) int {
	if len(fields) < 3 {
		p.addf(ErrFormat, line, len(fields)+1, "DATA PERIODS does not say how many rows an hour has")
		return 0
	}
	if n, ok := whole(fields[1]); !ok || n != 1 {
		p.add(Problem{Line: line, Column: 2, Member: "number of data periods", Index: -1, Value: string(fields[1]), Allowed: "1", Message: "is not supported", Cause: ErrFormat})
	}
	n, ok := whole(fields[2])
	if !ok || n < 1 || !isStep(3600/n) || 3600%n != 0 {
		p.add(Problem{Line: line, Column: 3, Member: "rows an hour", Index: -1, Value: string(fields[2]), Allowed: "1, 2, 4, 6, 12 or 60", Message: "is not supported", Cause: ErrFormat})
		return 0
	}
	return n
}

func (t *typical) epwRow(line int, fields [][]byte, stepMinutes int) {
	if len(fields) < epwFields {
		t.p.add(Problem{Line: line, Column: len(fields), Index: -1, Value: len(fields), Allowed: fmt.Sprintf("at least %d fields", epwFields), Message: "the row is too short", Cause: ErrMissing})
		t.unplaced++
		return
	}
	var date [epwMinute + 1]int
	ok := true
	for _, part := range []struct {
		at, lo, hi int
		name       string
	}{{epwMonth, 1, 12, "month"}, {epwDay, 1, 31, "day"}, {epwHour, 1, 24, "hour"}, {epwMinute, 0, 60, "minute"}} {
		n, isWhole := whole(fields[part.at-1])
		if !isWhole || n < part.lo || n > part.hi {
			t.p.add(Problem{Line: line, Column: part.at, Member: part.name, Index: -1, Value: string(fields[part.at-1]),
				Allowed: fmt.Sprintf("%d to %d", part.lo, part.hi), Message: "is not a whole number in the allowed range", Cause: ErrTime})
			ok = false
		}
		date[part.at] = n
	}
	var row [columns]float64
	for c := range columns {
		if epwColumns[c] != 0 {
			t.value(&row, c, line, fields, func(x float64) bool { return x >= epwMissing[c] })
		}
	}
	end := date[epwHour] * 60
	if stepMinutes < 60 {
		end += date[epwMinute] - 60
		if ok && (date[epwMinute] == 0 || end%stepMinutes != 0) {
			t.p.add(Problem{Line: line, Column: epwMinute, Member: "minute", Index: -1, Value: date[epwMinute],
				Allowed: fmt.Sprintf("%d to 60 by %d", stepMinutes, stepMinutes), Message: "is not the end of an interval", Cause: ErrTime})
			ok = false
		}
	}
	if !ok {
		t.unplaced++
		return
	}
	t.place(line, epwDay, date[epwMonth], date[epwDay], end, &row)
}

// perInterval: irradiance in an EPW file is Wh/m² in the interval, which is
// W/m² only where the interval is an hour.
func (t *typical) perInterval(perHour int) {
	for c := range columns {
		if c.isIrradiance() {
			t.unit[c].factor = float64(perHour)
		}
	}
	t.assumed = append(t.assumed, Assumed{"irradiance unit", "Wh/m² per interval", "by the definition of the EPW format"})
}

// isStep tells whether a grid may have intervals of that many seconds.
func isStep(seconds int) bool {
	switch seconds {
	case 3600, 1800, 900, 600, 300, 60:
		return true
	}
	return false
}
