package study

import "math"

// quantile is the p-quantile of values in ascending order, linear between the
// order statistics around (n − 1)p + 1: definition 7 of Hyndman & Fan 1996, The
// American Statistician 50, 361, which spreadsheets use. It panics on none.
func quantile(sorted []float64, p float64) float64 {
	at := p * float64(len(sorted)-1)
	i := min(int(at), len(sorted)-1)
	if i+1 == len(sorted) {
		return sorted[i]
	}
	return sorted[i] + (at-math.Floor(at))*(sorted[i+1]-sorted[i])
}
