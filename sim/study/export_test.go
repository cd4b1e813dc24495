package study

// What the tests check against published values.
var (
	Quantile      = quantile
	OrderInterval = orderInterval
	ClusterRatio  = clusterRatio
	LeastMembers  = leastMembers
	Indices       = sensitivities
	NewShare      = newShare
	Hypercube     = hypercube
	CoarseToFine  = coarseToFine
)

// Coverage is the probability that the p-quantile lies between two ranks.
func Coverage(l, u, n int, ratio, p float64) float64 {
	return 1 - above(l, n, ratio, p) - below(u, n, ratio, p)
}

// SobolPoint is point i of the sequence without a shift, or shifted by a seed.
func SobolPoint(dimensions int, seed *uint64, i uint32) []float64 {
	s := newSobol(dimensions, 0)
	if seed != nil {
		s = newSobol(dimensions, *seed)
	} else {
		clear(s.shift)
	}
	x := make([]float64, dimensions)
	s.point(i, x)
	return x
}

// MostDimensions of a Sobol sequence.
const MostDimensions = mostDimensions
