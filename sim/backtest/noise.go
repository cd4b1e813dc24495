package backtest

import "math"

// spreadOf is the standard deviation of the voltages about the log at x, widened
// by the square root of the time over which errors go together: n rows that err
// together k by k say as much as n/k rows.
func (p *problem) spreadOf(x []float64) float64 {
	p.voltages(p.at(x), p.v, p.soc)
	wrong := make([][]float64, 0, len(p.data.stretches))
	sum, volts, i := 0., 0., 0
	for _, rows := range p.data.stretches {
		e := make([]float64, len(rows))
		for k := range rows {
			e[k] = p.v[i] - rows[k].v
			sum += e[k] * e[k]
			volts += rows[k].v
			i++
		}
		wrong = append(wrong, e)
	}
	n := float64(p.data.rows)
	sigma := math.Max(math.Sqrt(sum/math.Max(1, n-float64(p.dim()))), leastNoise*volts/n)
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
