package backtest

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// line is a straight line through points with the halves of its 95 % intervals.
type line struct{ slope, at0, slopeHalf, at0Half float64 }

// fitLine is least squares of y on x (gonum's). The intervals take errors that go
// together (an integrated autocorrelation time of τ rows) as n/τ rows, with
// Student's t. ok is false where x does not change or too few rows are left.
func fitLine(x, y []float64) (l line, ok bool) {
	n := float64(len(x))
	if n < 4 {
		return l, false
	}
	middle := stat.Mean(x, nil)
	spread := 0.
	for _, v := range x {
		spread += (v - middle) * (v - middle)
	}
	if spread <= 1e-9*n*math.Max(1, middle*middle) {
		return l, false
	}
	l.at0, l.slope = stat.LinearRegression(x, y, nil, false)
	wrong := make([]float64, len(x))
	sum := 0.
	for i := range x {
		wrong[i] = y[i] - l.at0 - l.slope*x[i]
		sum += wrong[i] * wrong[i]
	}
	tau := together([][]float64{wrong})
	free := n/tau - 2
	if free < 1 {
		return l, false
	}
	variance := sum / (n - 2) * tau
	t := distuv.StudentsT{Sigma: 1, Nu: free}.Quantile(0.975)
	l.slopeHalf = t * math.Sqrt(variance/spread)
	l.at0Half = t * math.Sqrt(variance*(1/n+middle*middle/spread))
	return l, true
}

// meanInterval is half the 95 % interval of a mean by Student's t; 0 with a
// single value.
func meanInterval(values []float64) float64 {
	n := float64(len(values))
	if n < 2 {
		return 0
	}
	return distuv.StudentsT{Sigma: 1, Nu: n - 1}.Quantile(0.975) * stat.StdDev(values, nil) / math.Sqrt(n)
}
