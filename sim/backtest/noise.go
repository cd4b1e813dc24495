package backtest

import (
	"math"
	"slices"
)

// leastNoise is the least standard deviation of a voltage that is believed, of
// the voltage: no logger and no model is better than a millivolt a cell.
const leastNoise = 0.0003

// What the state of charge of a row is uncertain by beside what is fitted: the
// model's own, and a part of what flows within the row, whose mean voltage is
// not that of its mean charge.
const (
	socNoise  = 0.003
	withinRow = 0.2
)

// widths are how much wider a row's voltage errs than one on the plateau: an
// uncertain state of charge is an uncertain voltage by the slope of the
// open-circuit voltage, which at the knees is a hundred times that of the
// plateau. The slope is taken where the logged voltage less R·I lies.
func (m *model) widths(data *sorted) []float64 {
	var out []float64
	for _, rows := range data.stretches {
		for i := range rows {
			r := &rows[i]
			least := leastNoise * math.Max(r.v, 1)
			e := r.v - (m.resistanceOhm*r.factor+m.cableOhm)*r.a
			uncertain := socNoise + withinRow*math.Abs(r.a)*r.dt/(m.capacityAh*hourS)
			out = append(out, math.Hypot(1, m.slopeAt(e)*uncertain/least))
		}
	}
	return out
}

// slopeAt is dE/ds where the open-circuit voltage is e.
func (m *model) slopeAt(e float64) float64 {
	for i := range len(m.knots) - 1 {
		if e < m.knots[i+1].e {
			return m.knots[i].g
		}
	}
	return m.knots[len(m.knots)-2].g
}

// huberAt is where Huber's ρ turns from a square to a straight line, in standard
// deviations (Huber 1964, Ann. Math. Statist. 35, 73, from memory): single rows
// that are far off, such as a model that is empty a little too early, do not
// decide the fit.
const huberAt = 3

func huber(z float64) float64 {
	if a := math.Abs(z); a > huberAt {
		return huberAt * (a - huberAt/2.)
	}
	return z * z / 2
}

// huberWeight is ρ'(z)/z.
func huberWeight(z float64) float64 {
	if a := math.Abs(z); a > huberAt {
		return huberAt / a
	}
	return 1
}

// spreadOf is the standard deviation of the voltages about the log at x over
// their widths, far ones drawn in, widened by the square root of the time over
// which errors go together: n rows that err together k by k say as much as n/k
// rows.
func (p *problem) spreadOf(x []float64) float64 {
	p.voltages(p.at(x), p.v, p.soc)
	wrong := make([][]float64, 0, len(p.data.stretches))
	var sizes []float64
	volts, i := 0., 0
	for _, rows := range p.data.stretches {
		e := make([]float64, len(rows))
		for k := range rows {
			e[k] = (p.v[i] - rows[k].v) / p.width[i]
			sizes = append(sizes, math.Abs(e[k]))
			volts += rows[k].v
			i++
		}
		wrong = append(wrong, e)
	}
	n := float64(p.data.rows)
	slices.Sort(sizes)
	// The median of the absolute value of a normal error is 0.6745 deviations.
	least := leastNoise * math.Max(volts/n, 1)
	edge := huberAt * math.Max(sizes[len(sizes)/2]/0.6745, least)
	sum := 0.
	for _, e := range wrong {
		for k := range e {
			e[k] = math.Min(edge, math.Max(-edge, e[k]))
			sum += e[k] * e[k]
		}
	}
	sigma := math.Max(math.Sqrt(sum/math.Max(1, n-float64(p.dim()))), least)
	return sigma * math.Sqrt(together(wrong))
}

// together is the integrated autocorrelation time in rows, −1 + 2Σ(ρ(2m) +
// ρ(2m + 1)), summed while a pair is positive (Geyer 1992, Statist. Sci. 7, 473,
// from memory: the initial positive sequence), at least 1.
func together(series [][]float64) float64 {
	var square float64
	n := 0
	for _, e := range series {
		for _, x := range e {
			square += x * x
		}
		n += len(e)
	}
	if square == 0 {
		return 1
	}
	lag := func(k int) float64 {
		sum := 0.
		for _, e := range series {
			for i := k; i < len(e); i++ {
				sum += e[i] * e[i-k]
			}
		}
		return sum / square
	}
	tau := -1.
	for k := 0; k+1 < n/4 && k < 400; k += 2 {
		pair := lag(k) + lag(k+1)
		if pair <= 0 {
			break
		}
		tau += 2 * pair
	}
	return max(1, tau)
}
