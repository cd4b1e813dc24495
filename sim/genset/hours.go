package genset

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// DayS is the length of a day in seconds.
const DayS = 86400

// Span is a stretch of every day, in seconds after midnight: from FromS up to,
// not including, ToS. ToS below FromS runs over midnight.
type Span struct{ FromS, ToS int }

// Has tells whether a second of the day, 0 to 86399, lies in the span.
func (s Span) Has(second int) bool {
	if s.FromS < s.ToS {
		return s.FromS <= second && second < s.ToS
	}
	return s.FromS <= second || second < s.ToS
}

// LengthS is the length of the span.
func (s Span) LengthS() int { return (s.ToS-s.FromS+DayS-1)%DayS + 1 }

// String writes the span as people read it: "22:00 to 07:00".
func (s Span) String() string { return clock(s.FromS) + " to " + clock(s.ToS) }

// ParseHours reads spans of the day such as "22-07" or "06-09,17:30-22": hours,
// or hours and minutes, on a 24-hour clock, 24 being the end of the day. A span
// whose end is not after its start runs over midnight; an empty one (22-22) and
// spans that overlap are errors. The spans come in the order of the text.
func ParseHours(text string) ([]Span, error) {
	var spans []Span
	for part := range strings.SplitSeq(text, ",") {
		from, to, found := strings.Cut(part, "-")
		if !found {
			return nil, fmt.Errorf("%q is not a span of hours such as 22-07", part)
		}
		a, err := ParseTime(from)
		if err != nil {
			return nil, err
		}
		b, err := ParseTime(to)
		if err != nil {
			return nil, err
		}
		switch {
		case a == b:
			return nil, fmt.Errorf("%q holds no time", part)
		case a == DayS:
			return nil, fmt.Errorf("%q starts at the end of the day", part)
		case b == 0:
			b = DayS
		}
		s := Span{FromS: a, ToS: b}
		for _, other := range spans {
			if s.Has(other.FromS) || other.Has(s.FromS) {
				return nil, fmt.Errorf("%q overlaps %q", part, other.String())
			}
		}
		spans = append(spans, s)
	}
	return spans, nil
}

// ParseTime reads a time of day, "19:00", "19" or "7:30", as seconds after
// midnight; "24" and "24:00" are the end of the day, 86400.
func ParseTime(text string) (int, error) {
	hour, minute, colon := strings.Cut(strings.TrimSpace(text), ":")
	h, err := twoDigits(hour)
	m := 0
	if err == nil && colon {
		if len(minute) != 2 {
			err = errDigits
		} else {
			m, err = twoDigits(minute)
		}
	}
	s := h*3600 + m*60
	if err != nil || m > 59 || s > DayS {
		return 0, fmt.Errorf("%q is not a time of day such as 19:00", text)
	}
	return s, nil
}

var errDigits = errors.New("not one or two digits")

func twoDigits(text string) (int, error) {
	if len(text) < 1 || len(text) > 2 || strings.Trim(text, "0123456789") != "" {
		return 0, errDigits
	}
	return strconv.Atoi(text)
}

func clock(s int) string { return fmt.Sprintf("%02d:%02d", s/3600, s/60%60) }
