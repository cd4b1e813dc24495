package study

import (
	"math/rand/v2"
	"slices"
)

// bootstraps is the number of resamples behind an interval of an index.
const bootstraps = 400

// sensitivities estimates the variance-based indices of k inputs from rows of
// k + 2 values of f, one row a base sample: f(A), f(B), f(A with input i from B).
//
//	S_i  = 1/N Σ f(B)(f(AB_i) − f(A)) / V     Saltelli et al. 2010, table 2 (b)
//	ST_i = 1/2N Σ (f(A) − f(AB_i))² / V       Jansen 1999, the same table (f)
//
// V is the variance of all f(A) and f(B). Their mean is subtracted from f first,
// which changes no expectation and takes most of the scatter out of S_i.
// Saltelli, Annoni, Azzini, Campolongo, Ratto & Tarantola 2010, Computer Physics
// Communications 181, 259.
func sensitivities(f []float64, k int, confidence float64, seed uint64) []Sensitivity {
	n := len(f) / (k + 2)
	all := make([]int, n)
	for j := range all {
		all[j] = j
	}
	first, total := indices(f, k, all)
	list := make([]Sensitivity, k)
	firsts, totals := make([][]float64, k), make([][]float64, k)
	draw := rand.New(rand.NewPCG(seed, 0x626f6f74))
	for range bootstraps {
		for j := range all {
			all[j] = draw.IntN(n)
		}
		s, t := indices(f, k, all)
		for i := range k {
			firsts[i] = append(firsts[i], s[i])
			totals[i] = append(totals[i], t[i])
		}
	}
	tail := (1 - confidence) / 2
	for i := range list {
		slices.Sort(firsts[i])
		slices.Sort(totals[i])
		list[i] = Sensitivity{
			First: first[i], FirstLow: quantile(firsts[i], tail), FirstHigh: quantile(firsts[i], 1-tail),
			Total: total[i], TotalLow: quantile(totals[i], tail), TotalHigh: quantile(totals[i], 1-tail),
		}
	}
	return list
}

// indices are the first-order and total indices from some of the rows.
func indices(f []float64, k int, rows []int) (first, total []float64) {
	first, total = make([]float64, k), make([]float64, k)
	n := float64(len(rows))
	var mean float64
	for _, j := range rows {
		mean += f[j*(k+2)] + f[j*(k+2)+1]
	}
	mean /= 2 * n
	var variance float64
	for _, j := range rows {
		row := f[j*(k+2) : (j+1)*(k+2)]
		a, b := row[0]-mean, row[1]-mean
		variance += a*a + b*b
		for i := range k {
			change := row[i+2] - row[0]
			first[i] += b * change
			total[i] += change * change / 2
		}
	}
	variance /= 2
	for i := range k {
		if variance == 0 {
			first[i], total[i] = 0, 0
			continue
		}
		first[i] /= variance
		total[i] /= variance
	}
	return first, total
}
