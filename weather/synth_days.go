package weather

import (
	_ "embed"
	"math/rand/v2"
	"strconv"
	"strings"
	"sync"
)

//go:embed synth_transitions.csv
var transitionsText string

// transitions is the table of one class of monthly mean clearness: ten equal
// states of daily clearness between low and high, and for each the cumulative
// probabilities of the next day's state.
type transitions struct {
	upper     float64 // the class holds monthly means up to this
	low, high float64
	next      [10][10]float64
}

// transitionClasses reads the published tables: Aguiar, Collares-Pereira &
// Conde 1988, Solar Energy 40(3), 269–279. Rows are brought to a sum of 1.
var transitionClasses = sync.OnceValue(func() []transitions {
	var classes []transitions
	for _, line := range strings.Split(strings.TrimSpace(transitionsText), "\n") {
		if line[0] == '#' || line[0] == 'm' {
			continue
		}
		var x [14]float64
		for i, text := range strings.Split(line, ",") {
			value, err := strconv.ParseFloat(text, 64)
			if err != nil {
				panic("weather: transition table: " + err.Error())
			}
			x[i] = value
		}
		if len(classes) == 0 || classes[len(classes)-1].upper != x[0] {
			classes = append(classes, transitions{upper: x[0], low: x[1], high: x[2]})
		}
		total := 0.0
		for _, p := range x[4:] {
			total += p
		}
		row := &classes[len(classes)-1].next[int(x[3])-1]
		sum := 0.0
		for i, p := range x[4:] {
			sum += p
			row[i] = sum / total
		}
	}
	return classes
})

// classOf is the table for a monthly mean.
func classOf(meanClearness float64) *transitions {
	classes := transitionClasses()
	for i := range classes {
		if meanClearness <= classes[i].upper {
			return &classes[i]
		}
	}
	return &classes[len(classes)-1]
}

// after draws the clearness of the day after one of a given clearness: the
// next state by its probability, the value evenly within the state.
func (t *transitions) after(clearness float64, draw *rand.PCG) float64 {
	state := int((clearness - t.low) / (t.high - t.low) * 10)
	row := &t.next[min(max(state, 0), 9)]
	u := uniform(draw)
	next := 0
	for next < 9 && u >= row[next] {
		next++
	}
	return t.low + float64((float64(next)+uniform(draw))*((t.high-t.low)/10))
}

// uniform is a number from 0 (included) to 1 (not) of 53 bits.
func uniform(draw *rand.PCG) float64 { return float64(float64(draw.Uint64()>>11) * (1.0 / (1 << 53))) }

// monthTries is how many chains are drawn for a month; the one whose mean
// comes nearest to what is wanted is taken, so that little is left to scale.
const monthTries = 25

// monthOfDays draws the daily clearness of a month whose sum of
// clearness × outside is to be wanted (Wh/m²), each day at most its most.
// before is the clearness of the day before. The last error is taken out by
// one factor on all days, held to most.
func (t *transitions) monthOfDays(outside, most []float64, wanted, before float64, draw *rand.PCG) []float64 {
	best, bestOff := []float64(nil), 0.0
	for range monthTries {
		days := make([]float64, len(outside))
		last, sum := before, 0.0
		for d := range days {
			last = t.after(last, draw)
			days[d] = min(last, most[d])
			sum += float64(days[d] * outside[d])
		}
		off := max(sum-wanted, wanted-sum)
		if best == nil || off < bestOff {
			best, bestOff = days, off
		}
	}
	scaleTo(best, outside, most, wanted)
	return best
}

// scaleTo multiplies values by the factor that makes Σ min(value, most)·weight
// equal to wanted, and holds them to most. The factor is found by halving.
func scaleTo(values, weight, most []float64, wanted float64) {
	reach := func(factor float64) float64 {
		sum := 0.0
		for i, x := range values {
			sum += float64(min(float64(x*factor), most[i]) * weight[i])
		}
		return sum
	}
	lo, hi := 0.0, 1.0
	for range 40 {
		if reach(hi) >= wanted {
			break
		}
		lo, hi = hi, float64(hi*2)
	}
	for range 60 {
		middle := float64((lo + hi) * 0.5)
		if reach(middle) < wanted {
			lo = middle
		} else {
			hi = middle
		}
	}
	for i := range values {
		values[i] = min(float64(values[i]*hi), most[i])
	}
}
