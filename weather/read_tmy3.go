package weather

import (
	"bytes"
	"fmt"
	"io"
)

// tmy3Names are the header texts of a TMY3 file's columns: Wilcox & Marion
// 2008, Users Manual for TMY3 Data Sets, NREL/TP-581-43156, table 1-1.
var tmy3Names = [columns]string{
	ghi: "GHI (W/m^2)", dni: "DNI (W/m^2)", dhi: "DHI (W/m^2)",
	ambient: "Dry-bulb (C)", wind: "Wspd (m/s)",
}

// tmy3Missing: the manual marks missing values by -9900.
func tmy3Missing(x float64) bool { return x == -9900 }

// readTMY3 reads a TMY3 file: a line with station, name, state, UTC offset,
// latitude, longitude and elevation, a line with column names, and 8760 rows
// stamped with the end of their hour, 01:00 to 24:00 of the same date.
func readTMY3(l *lines, o ReadOptions, p *Problems, give giveYear) error {
	first, err := l.next()
	if err != nil {
		return headerError(err, l)
	}
	fields, _ := l.split(first, ',', 8)
	site := siteFrom(p, l.number, fields, siteFields{offset: 4, latitude: 5, longitude: 6, elevation: 7})
	header, err := l.next()
	if err != nil {
		return headerError(err, l)
	}
	field, limit := tmy3Columns(p, l, header)
	if len(p.List) > 0 {
		return nil // nothing below can be placed
	}
	t := newTypical(p, o, site, 3600, field)
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
		fields, bad := l.split(line, ',', limit)
		if bad > 0 {
			t.openQuote(l.number, bad)
			continue
		}
		t.tmy3Row(l.number, fields)
	}
	t.finish(FormatTMY3, give)
	return nil
}

// tmy3Columns finds the columns by name; limit is how many fields of a row are
// of interest.
func tmy3Columns(p *Problems, l *lines, header []byte) (field [columns]int, limit int) {
	fields, _ := l.split(header, ',', 1000)
	for c := range columns {
		for i, name := range fields {
			if tmy3Names[c] != "" && string(name) == tmy3Names[c] {
				field[c] = i + 1
				limit = max(limit, i+1)
				break
			}
		}
		if field[c] == 0 && tmy3Names[c] != "" {
			p.add(Problem{Line: l.number, Member: tmy3Names[c], Index: -1, Message: "column is missing from the header", Cause: ErrColumn})
		}
	}
	return field, limit
}

func (t *typical) tmy3Row(line int, fields [][]byte) {
	month, day, okDate := tmy3Date(fields[0])
	if !okDate {
		t.p.add(Problem{Line: line, Column: 1, Member: "Date (MM/DD/YYYY)", Index: -1, Value: string(fields[0]), Allowed: "MM/DD/YYYY", Message: "is not a date", Cause: ErrTime})
	}
	hour, okTime := 0, false
	if len(fields) > 1 {
		hour, okTime = tmy3Hour(fields[1])
		if !okTime {
			t.p.add(Problem{Line: line, Column: 2, Member: "Time (HH:MM)", Index: -1, Value: string(fields[1]), Allowed: "01:00 to 24:00", Message: "is not the end of an hour", Cause: ErrTime})
		}
	}
	var row [columns]float64
	for c := range columns {
		t.value(&row, c, line, fields, tmy3Missing)
	}
	if !okDate || !okTime {
		t.unplaced++
		return
	}
	t.place(line, 1, month, day, hour*60, &row)
}

// place puts a row by the end of its interval; dateField is where the date
// stands in the line.
func (t *typical) place(line, dateField, month, day, endMinute int, row *[columns]float64) {
	i, ok := t.index(month, day, endMinute)
	switch {
	case !ok:
		t.p.addf(ErrTime, line, dateField, "month %d has no day %d", month, day)
		t.unplaced++
	case i < 0:
		t.leapDropped++
	default:
		t.put(line, i, row, "")
	}
}

func tmy3Date(text []byte) (month, day int, ok bool) {
	if len(text) != 10 || text[2] != '/' || text[5] != '/' {
		return 0, 0, false
	}
	month, okMonth := whole(text[:2])
	day, okDay := whole(text[3:5])
	_, okYear := whole(text[6:])
	return month, day, okMonth && okDay && okYear && month >= 1 && month <= 12 && day >= 1
}

func tmy3Hour(text []byte) (hour int, ok bool) {
	if len(text) == 4 { // "1:00"
		text = append([]byte{'0'}, text...)
	}
	if len(text) != 5 || string(text[2:]) != ":00" {
		return 0, false
	}
	hour, ok = whole(text[:2])
	return hour, ok && hour >= 1 && hour <= 24
}

// siteFields tells in which fields (from 1) a header line holds the site.
type siteFields struct{ latitude, longitude, elevation, offset int }

// siteFrom reads a site out of a header line and checks its ranges.
func siteFrom(p *Problems, line int, fields [][]byte, at siteFields) Site {
	var s Site
	for _, part := range []struct {
		name, unit string
		field      int
		lo, hi     float64
		to         *float64
	}{
		{"latitude_deg", "°", at.latitude, -90, 90, &s.LatitudeDeg},
		{"longitude_deg", "°", at.longitude, -180, 180, &s.LongitudeDeg},
		{"elevation_m", "m", at.elevation, -500, 6000, &s.ElevationM},
		{"utc_offset_h", "h", at.offset, -12, 14, &s.UTCOffsetH},
	} {
		one := Problem{Line: line, Column: part.field, Member: part.name, Index: -1, Unit: part.unit,
			Allowed: fmt.Sprintf("%g to %g", part.lo, part.hi), Cause: ErrFormat}
		if part.field < 1 || part.field > len(fields) {
			one.Message = "is missing from the header line"
			p.add(one)
			continue
		}
		x, ok := number(fields[part.field-1])
		if !ok || x < part.lo || x > part.hi {
			one.Value, one.Message = string(fields[part.field-1]), "is not a number in the allowed range"
			p.add(one)
			continue
		}
		*part.to = x + 0
	}
	return s
}

// headerError says that a file ends inside its header.
func headerError(err error, l *lines) error {
	if err == io.EOF {
		return Problem{Line: l.number + 1, Index: -1, Message: "the file ends inside its header", Cause: ErrFormat}
	}
	return err
}
