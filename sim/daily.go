package sim

import (
	"math"
	"slices"
)

// daily follows the state of charge day by day and the cell temperature month by
// month, at the ends of the intervals.
type daily struct {
	low, high float64 // SoC of the day so far, its start included
	left      int     // intervals of the day still to come
	day       int
	depth     [366]float64
	month     [366]uint8
	sumC      [12]float64
	rows      [12]int
	socError  socError
}

// begin starts the counted year.
func (d *daily) begin(m *machine) {
	soc := m.trueSoC()
	*d = daily{low: soc, high: soc, left: m.perDay()}
}

func (m *machine) perDay() int { return int(math.Round(86400 / m.p.sky.stepS)) }

// sample takes the end of an interval.
func (d *daily) sample(m *machine) {
	soc, month := m.trueSoC(), m.row.month
	d.sumC[month] += m.celsius
	d.rows[month]++
	if m.p.reports {
		d.socError.sample(m, soc)
	}
	if soc < d.low {
		d.low = soc
	}
	if soc > d.high {
		d.high = soc
	}
	if d.left--; d.left > 0 || d.day == len(d.depth) {
		return
	}
	d.depth[d.day], d.month[d.day] = d.high-d.low, month
	d.day++
	d.low, d.high, d.left = soc, soc, m.perDay()
}

// meanC is the mean cell temperature of a month, 0 to 11, °C.
func (d *daily) meanC(month int) float64 {
	if d.rows[month] == 0 {
		return 0
	}
	return d.sumC[month] / float64(d.rows[month])
}

// meanSoCError is the mean difference of reported from true SoC in a month, 0 to 11.
func (d *daily) meanSoCError(month int) float64 {
	if d.rows[month] == 0 {
		return 0
	}
	return d.socError.sum[month] / float64(d.rows[month])
}

// depths are the median day of the three months with the least sun, and what a
// tenth of all days exceeds.
func (d *daily) depths(m *machine) (winter, worstTenth float64) {
	dark := darkest(m.months[:])
	var inWinter []float64
	for i, depth := range d.depth[:d.day] {
		if slices.Contains(dark[:3], int(d.month[i])) {
			inWinter = append(inWinter, depth)
		}
	}
	return quantile(inWinter, .5), quantile(slices.Clone(d.depth[:d.day]), .9)
}

// darkest orders the months, 0 to 11, by their solar energy, the least first.
func darkest(months []ledger) [12]int {
	var order [12]int
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order[:], func(a, b int) int {
		switch x, y := months[a].solarAvail, months[b].solarAvail; {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	return order
}

// quantile is the p-quantile, linear between the order statistics around
// (n − 1)p + 1 (definition 7 of Hyndman & Fan 1996); it sorts the values. 0 for none.
func quantile(values []float64, p float64) float64 {
	if len(values) == 0 {
		return 0
	}
	slices.Sort(values)
	at := p * float64(len(values)-1)
	i := min(int(at), len(values)-2)
	if i < 0 {
		return values[0]
	}
	return values[i] + (at-float64(i))*(values[i+1]-values[i])
}

// resets follows when the reported state of charge was set anew.
type resets struct {
	last, longest float64 // s
	count         int
}

func (r *resets) note(now float64) {
	r.longest = max(r.longest, now-r.last)
	r.last = now
	r.count++
}

// without is the longest time without a re-set up to now, s.
func (r *resets) without(now float64) float64 { return max(r.longest, now-r.last) }
