// Package backtest holds a model of a bank against what was logged of a real
// one: how well the voltage follows, and which capacity, resistance, counter
// offset and load make it follow best. Pure: no input or output, no clock.
package backtest

import (
	"math"
	"slices"
)

// Log is a logged stretch. Rows rise in time; a column is as long as Seconds, or
// nil where it was not logged, and NaN where a value is missing.
type Log struct {
	Seconds []float64 // since 1970-01-01T00:00 of the log's own clock
	V, A    []float64 // at the bank's terminals; charge positive
	SoC     []float64 // as a counter reported it, 0 to 1
	CellC   []float64
	LoadW   []float64 // AC load
	SolarW  []float64 // what the solar chargers put on the DC bus
	// Instants tells samples of a moment from means over the interval that
	// begins at the row.
	Instants bool
}

// mostRows is how many rows a fit looks at: more are averaged over whole numbers
// of rows.
const mostRows = 9000

// Gaps: a step beyond gapSteps of the log's own and beyond gapS parts it, because
// the charge that flowed meanwhile is not known.
const (
	gapSteps    = 3
	gapS        = 900.
	assumedC    = 25.
	fewestRows  = 8    // in a stretch
	mostStretch = 40   // stretches; the longest
	fewestFit   = 20   // rows in all
	hourS       = 3600 // s
)

// row is an interval with its means.
type row struct {
	t, dt   float64 // start and length, s
	v, a    float64
	celsius float64
	soc     float64 // NaN when not logged
	factor  float64 // f_T on the resistance
}

// stretch is rows without a gap.
type stretch []row

// sorted is what a log holds after gaps and thinning.
type sorted struct {
	stretches []stretch
	rows      int     // in all
	left      int     // rows that were left out
	stepS     float64 // median step of the log
	gaps      int
	together  int // rows that were averaged into one
}

// stepOf is the median step.
func stepOf(seconds []float64) float64 {
	if len(seconds) < 2 {
		return 0
	}
	steps := make([]float64, len(seconds)-1)
	for i := range steps {
		steps[i] = seconds[i+1] - seconds[i]
	}
	slices.Sort(steps)
	return steps[len(steps)/2]
}

// sort parts a log into stretches of intervals.
func (l *Log) sort() sorted {
	out := sorted{stepS: stepOf(l.Seconds), together: 1}
	longest := max(gapS, gapSteps*out.stepS)
	var current stretch
	end := func() {
		if len(current) >= fewestRows {
			out.stretches = append(out.stretches, current)
		} else {
			out.left += len(current)
		}
		current = nil
	}
	last := len(l.Seconds) - 1
	for i := range l.Seconds {
		dt, joined := out.stepS, false
		if i < last {
			step := l.Seconds[i+1] - l.Seconds[i]
			if joined = step <= longest; joined {
				dt = step
			} else {
				out.gaps++
			}
		}
		x := l.row(i)
		if l.Instants {
			// Samples of a moment become means of the interval between two: the
			// trapezium, which is what the charge between them is.
			if joined {
				x = mean(x, l.row(i+1))
			} else {
				x.a = math.NaN()
			}
		}
		x.t, x.dt = l.Seconds[i], dt
		if math.IsNaN(x.v) || math.IsNaN(x.a) {
			if !l.Instants || joined {
				out.left++
			}
			end()
			continue
		}
		current = append(current, x)
		if !joined {
			end()
		}
	}
	end()
	out.trim()
	return out
}

func (l *Log) row(i int) row {
	return row{v: l.V[i], a: l.A[i], celsius: at(l.CellC, i), soc: at(l.SoC, i)}
}

func at(column []float64, i int) float64 {
	if column == nil {
		return math.NaN()
	}
	return column[i]
}

func mean(a, b row) row {
	return row{v: (a.v + b.v) / 2, a: (a.a + b.a) / 2, celsius: (a.celsius + b.celsius) / 2, soc: (a.soc + b.soc) / 2}
}

// trim keeps the longest stretches, fills temperatures, and averages rows when
// there are too many.
func (s *sorted) trim() {
	if len(s.stretches) > mostStretch {
		byLength := slices.Clone(s.stretches)
		slices.SortStableFunc(byLength, func(a, b stretch) int { return len(b) - len(a) })
		shortest := len(byLength[mostStretch-1])
		kept := s.stretches[:0:0]
		for _, x := range s.stretches {
			if len(x) >= shortest && len(kept) < mostStretch {
				kept = append(kept, x)
			} else {
				s.left += len(x)
			}
		}
		s.stretches = kept
	}
	n := 0
	for _, x := range s.stretches {
		n += len(x)
		fillCelsius(x)
	}
	if s.together = (n + mostRows - 1) / mostRows; s.together > 1 {
		for i, x := range s.stretches {
			s.stretches[i] = thin(x, s.together)
		}
	}
	for _, x := range s.stretches {
		s.rows += len(x)
	}
}

// fillCelsius holds the last temperature where one is missing; 25 °C when none
// was logged.
func fillCelsius(rows stretch) {
	last := assumedC
	for _, x := range rows {
		if !math.IsNaN(x.celsius) {
			last = x.celsius
			break
		}
	}
	for i := range rows {
		if math.IsNaN(rows[i].celsius) {
			rows[i].celsius = last
		}
		last = rows[i].celsius
	}
}

// thin averages k rows into one, by their lengths.
func thin(rows stretch, k int) stretch {
	var out stretch
	for group := range slices.Chunk(rows, k) {
		x := row{t: group[0].t}
		for _, r := range group {
			x.dt += r.dt
			x.v += r.v * r.dt
			x.a += r.a * r.dt
			x.celsius += r.celsius * r.dt
			x.soc += r.soc * r.dt
		}
		x.v, x.a, x.celsius, x.soc = x.v/x.dt, x.a/x.dt, x.celsius/x.dt, x.soc/x.dt
		out = append(out, x)
	}
	return out
}
