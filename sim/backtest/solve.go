package backtest

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"bankyear/sim/bank"
)

// solve finds the values that follow the log best, and their covariance in units
// of belief.
func solve(s *bank.Spec, data *sorted, which Fit) (p *problem, x []float64, covariance *mat.SymDense) {
	p = &problem{m: newModel(s), data: data, which: which, spread: beliefStart}
	p.states, p.z = make([]state, data.rows), make([]float64, data.rows)
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
