package sim

import (
	"math/rand/v2"
	"slices"
	"time"

	"bankyear/weather"
)

// listedSpan is a listed fault, seconds after the year's start.
func listedSpan(at time.Time, err error, hours float64, w *weather.Year) [2]float64 {
	if err != nil {
		panic("sim: date not checked: " + err.Error())
	}
	from := at.Sub(time.Date(w.CalendarYear, 1, 1, 0, 0, 0, 0, time.UTC)).Seconds()
	return [2]float64{from, from + hours*3600}
}

// randomSpans are faults with exponential times between them and lengths, both
// means in hours; none where the first is 0.
func randomSpans(betweenH, lengthH float64, seed rand.Source, w *weather.Year) [][2]float64 {
	if betweenH == 0 {
		return nil
	}
	var spans [][2]float64
	rng := rand.New(seed)
	for t := 0.; ; {
		t += rng.ExpFloat64() * betweenH * 3600
		if t >= float64(w.Len()*w.StepS) {
			return spans
		}
		long := rng.ExpFloat64() * lengthH * 3600
		spans = append(spans, [2]float64{t, t + long})
		t += long
	}
}

// edges are the ends of spans in turn, joined where they overlap. The settling
// days see none.
func edges(spans [][2]float64) []float64 {
	slices.SortFunc(spans, func(a, b [2]float64) int {
		if a[0] != b[0] {
			if a[0] < b[0] {
				return -1
			}
			return 1
		}
		return 0
	})
	var edges []float64
	for _, span := range spans {
		if span[1] <= span[0] {
			continue
		}
		if n := len(edges); n > 0 && span[0] <= edges[n-1] {
			edges[n-1] = max(edges[n-1], span[1])
			continue
		}
		edges = append(edges, span[0], span[1])
	}
	return edges
}
