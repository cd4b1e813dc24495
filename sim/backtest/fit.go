package backtest

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"

	"bankyear/sim/bank"
)

// What is believed of a value before the log is read: standard deviations about
// the specified value, wide against anything a sound module shows (common
// practice, no source). They keep a value that the log says nothing of where it
// was, with an interval that says so.
const (
	beliefCapacity   = 0.4  // of ln capacity
	beliefResistance = 0.8  // of ln resistance
	beliefOffset     = 0.02 // of the capacity, per hour
	beliefStart      = 0.4  // of the state of charge at the start
	beliefReported   = 0.1  // likewise, about the reported one
)

// leastNoise is the least standard deviation of a voltage that is believed, V a
// cell at 3.2 V: no logger and no model is better than a millivolt a cell.
const leastNoise = 0.0003 // of the voltage

// problem is a least-squares problem: parameters in units of their belief, about
// what was believed.
type problem struct {
	m       *model
	data    *sorted
	which   Fit
	centre  []float64 // starts of the stretches
	spread  float64   // of the starts
	noise   float64   // standard deviation of a row's voltage, widened for rows that err together
	v, soc  []float64
	v0, dif []float64
}

// Fit says which values may move; the state of charge at the start of each
// stretch always does.
type Fit struct{ Capacity, Resistance, Offset bool }

func (f Fit) count() int {
	n := 0
	for _, on := range []bool{f.Capacity, f.Resistance, f.Offset} {
		if on {
			n++
		}
	}
	return n
}

func (p *problem) dim() int { return p.which.count() + len(p.data.stretches) }

// at turns parameters into values.
func (p *problem) at(x []float64) *values {
	out := &values{capacityAh: p.m.capacityAh, resistanceOhm: p.m.resistanceOhm}
	i := 0
	next := func(on bool, set func(z float64)) {
		if on {
			set(x[i])
			i++
		}
	}
	next(p.which.Capacity, func(z float64) { out.capacityAh *= math.Exp(beliefCapacity * bounded(z)) })
	next(p.which.Resistance, func(z float64) { out.resistanceOhm *= math.Exp(beliefResistance * bounded(z)) })
	next(p.which.Offset, func(z float64) { out.offsetA = beliefOffset * p.m.capacityAh * bounded(z) })
	for k := range p.data.stretches {
		out.start = append(out.start, clamp(p.centre[k]+p.spread*x[i+k]))
	}
	return out
}

// bounded keeps a trial step of the search within five beliefs.
func bounded(z float64) float64 { return math.Min(5, math.Max(-5, z)) }

// voltages runs the model over all stretches.
func (p *problem) voltages(x *values, v, soc []float64) {
	at := 0
	for k, rows := range p.data.stretches {
		p.m.run(rows, x, x.start[k], v[at:at+len(rows)], soc[at:at+len(rows)])
		at += len(rows)
	}
}

// misfit is ½Σ((V − V_log)/noise)² + ½Σx².
func (p *problem) misfit(x []float64) float64 {
	p.voltages(p.at(x), p.v, p.soc)
	sum, i := 0., 0
	for _, rows := range p.data.stretches {
		for k := range rows {
			d := (p.v[i] - rows[k].v) / p.noise
			sum += d * d
			i++
		}
	}
	for _, z := range x {
		sum += z * z
	}
	return sum / 2
}

// derivatives are the gradient and the Gauss–Newton matrix JᵀJ + 1 of misfit; J
// by central differences.
func (p *problem) derivatives(x []float64) ([]float64, *mat.SymDense) {
	n, rows := p.dim(), p.data.rows
	p.voltages(p.at(x), p.v0, p.soc)
	columns := make([][]float64, n)
	trial := append([]float64(nil), x...)
	const h = 1e-3
	for j := range n {
		columns[j] = make([]float64, rows)
		trial[j] = x[j] + h
		p.voltages(p.at(trial), columns[j], p.soc)
		trial[j] = x[j] - h
		p.voltages(p.at(trial), p.dif, p.soc)
		trial[j] = x[j]
		for i := range rows {
			columns[j][i] = (columns[j][i] - p.dif[i]) / (2 * h * p.noise)
		}
	}
	gradient, hessian := make([]float64, n), mat.NewSymDense(n, nil)
	for j := range n {
		gradient[j] = x[j]
		i := 0
		for _, stretch := range p.data.stretches {
			for k := range stretch {
				gradient[j] += columns[j][i] * (p.v0[i] - stretch[k].v) / p.noise
				i++
			}
		}
		for k := range j + 1 {
			sum := 0.
			for i := range rows {
				sum += columns[j][i] * columns[k][i]
			}
			if j == k {
				sum++
			}
			hessian.SetSym(j, k, sum)
		}
	}
	return gradient, hessian
}

// minimize goes down from x with Newton's method on the Gauss–Newton matrix
// (gonum's, with its line search), and polishes with the simplex of Nelder & Mead
// where a kink of the model stopped it.
func (p *problem) minimize(x []float64) []float64 {
	var gradient []float64
	var hessian *mat.SymDense
	var where []float64
	derive := func(at []float64) {
		if where == nil || !equal(where, at) {
			where = append(where[:0], at...)
			gradient, hessian = p.derivatives(at)
		}
	}
	search := optimize.Problem{
		Func: p.misfit,
		Grad: func(grad, at []float64) { derive(at); copy(grad, gradient) },
		Hess: func(h *mat.SymDense, at []float64) { derive(at); h.CopySym(hessian) },
	}
	settings := &optimize.Settings{MajorIterations: 30, FuncEvaluations: 300, Converger: &optimize.FunctionConverge{Absolute: 1e-6, Relative: 1e-9, Iterations: 3}}
	best := append([]float64(nil), x...)
	result, err := optimize.Minimize(search, x, settings, &optimize.Newton{})
	if result != nil && p.misfit(result.X) < p.misfit(best) {
		best = append(best[:0], result.X...)
	}
	if err != nil && !errors.Is(err, optimize.ErrNoProgress) || result != nil && result.Status == optimize.Failure {
		simplex := optimize.Problem{Func: p.misfit}
		limited := &optimize.Settings{FuncEvaluations: 120 * p.dim(), Converger: settings.Converger}
		if result, _ := optimize.Minimize(simplex, best, limited, &optimize.NelderMead{SimplexSize: 0.02}); result != nil && p.misfit(result.X) < p.misfit(best) {
			best = append(best[:0], result.X...)
		}
	}
	return best
}

func equal(a, b []float64) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// solve finds the values that follow the log best, and their covariance in units
// of belief.
func solve(s *bank.Spec, data *sorted, which Fit) (p *problem, x []float64, covariance *mat.SymDense) {
	p = &problem{m: newModel(s), data: data, which: which, spread: beliefStart}
	for _, buffer := range []*[]float64{&p.v, &p.soc, &p.v0, &p.dif} {
		*buffer = make([]float64, data.rows)
	}
	reported := true
	for _, rows := range data.stretches {
		p.m.prepare(rows)
		if math.IsNaN(rows[0].soc) {
			reported = false
		}
		p.centre = append(p.centre, 0.5)
	}
	if reported {
		p.spread = beliefReported
		for k, rows := range data.stretches {
			p.centre[k] = rows[0].soc
		}
	}
	x = p.begin()
	// The noise is not known beforehand: that of the best start, then that of the
	// fit, widened by the time over which its errors go together.
	for range 3 {
		p.noise = p.spreadOf(x)
		x = p.minimize(x)
	}
	p.noise = p.spreadOf(x)
	_, hessian := p.derivatives(x)
	covariance = mat.NewSymDense(p.dim(), nil)
	var c mat.Cholesky
	if !c.Factorize(hessian) { // it has at least the unit matrix in it
		panic("backtest: the normal matrix is not positive definite")
	}
	if err := c.InverseTo(covariance); err != nil {
		panic("backtest: " + err.Error())
	}
	return p, x, covariance
}
