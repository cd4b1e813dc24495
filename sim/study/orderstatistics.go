package study

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// Order statistics hold a percentile between them with a probability that does
// not depend on the distribution: of n independent values, X_(l) is above the
// p-quantile when fewer than l fall below it, a binomial event. With F the
// distribution, F(X_(l)) has the beta distribution (l, n − l + 1); David &
// Nagaraja 2003, Order Statistics, §7.1.
//
// Values in clusters (draws of chance in one weather year) tell less than as
// many independent ones. ratio is the part that they count for, 1 when they are
// independent; it scales both parameters, which keeps the mean of F(X_(l)) and
// widens its spread by the design effect (as Korn & Graubard 1998 do for a
// proportion).

// above is the probability that order statistic l of n lies above the p-quantile.
func above(l, n int, ratio, p float64) float64 { return 1 - below(l, n, ratio, p) }

// below is the probability that order statistic u of n lies at or below it.
func below(u, n int, ratio, p float64) float64 {
	return mathext.RegIncBeta(float64(u)*ratio, float64(n-u+1)*ratio, p)
}

// orderInterval is the ranks, 1 to n, of the closest order statistics that hold
// the p-quantile between them, each side missed with a probability of at most
// tail. A rank is 0 where n values reach no such side.
func orderInterval(n int, ratio, p, tail float64) (l, u int) {
	for r := 1; r <= n && above(r, n, ratio, p) <= tail; r++ {
		l = r
	}
	for r := n; r >= 1 && below(r, n, ratio, p) <= tail; r-- {
		u = r
	}
	return l, u
}

// leastMembers is the smallest number of independent values whose extremes hold
// the p-quantile between them: the larger of n with (1 − p)^n and p^n at most
// tail (Wilks 1941).
func leastMembers(p, tail float64) float64 {
	return math.Ceil(math.Log(tail)/math.Log(max(p, 1-p)) - 1e-9)
}

// clusterRatio is the part of n that values in clusters of equal size count for,
// seen in whether they are at most a limit: 1/(1 + (size − 1)ρ), with the
// correlation ρ inside a cluster by analysis of variance (Kish 1965 for the
// design effect), times (t_{n−1}/t_{clusters−1})² at the tail, because ρ is itself
// an estimate (Korn & Graubard 1998); held to 1/size…1. Clusters that all agree
// say nothing of ρ: they count for one value each.
func clusterRatio(values []float64, size int, limit, tail float64) float64 {
	clusters := len(values) / size
	if size == 1 || clusters < 2 {
		return 1
	}
	var mean float64
	means := make([]float64, clusters)
	for i, x := range values {
		if x <= limit {
			means[i/size] += 1 / float64(size)
			mean += 1 / float64(len(values))
		}
	}
	var between, within float64
	for _, m := range means {
		between += float64(size) * (m - mean) * (m - mean) / float64(clusters-1)
		within += float64(size) * m * (1 - m) / float64(clusters*(size-1))
	}
	if within <= 1e-12 {
		return 1 / float64(size)
	}
	rho := (between - within) / (between + float64(size-1)*within)
	t := student(len(values)-1, tail) / student(clusters-1, tail)
	return min(max(t*t/(1+float64(size-1)*rho), 1/float64(size)), 1)
}

// student is Student's t with so many degrees of freedom, exceeded with
// probability tail.
func student(freedom int, tail float64) float64 {
	return distuv.StudentsT{Sigma: 1, Nu: float64(freedom)}.Quantile(1 - tail)
}
