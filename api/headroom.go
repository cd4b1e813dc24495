package api

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"sync"

	"bankyear/sim"
	"bankyear/sim/study"
)

// Headroom is how much all load may grow, and what breaks when it grows further.
type Headroom struct {
	Fraction      float64 `json:"load_headroom_fraction" doc:"Largest growth of all load up to which every growth that was tried keeps downtime_h within the limit: 0.25 for a quarter more, negative where the load must shrink."`
	LimitH        float64 `json:"limit_downtime_h" doc:"The limit: 99.9 % of the year is served."`
	Bracketed     bool    `json:"bracketed" doc:"Whether a growth was tried that exceeds the limit, and one that does not."`
	Again         float64 `json:"again_fraction,omitzero" required:"false" doc:"Largest growth beyond one that exceeds the limit that keeps within it all the same: downtime is not monotone in the load."`
	BreaksFirst   string  `json:"breaks_first,omitzero" required:"false" doc:"First cause of downtime that growing load brings and the year as it is has not; left out when no growth tried brings one."`
	FirstBecause  string  `json:"breaks_first_because,omitzero" required:"false" doc:"What brings it about, by hours, in the first such year: as because of an outage."`
	BreaksSecond  string  `json:"breaks_second,omitzero" required:"false" doc:"The next."`
	SecondBecause string  `json:"breaks_second_because,omitzero" required:"false" doc:"What brings that about."`
	Tried         []Grown `json:"tried" doc:"Years that were simulated, by growth."`
	Words         string  `json:"words" doc:"The same in words."`
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
		out := headroomOf(&h, &x.year.Figures)
		out.FirstBecause, out.SecondBecause = x.reason(by, known, out.BreaksFirst), x.reason(by, known, out.BreaksSecond)
		out.Words += out.breaks()
		x.more.set(func() { x.more.headroom = out })
	}
	return t
}

// reason is what brings a cause about in the year of the least growth that has it;
// that year is run again with its outages.
func (x *subject) reason(by *crew, known map[float64]*sim.Figures, cause string) string {
	switch cause {
	case "", "over_current", "inverter_limit", "inrush": // the load itself
		return ""
	}
	for _, growth := range slices.Sorted(maps.Keys(known)) {
		if growth <= 0 || known[growth].DowntimeByCauseH[cause] <= 0 {
			continue
		}
		y := sim.CompileLike(&x.c.System, x.c.Weather, x.c.Load.Times(1+growth), x.plan).Run(true)
		by.count()
		hours := map[string]float64{}
		for _, o := range y.Outages {
			if o.Cause.String() == cause {
				hours[o.Because.String()] += o.Hours
			}
		}
		delete(hours, "")
		if names := largestFirst(hours); len(names) > 0 {
			return names[0]
		}
		return ""
	}
	return ""
}

func headroomOf(h *study.Headroom, asIs *sim.Figures) *Headroom {
	out := &Headroom{Fraction: h.Fraction, LimitH: study.HeadroomLimitH, Bracketed: h.Bracketed, Again: h.Again, BreaksFirst: h.BreaksFirst, BreaksSecond: h.BreaksSecond}
	for _, g := range h.Tried {
		out.Tried = append(out.Tried, Grown{g.Fraction, g.DowntimeH})
	}
	pct := strconv.Itoa(int(math.Round(100 * math.Abs(h.Fraction)))) // halves up, as the figure is shown beside it
	switch {
	case h.Fraction <= 0 && !h.Bracketed:
		out.Words = fmt.Sprintf("No smaller load that was tried keeps the site within %s dark a year.", hours(out.LimitH))
	case h.Fraction < 0:
		out.Words = fmt.Sprintf("The load would have to be %s %% less for no more than %s dark a year.", pct, hours(out.LimitH))
	case h.Bracketed:
		out.Words = fmt.Sprintf("The load may grow by %s %% until the site is dark for more than %s a year.", pct, hours(out.LimitH))
	default:
		out.Words = fmt.Sprintf("The load may grow by %s %% and more with no more than %s dark a year.", pct, hours(out.LimitH))
	}
	if causes := largestFirst(asIs.DowntimeByCauseH); len(causes) > 0 {
		out.Words += fmt.Sprintf(" As it is, the site is dark for %s, mostly because %s.", hours(asIs.DowntimeH), causeWords[causes[0]])
	}
	return out
}

// breaks says what growing load brings.
func (h *Headroom) breaks() string {
	if h.BreaksFirst == "" {
		return ""
	}
	text := " What breaks first as load grows: " + causeWords[h.BreaksFirst] + becauseWords[h.FirstBecause]
	if h.BreaksSecond != "" {
		text += "; second: " + causeWords[h.BreaksSecond] + becauseWords[h.SecondBecause]
	}
	return text + "."
}

// becauseWords says each reason of an outage in words that follow a cause.
var becauseWords = map[string]string{
	"link_loss":           " (the lost link refused charge)",
	"module_out":          " (modules were out of service)",
	"charge_blocked_cold": " (cold cells refused charge)",
	"charge_blocked_hot":  " (hot cells refused charge)",
	"generator_failed":    " (the generator did not start)",
	"no_fuel":             " (the generator had no fuel)",
	"no_start_hours":      " (the generator was wanted in hours in which it may not start)",
	"grid_outage":         " (the grid was not there)",
	"estimate_wrong":      " (the reported state of charge was wrong)",
	"settings":            " (settings kept chargers or the generator back)",
	"ceiling":             " (a charge ceiling or a charger refused charge)",
	"low_sun":             " (the sun gave less than the load took)",
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
