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
// not quite that of its mean charge.
const (
	socNoise  = 0.002
	withinRow = 0.05
)

// err is how far a row is off, in standard deviations at least: both the voltage
// and the state of charge of the model err, so that the distance to the curve of
// the open-circuit voltage counts and not that in volts alone, which at the knees
// says more of the slope than of the fit. With the distances d_V = E(s) − E_log in
// volts and d_s = s − E⁻¹(E_log) in state of charge, E_log = V − R·I less the offset of
// a stated hysteresis,
//
//	z = z_V·|z_s| / √(z_V² + z_s²),  z_V = d_V/σ_V,  z_s = d_s/σ_s
//
// which on a straight piece of slope g is d_V/√(σ_V² + g²σ_s²).
func (m *model) err(r *row, x *values, at *state) float64 {
	sigmaV := leastNoise * max(r.v, 1)
	flow := withinRow * r.a * r.dt / (m.capacityAh * hourS)
	sigmaS := math.Sqrt(socNoise*socNoise + flow*flow)
	e := r.v - at.r*(r.a-x.offsetA) - at.h
	soc, beyond := m.nearest(e, at.mean)
	zv, zs := (at.e-at.h-(e-beyond))/sigmaV, (at.mean-soc)/sigmaS
	z := -beyond / sigmaV
	if both := math.Sqrt(zv*zv + zs*zs); both > 0 {
		z += zv * math.Abs(zs) / both
	}
	return z
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

// spreadOf is the standard deviation of the errors at x, far ones drawn in,
// widened by the square root of the time over which they go together: n rows that
// err together k by k say as much as n/k rows. At least 1.
func (p *problem) spreadOf(x []float64) float64 {
	p.errors(x, p.z)
	sizes := make([]float64, len(p.z))
	for i, z := range p.z {
		sizes[i] = math.Abs(z)
	}
	slices.Sort(sizes)
	// The median of the absolute value of a normal error is 0.6745 deviations.
	edge := huberAt * math.Max(sizes[len(sizes)/2]/0.6745, 1)
	wrong := make([][]float64, 0, len(p.data.stretches))
	sum, i := 0., 0
	for _, rows := range p.data.stretches {
		e := make([]float64, len(rows))
		for k := range e {
			e[k] = math.Min(edge, math.Max(-edge, p.z[i]))
			sum += e[k] * e[k]
			i++
		}
		wrong = append(wrong, e)
	}
	sigma := math.Max(math.Sqrt(sum/math.Max(1, float64(p.data.rows-p.dim()))), 1)
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
