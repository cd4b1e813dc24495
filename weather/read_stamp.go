package weather

import (
	"errors"
	"time"
)

// stamp is a time as a file gives it: minutes since 1970-01-01 00:00 of its own
// clock, and that clock's offset from UTC where the text says it.
type stamp struct {
	minute    int64
	offset    int // minutes
	hasOffset bool
}

// Why a text is not a time.
var (
	errNoTime    = errors.New("is not a time that can be read")
	errTwoWays   = errors.New("can be read two ways; state date_order")
	errNoSuchDay = errors.New("is a day or time that no calendar has")
	errSeconds   = errors.New("does not fall on a whole minute")
)

// parseStamp reads a date with a time of day: 2016-01-31T13:30 (blank or T
// between, seconds and an offset such as Z, +01:00 or -0700 allowed),
// 2016/01/31 13:30, 31.01.2016 13:30, 01/31/2016 13:30 (order mdy or dmy),
// 20160131:1330, 201601311330, 20160131T1330. A date alone is its midnight;
// 24:00 is the next day's. order settles dates that can be read two ways; a
// date with points is taken as day, month, year.
func parseStamp(text []byte, order string) (stamp, error) {
	year, month, day, rest, err := parseDate(text, order)
	if err != nil {
		return stamp{}, err
	}
	if len(rest) > 0 && (rest[0] == 'T' || rest[0] == ' ' || rest[0] == ':' || rest[0] == 't') {
		rest = trimmed(rest[1:])
		if len(rest) == 0 {
			return stamp{}, errNoTime
		}
	}
	s := stamp{}
	minutes := 0
	if len(rest) > 0 {
		if minutes, rest, err = parseClock(rest); err != nil {
			return stamp{}, err
		}
		if s.offset, s.hasOffset, err = parseOffset(trimmed(rest)); err != nil {
			return stamp{}, err
		}
	}
	s.minute, err = minuteOf(year, month, day, minutes)
	return s, err
}

// minuteOf counts minutes since 1970-01-01 00:00; minutes are those of the
// day, 0 to 1440.
func minuteOf(year, month, day, minutes int) (int64, error) {
	if year < 1900 || year > 2101 {
		return 0, errNoSuchDay
	}
	if d, ok := dayOfYear(year, month, day); !ok || d < 0 || minutes < 0 || minutes > 1440 {
		return 0, errNoSuchDay
	}
	// Days from civil, March-based year.
	y, m := int64(year), int64(month)
	if m <= 2 {
		y--
		m += 12
	}
	days := 365*y + y/4 - y/100 + y/400 + (153*(m-3)+2)/5 + int64(day) - 1 - 719468
	return days*1440 + int64(minutes), nil
}

// parseDate takes the date off the front of a text.
func parseDate(text []byte, order string) (year, month, day int, rest []byte, err error) {
	a, rest := digits(text)
	if len(a) >= 8 && (len(a) == 8 || len(a) == 12) { // 20160131, 201601311330
		year, _ = whole(a[:4])
		month, _ = whole(a[4:6])
		day, _ = whole(a[6:8])
		return year, month, day, text[8:], nil
	}
	if len(a) == 0 || len(rest) == 0 {
		return 0, 0, 0, nil, errNoTime
	}
	sep := rest[0]
	if sep != '-' && sep != '/' && sep != '.' {
		return 0, 0, 0, nil, errNoTime
	}
	b, rest := digits(rest[1:])
	if len(b) == 0 || len(b) > 2 || len(rest) == 0 || rest[0] != sep {
		return 0, 0, 0, nil, errNoTime
	}
	c, rest := digits(rest[1:])
	first, _ := whole(a)
	second, _ := whole(b)
	third, ok := whole(c)
	switch {
	case !ok:
		return 0, 0, 0, nil, errNoTime
	case len(a) == 4 && len(c) <= 2:
		return first, second, third, rest, nil
	case len(a) > 2 || len(c) != 4:
		return 0, 0, 0, nil, errNoTime
	case order == "mdy":
		return third, first, second, rest, nil
	case order == "dmy" || sep == '.':
		return third, second, first, rest, nil
	}
	return 0, 0, 0, nil, errTwoWays
}

// parseClock takes HH:MM, HH:MM:SS, HH:MM:SS.000, HHMM, HHMMSS or H off the
// front of a text and gives minutes of the day.
func parseClock(text []byte) (minutes int, rest []byte, err error) {
	h, rest := digits(text)
	var m, s []byte
	switch {
	case len(h) == 4 || len(h) == 6:
		m, s, h = h[2:4], h[4:], h[:2]
	case len(h) == 1 || len(h) == 2:
		if len(rest) > 0 && rest[0] == ':' {
			if m, rest = digits(rest[1:]); len(m) != 2 {
				return 0, nil, errNoTime
			}
			if len(rest) > 0 && rest[0] == ':' {
				if s, rest = digits(rest[1:]); len(s) != 2 {
					return 0, nil, errNoTime
				}
			}
		}
	default:
		return 0, nil, errNoTime
	}
	if len(s) > 0 && len(rest) > 1 && rest[0] == '.' {
		var fraction []byte
		fraction, rest = digits(rest[1:])
		s = append(append([]byte(nil), s...), fraction...)
	}
	for _, c := range s {
		if c != '0' {
			return 0, nil, errSeconds
		}
	}
	hour, _ := whole(h)
	minute := 0
	if len(m) > 0 {
		minute, _ = whole(m)
	}
	if minute > 59 || hour > 24 || hour == 24 && minute > 0 {
		return 0, nil, errNoSuchDay
	}
	return hour*60 + minute, rest, nil
}

// parseOffset reads Z, +HH, +HHMM or +HH:MM (or with a minus sign).
func parseOffset(text []byte) (minutes int, has bool, err error) {
	switch {
	case len(text) == 0:
		return 0, false, nil
	case string(text) == "Z" || string(text) == "z":
		return 0, true, nil
	case text[0] != '+' && text[0] != '-':
		return 0, false, errNoTime
	}
	h, rest := digits(text[1:])
	var m []byte
	if len(h) == 4 {
		h, m = h[:2], h[2:]
	} else if len(rest) > 0 && rest[0] == ':' {
		m, rest = digits(rest[1:])
		if len(m) != 2 {
			return 0, false, errNoTime
		}
	}
	hour, ok := whole(h)
	minute := 0
	if len(m) > 0 {
		minute, _ = whole(m)
	}
	if !ok || len(h) != 2 || len(rest) > 0 || hour > 14 || minute > 59 {
		return 0, false, errNoTime
	}
	minutes = hour*60 + minute
	if text[0] == '-' {
		minutes = -minutes
	}
	return minutes, true, nil
}

// digits cuts the digits off the front of a text.
func digits(text []byte) (front, rest []byte) {
	n := 0
	for n < len(text) && text[n] >= '0' && text[n] <= '9' {
		n++
	}
	return text[:n], text[n:]
}

// yearOf is the calendar year that a minute since 1970 falls in.
func yearOf(minute int64) int { return time.Unix(minute*60, 0).UTC().Year() }

// showMinute shows a minute since 1970 in messages.
func showMinute(minute int64) string { return time.Unix(minute*60, 0).UTC().Format("2006-01-02 15:04") }
