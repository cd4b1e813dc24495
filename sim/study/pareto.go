package study

import "slices"

// Frontier gives the indices, ascending, of the points that no other point beats:
// none is at most as large in every coordinate and smaller in one (Pareto). Equal
// points are all kept. Points have equal lengths.
func Frontier(points [][]float64) []int {
	order := make([]int, len(points))
	for i := range order {
		order[i] = i
	}
	// In lexicographic order a point is only beaten by one before it.
	slices.SortStableFunc(order, func(a, b int) int { return slices.Compare(points[a], points[b]) })
	var kept []int
	for _, i := range order {
		if !slices.ContainsFunc(kept, func(k int) bool { return beats(points[k], points[i]) }) {
			kept = append(kept, i)
		}
	}
	slices.Sort(kept)
	return kept
}

func beats(a, b []float64) bool {
	less := false
	for i := range a {
		if a[i] > b[i] {
			return false
		}
		less = less || a[i] < b[i]
	}
	return less
}
