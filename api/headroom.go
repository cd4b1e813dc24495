package api

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"sync"

	"bankyear/sim"
	"bankyear/sim/study"
)

// Headroom is how much all load may grow, and what breaks when it grows further.
type Headroom struct {
	Fraction     float64 `json:"load_headroom_fraction" doc:"Largest growth of all load up to which every growth that was tried keeps downtime_h within the limit: 0.25 for a quarter more, negative where the load must shrink."`
	LimitH       float64 `json:"limit_downtime_h" doc:"The limit: 99.9 % of the year is served."`
	Bracketed    bool    `json:"bracketed" doc:"Whether a growth was tried that exceeds the limit, and one that does not."`
	Again        float64 `json:"again_fraction,omitzero" required:"false" doc:"Largest growth beyond one that exceeds the limit that keeps within it all the same: downtime is not monotone in the load."`
	BreaksFirst  string  `json:"breaks_first,omitzero" required:"false" doc:"First cause of downtime that growing load brings and the year as it is has not; left out when no growth tried brings one."`
	BreaksSecond string  `json:"breaks_second,omitzero" required:"false" doc:"The next."`
	Tried        []Grown `json:"tried" doc:"Years that were simulated, by growth."`
	Words        string  `json:"words" doc:"The same in words."`
}

// Grown is a year with grown load.
type Grown struct {
	Fraction  float64 `json:"growth_fraction" doc:"Growth of all load."`
	DowntimeH float64 `json:"downtime_h" doc:"Its downtime."`
}

// headroomTolerance is how closely the limit is found.
const headroomTolerance = 0.01

func (x *subject) headroomTask(by *crew) task {
	var mu sync.Mutex
	known := map[float64]*sim.Figures{0: &x.year.Figures}
	year := func(growth float64) *sim.Figures {
		mu.Lock()
		f := known[growth]
		mu.Unlock()
		if f == nil {
			f = &x.again(by, &x.c.System, 1+growth).Figures
			mu.Lock()
			known[growth] = f
			mu.Unlock()
		}
		return f
	}
	var t task
	for _, growth := range study.HeadroomGrid() {
		if growth > 0 || x.year.Figures.DowntimeH > study.HeadroomLimitH && growth < 0 {
			t.runs = append(t.runs, func() { year(growth) })
		}
	}
	t.end = func() {
		h, err := study.FindHeadroom(study.HeadroomGrid(), study.HeadroomLimitH, headroomTolerance, func(growth float64) (*sim.Figures, error) {
			if err := by.ctx.Err(); err != nil {
				return nil, err
			}
			return year(growth), nil
		})
		if err != nil {
			return // nobody waits any more
		}
		out := headroomOf(&h)
		x.more.set(func() { x.more.headroom = out })
	}
	return t
}

func headroomOf(h *study.Headroom) *Headroom {
	out := &Headroom{Fraction: h.Fraction, LimitH: study.HeadroomLimitH, Bracketed: h.Bracketed, Again: h.Again, BreaksFirst: h.BreaksFirst, BreaksSecond: h.BreaksSecond}
	for _, g := range h.Tried {
		out.Tried = append(out.Tried, Grown{g.Fraction, g.DowntimeH})
	}
	pct := strconv.FormatFloat(100*h.Fraction, 'f', 0, 64)
	switch {
	case h.Fraction <= 0 && !h.Bracketed:
		out.Words = fmt.Sprintf("No smaller load that was tried keeps the site within %s dark a year.", hours(out.LimitH))
	case h.Fraction < 0:
		out.Words = fmt.Sprintf("The load would have to be %s %% less for no more than %s dark a year.", strconv.FormatFloat(-100*h.Fraction, 'f', 0, 64), hours(out.LimitH))
	case h.Bracketed:
		out.Words = fmt.Sprintf("The load may grow by %s %% until the site is dark for more than %s a year.", pct, hours(out.LimitH))
	default:
		out.Words = fmt.Sprintf("The load may grow by %s %% and more with no more than %s dark a year.", pct, hours(out.LimitH))
	}
	if h.BreaksFirst != "" {
		out.Words += " What breaks first: " + causeWords[h.BreaksFirst]
		if h.BreaksSecond != "" {
			out.Words += "; second: " + causeWords[h.BreaksSecond]
		}
		out.Words += "."
	}
	return out
}

// causeWords says each cause of downtime in words.
var causeWords = map[string]string{
	"charge_trip":    "a charge-side trip of the BMS takes the load with it",
	"protection":     "the BMS protects itself and opens",
	"asleep":         "the bank sleeps after over-discharge and nobody wakes it",
	"link_loss":      "the lost data link stops the site",
	"sudden_stop":    "the bank stops at its low voltage while the reported state of charge looks safe",
	"empty":          "the bank is run down to its low end",
	"too_cold":       "the cells are too cold to discharge",
	"too_hot":        "the cells are too hot to discharge",
	"over_current":   "the load asks for more current than the bank gives",
	"inverter_limit": "the load asks for more power than the inverter gives",
	"inrush":         "a motor does not start",
}

// largestFirst lists the keys of figures by cause, the largest first, those that are
// 0 left out.
func largestFirst(byCause map[string]float64) []string {
	keys := slices.Sorted(maps.Keys(byCause))
	keys = slices.DeleteFunc(keys, func(k string) bool { return byCause[k] <= 0 })
	slices.SortStableFunc(keys, func(a, b string) int {
		switch {
		case byCause[a] > byCause[b]:
			return -1
		case byCause[a] < byCause[b]:
			return 1
		}
		return 0
	})
	return keys
}
