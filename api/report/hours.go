package report

import (
	"math"
	"time"

	"bankyear/sim"
)

// column is the hours' column of a name.
func (b *Bank) column(name string) []float32 {
	for i, c := range sim.NumberColumns() {
		if c.Name == name {
			return b.Year.Hours.Values[i]
		}
	}
	panic("report: no column " + name)
}

func (b *Bank) perDay() int { return 86400 / b.StepS }

// daily is the lowest and the highest value of each day.
func (b *Bank) daily(name string, factor float64) (low, high []float64) {
	values, n := b.column(name), b.perDay()
	for from := 0; from+n <= len(values); from += n {
		least, most := math.Inf(1), math.Inf(-1)
		for _, v := range values[from : from+n] {
			least, most = min(least, factor*float64(v)), max(most, factor*float64(v))
		}
		low, high = append(low, least), append(high, most)
	}
	return low, high
}

// darkByDay is the dark hours of each day.
func (b *Bank) darkByDay() []float64 {
	var out []float64
	values, n := b.column("downtime_fraction"), b.perDay()
	for from := 0; from+n <= len(values); from += n {
		sum := 0.
		for _, v := range values[from : from+n] {
			sum += float64(v) * float64(b.StepS) / 3600
		}
		out = append(out, sum)
	}
	return out
}

// darkByMonthAndHour is the dark hours by month and hour of the day.
func (b *Bank) darkByMonthAndHour() [12][24]float64 {
	var out [12][24]float64
	for i, v := range b.column("downtime_fraction") {
		at := time.UnixMilli(b.Year.Hours.StartLocalMs[i]).UTC()
		out[at.Month()-1][at.Hour()] += float64(v) * float64(b.StepS) / 3600
	}
	return out
}

// worstWeek is the first day of the seven with the most darkness of all banks, of
// those the emptiest.
func worstWeek(banks []Bank) int {
	var score []float64
	for i := range banks {
		b := &banks[i]
		soc, n := b.column("soc_fraction"), b.perDay()
		for d, hours := range b.darkByDay() {
			if i == 0 {
				score = append(score, 0)
			}
			score[d] += 100 * hours
			for _, v := range soc[d*n : (d+1)*n] {
				score[d] += (1 - float64(v)) * float64(b.StepS) / 3600
			}
		}
	}
	best, most := 0, math.Inf(-1)
	for d := 0; d+7 <= len(score); d++ {
		sum := 0.
		for _, s := range score[d : d+7] {
			sum += s
		}
		if sum > most {
			best, most = d, sum
		}
	}
	return best
}
