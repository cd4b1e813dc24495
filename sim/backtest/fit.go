package backtest

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
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

// problem is a least-squares problem: parameters in units of their belief, about
// what was believed.
type problem struct {
	m      *model
	data   *sorted
	which  Fit
	centre []float64 // starts of the stretches
	spread float64   // of the starts
	noise  float64   // by how much rows err more than at least, widened for rows that err together
	states []state
	z      []float64
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

// drive runs the model over all stretches.
func (p *problem) drive(x *values) {
	at := 0
	for k, rows := range p.data.stretches {
		p.m.run(rows, x, x.start[k], p.states[at:at+len(rows)])
		at += len(rows)
	}
}

// errors are the rows' errors at x, in units of the least that is believed, see
// err.
func (p *problem) errors(x []float64, z []float64) {
	vals := p.at(x)
	p.drive(vals)
	i := 0
	for _, rows := range p.data.stretches {
		for k := range rows {
			z[i] = p.m.err(&rows[k], vals, &p.states[i])
			i++
		}
	}
}

// misfit is Σρ(z/noise) + ½Σx² with Huber's ρ.
func (p *problem) misfit(x []float64) float64 {
	p.errors(x, p.z)
	sum := 0.
	for _, z := range p.z {
		sum += huber(z / p.noise)
	}
	for _, z := range x {
		sum += z * z / 2
	}
	return sum
}

// derivatives are the gradient and the Gauss–Newton matrix JᵀWJ + 1 of misfit; J
// by central differences, W the weights of Huber's ρ.
func (p *problem) derivatives(x []float64) ([]float64, *mat.SymDense) {
	n, rows := p.dim(), p.data.rows
	columns := make([][]float64, n)
	trial := append([]float64(nil), x...)
	const h = 1e-3
	for j := range n {
		columns[j] = make([]float64, rows)
		trial[j] = x[j] + h
		p.errors(trial, columns[j])
		trial[j] = x[j] - h
		p.errors(trial, p.z)
		trial[j] = x[j]
		for i := range rows {
			columns[j][i] = (columns[j][i] - p.z[i]) / (2 * h * p.noise)
		}
	}
	weight, wrong := make([]float64, rows), make([]float64, rows)
	p.errors(x, p.z)
	for i, z := range p.z {
		weight[i] = huberWeight(z / p.noise)
		wrong[i] = z / p.noise * weight[i]
	}
	gradient, hessian := make([]float64, n), mat.NewSymDense(n, nil)
	for j := range n {
		gradient[j] = x[j]
		for i, z := range wrong {
			gradient[j] += columns[j][i] * z
		}
		for k := range j + 1 {
			sum := 0.
			for i := range rows {
				sum += weight[i] * columns[j][i] * columns[k][i]
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
