package profiles

import (
	"fmt"
	"strconv"
	"strings"
)

const dayS = 86400

// span is a stretch of a day in seconds after its midnight; toS above 86400
// runs into the next day.
type span struct{ fromS, toS int }

// parseHours reads spans of the day such as 09-11 or 06-09,17:30-22, on a
// 24-hour clock with 24 as the end of the day. A span whose end is not after
// its start runs over midnight; an empty one (9-9) and spans that overlap are
// errors. No text is the whole day.
func parseHours(text string) ([]span, error) {
	if text == "" {
		return []span{{0, dayS}}, nil
	}
	var spans []span
	for part := range strings.SplitSeq(text, ",") {
		from, to, found := strings.Cut(part, "-")
		a, okA := timeOfDay(from)
		b, okB := timeOfDay(to)
		if !found || !okA || !okB || a == dayS {
			return nil, fmt.Errorf("%q is not a span of hours such as 09-11 or 17:30-22", part)
		}
		if a == b {
			return nil, fmt.Errorf("%q holds no time", part)
		}
		if b < a {
			b += dayS
		}
		for _, other := range spans {
			for _, shift := range []int{-dayS, 0, dayS} {
				if a < other.toS+shift && other.fromS+shift < b {
					return nil, fmt.Errorf("%q overlaps another span", part)
				}
			}
		}
		spans = append(spans, span{a, b})
	}
	return spans, nil
}

// timeOfDay reads 9, 09 or 09:30 as seconds after midnight.
func timeOfDay(text string) (int, bool) {
	hour, minute, colon := strings.Cut(strings.TrimSpace(text), ":")
	if !colon {
		minute = "00"
	}
	if len(hour) < 1 || len(hour) > 2 || len(minute) != 2 || strings.Trim(hour+minute, "0123456789") != "" {
		return 0, false
	}
	h, _ := strconv.Atoi(hour)
	m, _ := strconv.Atoi(minute)
	s := h*3600 + m*60
	return s, m < 60 && s <= dayS
}

// cover spreads spans over the intervals of a day: the part of each interval
// that lies in them, for the day on which they start and for the next.
func cover(spans []span, stepS int) (today, next []float64) {
	perDay := dayS / stepS
	parts := make([]float64, 2*perDay)
	for i := range parts {
		covered := 0
		for _, s := range spans {
			covered += max(0, min(s.toS, (i+1)*stepS)-max(s.fromS, i*stepS))
		}
		parts[i] = float64(covered) / float64(stepS)
	}
	return parts[:perDay], parts[perDay:]
}
