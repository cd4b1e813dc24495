package sitelog

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// layouts are the forms of a time stamp: ISO 8601 with a blank or T, seconds and
// a zone optional, and the day first with points. Stamps with slashes are not
// read: nobody can tell 03/04 from 04/03.
var layouts = []string{
	"2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02T15:04:05Z07:00", "2006-01-02T15:04Z07:00",
	"02.01.2006T15:04:05", "02.01.2006T15:04",
}

const stampForms = "2025-01-15T08:00, 2025-01-15 08:00:30, 2025-01-15T08:00+01:00 or 15.01.2025 08:00"

// clock reads the stamps of one table: all of them with a zone, or none.
type clock struct {
	layout  string // the one that fitted last
	known   bool
	zoned   bool
	offsetS int // of the first zone
}

// seconds reads a stamp; message says why it cannot.
func (c *clock) seconds(text string) (s float64, message string) {
	text = strings.TrimSpace(text)
	if i := strings.IndexByte(text, ' '); i > 0 {
		text = text[:i] + "T" + strings.TrimSpace(text[i+1:])
	}
	t, ok := c.parse(text)
	switch {
	case !ok:
		return 0, "is not a time stamp"
	case t.Year() < firstYear || t.Year() > lastYear:
		return 0, "is in a year that no log is from"
	}
	zoned := strings.HasSuffix(c.layout, "Z07:00")
	if !c.known {
		c.known, c.zoned = true, zoned
		_, c.offsetS = t.Zone()
	} else if zoned != c.zoned {
		return 0, "carries a zone where others do not, or the other way round"
	}
	return float64(t.Unix()) + float64(t.Nanosecond())/1e9 + float64(c.offsetS), ""
}

func (c *clock) parse(text string) (time.Time, bool) {
	if c.layout != "" {
		if t, err := time.Parse(c.layout, text); err == nil {
			return t, true
		}
	}
	for _, layout := range layouts {
		if t, err := time.Parse(layout, text); err == nil {
			c.layout = layout
			return t, true
		}
	}
	return time.Time{}, false
}

// Stamps reads time stamps; those that cannot be read are problems of their
// rows.
func Stamps(texts []string) ([]float64, []Problem) {
	var c clock
	var p problems
	out := make([]float64, len(texts))
	for i, text := range texts {
		var message string
		if out[i], message = c.seconds(text); message != "" {
			p.add(Problem{Member: "time", Row: i, Value: text, Allowed: stampForms, Message: message})
		}
	}
	return out, p.all()
}

// Show writes a time of a log's own clock.
func Show(seconds float64) string {
	return time.Unix(int64(math.Floor(seconds)), 0).UTC().Format("2006-01-02T15:04:05")
}

// Day is the date of a time.
func Day(seconds float64) string {
	return time.Unix(int64(math.Floor(seconds)), 0).UTC().Format("2006-01-02")
}

// number reads a decimal number; a comma is the decimal sign where the fields
// are not separated by one.
func number(text string, decimalComma bool) (float64, bool) {
	if decimalComma {
		text = strings.Replace(text, ",", ".", 1)
	}
	if strings.ContainsAny(text, "xXpP_iInN") { // hexadecimal, infinite, not a number
		return 0, false
	}
	x, err := strconv.ParseFloat(text, 64)
	return x, err == nil
}
