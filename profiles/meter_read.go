package profiles

import (
	"encoding/csv"
	"errors"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// reading is one line of a meter's table.
type reading struct {
	line    int
	at      time.Time // as written, in UTC as if it were local; standard time when zoned
	value   float64   // in the meter's unit
	isPower bool      // W when true, else Wh
}

// read parses the table.
func (m *Meter) read(p problems) []reading {
	p = p.at("csv")
	bad := &lines{p: p}
	defer bad.close()
	text := strings.TrimPrefix(m.CSV, "\ufeff")
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord, r.ReuseRecord, r.LazyQuotes, r.TrimLeadingSpace = separator(text), -1, true, true, true
	t := table{meter: m, bad: bad, timeAt: 0, valueAt: 1, decimalComma: r.Comma != ','}
	for first := true; ; first = false {
		record, err := r.Read()
		if err != nil {
			if !errors.Is(err, io.EOF) {
				p.add(nil, "", "", err.Error())
			}
			break
		}
		if first {
			heading, ok := t.columns(record, p)
			if !ok {
				return nil
			}
			if heading {
				continue
			}
		}
		line, _ := r.FieldPos(0)
		t.line(line, record)
	}
	if len(t.list) == 0 && bad.count == 0 {
		p.add(nil, "", "", "holds no readings")
	}
	return t.list
}

// table is a meter's table while it is read.
type table struct {
	meter           *Meter
	bad             *lines
	timeAt, valueAt int // columns
	decimalComma    bool
	list            []reading
}

// columns finds the columns by their headings; a first line that has a time
// stamp is no heading.
func (t *table) columns(record []string, p problems) (heading, ok bool) {
	_, _, isStamp := parseStamp(record[0])
	ok = true
	find := func(name string, column *int) {
		if name == "" {
			return
		}
		i := slices.IndexFunc(record, func(s string) bool { return strings.TrimSpace(s) == name })
		if i < 0 || isStamp {
			p.add(name, "", "", "is not a heading of the table")
			ok = false
			return
		}
		*column = i
	}
	find(t.meter.TimeColumn, &t.timeAt)
	find(t.meter.ValueColumn, &t.valueAt)
	return !isStamp, ok
}

// line reads one line; an empty reading is an interval without one.
func (t *table) line(number int, record []string) {
	if len(record) <= max(t.timeAt, t.valueAt) {
		t.bad.add(number, nil, "", "", "has too few columns")
		return
	}
	at, zoned, ok := parseStamp(record[t.timeAt])
	switch {
	case !ok:
		t.bad.add(number, record[t.timeAt], "2024-03-31 01:45 or 31.03.2024 01:45", "", "is not a time stamp")
		return
	case zoned && t.meter.UTCOffsetH == nil:
		t.bad.add(number, record[t.timeAt], "", "", "carries a zone: utc_offset_h must say what standard time is")
		return
	case zoned:
		at = at.UTC().Add(time.Duration(*t.meter.UTCOffsetH * float64(time.Hour)))
	}
	text := strings.TrimSpace(record[t.valueAt])
	if text == "" {
		return
	}
	if t.decimalComma {
		text = strings.Replace(text, ",", ".", 1)
	}
	value, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(value) || math.IsInf(value, 0) || value < 0 {
		t.bad.add(number, record[t.valueAt], "at least 0", "", "is not a reading")
		return
	}
	factor, isPower := t.meter.scale()
	t.list = append(t.list, reading{line: number, at: at, value: value * factor, isPower: isPower})
}

// scale turns the unit into W or Wh.
func (m *Meter) scale() (factor float64, isPower bool) {
	switch m.Unit {
	case "w":
		return 1, true
	case "kw":
		return 1000, true
	case "wh":
		return 1, false
	}
	return 1000, false
}

// separator is the one of semicolon, tab and comma that the first line has.
func separator(text string) rune {
	first, _, _ := strings.Cut(text, "\n")
	for _, c := range ";\t" {
		if strings.ContainsRune(first, c) {
			return c
		}
	}
	return ','
}

var stampLayouts = []string{
	"2006-01-02 15:04", "2006-01-02 15:04:05", "2006-01-02T15:04", "2006-01-02T15:04:05", "02.01.2006 15:04", "02.01.2006 15:04:05",
}

// parseStamp reads a time stamp; 24:00 is the end of its day. Stamps with
// slashes are not read: nobody can tell 03/04 from 04/03.
func parseStamp(text string) (at time.Time, zoned, ok bool) {
	text = strings.TrimSpace(text)
	if len(text) < len("2006-01-02 15:04") {
		return time.Time{}, false, false
	}
	if strings.ContainsAny(text[len("2006-01-02"):], "Z+-") {
		for _, layout := range []string{"2006-01-02T15:04Z07:00", time.RFC3339} {
			if t, err := time.Parse(layout, text); err == nil {
				return t, true, true
			}
		}
		return time.Time{}, false, false
	}
	day := time.Duration(0)
	if i := len("2006-01-02"); text[i+1:i+3] == "24" && strings.Trim(text[i+3:], ":0") == "" {
		text, day = text[:i+1]+"00"+text[i+3:], 24*time.Hour
	}
	for _, layout := range stampLayouts {
		if t, err := time.Parse(layout, text); err == nil {
			return t.Add(day), false, true
		}
	}
	return time.Time{}, false, false
}
