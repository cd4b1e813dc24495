package profiles

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// metered is a meter's load on its own regular grid in standard time.
type metered struct {
	start time.Time // of the first interval
	stepS int
	w     []float64 // mean power; NaN where nothing was read
}

const stampLayout = "2006-01-02T15:04"

// regular finds the step, undoes daylight saving where the clock is local, and
// puts the readings on a grid of interval starts.
func regular(list []reading, m *Meter, p problems) (*metered, *MeterReport) {
	p = p.at("csv")
	step := commonStep(list)
	if !slices.Contains(steps, step) {
		p.add(step, "60, 30, 15, 10, 5 or 1 minutes", "s", "is how far most stamps are apart")
		return nil, nil
	}
	report := &MeterReport{StepS: step}
	bad := lines{p: p}
	defer bad.close()
	local := m.Clock == "local"
	list = standardTime(list, step, local, report)
	start, end := list[0].at, list[0].at
	for _, r := range list {
		if r.at.After(end) {
			end = r.at
		}
	}
	grid := &metered{start: start, stepS: step}
	if grid.start.Unix()%int64(step) != 0 {
		bad.add(list[0].line, list[0].at.Format(stampLayout), "", "", "does not start on a whole interval of the day")
		return nil, nil
	}
	n := int(end.Sub(grid.start)/time.Second)/step + 1
	if most := 20 * 366 * dayS / step; n > most {
		p.add(n, fmt.Sprintf("at most %d", most), "rows", "is more than twenty years of intervals")
		return nil, nil
	}
	grid.w = slices.Repeat([]float64{math.NaN()}, n)
	last := time.Time{}
	for _, r := range list {
		offset := int(r.at.Sub(grid.start) / time.Second)
		row := offset / step
		w := r.value
		if !r.isPower {
			w = r.value * 3600 / float64(step)
		}
		switch {
		case r.at.Before(last):
			bad.add(r.line, r.at.Format(stampLayout), "", "", "goes back in time"+clockHint(local))
			continue
		case offset%step != 0:
			bad.add(r.line, r.at.Format(stampLayout), "", "", "does not fit the interval of the other stamps")
			continue
		case r.at.Equal(last) && grid.w[row] == w:
			report.Repeated++
			continue
		case r.at.Equal(last):
			bad.add(r.line, r.at.Format(stampLayout), "", "", "comes twice with two values"+clockHint(local))
			continue
		}
		grid.w[row], last = w, r.at
		report.Rows++
		report.MeteredKWh += w * float64(step) / 3.6e6
	}
	if m.Label == "end" {
		interval := time.Duration(step) * time.Second
		grid.start, last = grid.start.Add(-interval), last.Add(-interval)
	}
	report.First, report.Last = grid.start.Format(stampLayout), last.Format(stampLayout)
	return grid, report
}

func clockHint(local bool) string {
	if local {
		return ""
	}
	return `; if the stamps follow daylight saving, say "clock": "local"`
}

// commonStep is the most frequent distance between stamps, in seconds; the
// smaller of two as frequent.
func commonStep(list []reading) int {
	count := map[int]int{}
	for i := 1; i < len(list); i++ {
		if d := int(list[i].at.Sub(list[i-1].at) / time.Second); d > 0 {
			count[d]++
		}
	}
	best := 0
	for d, n := range count {
		if n > count[best] || n == count[best] && d < best {
			best = d
		}
	}
	return best
}

// standardTime takes the hour off that a local clock is ahead in summer. A
// clock goes forward where an hour of stamps is left out, and back where an
// hour comes again, both in the night of a month in which clocks are changed.
// Which of the two comes first tells whether the table starts in summer.
func standardTime(list []reading, step int, local bool, report *MeterReport) []reading {
	if !local {
		return list
	}
	type jump struct {
		index   int
		forward bool
	}
	var jumps []jump
	for i := 1; i < len(list); i++ {
		d := int(list[i].at.Sub(list[i-1].at) / time.Second)
		forward, back := d == step+3600, d == step-3600
		if !forward && !back || !changesClocks(list[i].at) || len(jumps) > 0 && jumps[len(jumps)-1].forward == forward {
			continue
		}
		jumps = append(jumps, jump{i, forward})
		report.ClockJumps = append(report.ClockJumps, list[i].at.Format(stampLayout))
	}
	if len(jumps) == 0 {
		return list
	}
	out := slices.Clone(list)
	summer, next := !jumps[0].forward, 0
	for i := range out {
		if next < len(jumps) && jumps[next].index == i {
			summer, next = jumps[next].forward, next+1
		}
		if summer {
			out[i].at = out[i].at.Add(-time.Hour)
		}
	}
	return out
}

// changesClocks tells whether clocks are ever changed at a time: from 23:00 to
// 04:00 in March, April, September, October and November.
func changesClocks(t time.Time) bool {
	switch t.Month() {
	case time.March, time.April, time.September, time.October, time.November:
		return t.Hour() <= 4 || t.Hour() == 23
	}
	return false
}
