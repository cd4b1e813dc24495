package study

import (
	"cmp"
	"slices"
)

// coarseToFine orders the points of a grid as a bisection along every axis would
// ask for them: the corners, then the halves, then the quarters. If more of an
// axis makes a year better, the border of what meets the limits shows early and
// sharpens; nothing is left out, because it need not.
func coarseToFine(levels [][]Value, points int) []int {
	depths := make([][]int, len(levels))
	for i, l := range levels {
		depths[i] = bisectionDepths(len(l))
	}
	order, depth := make([]int, points), make([][2]int, points)
	for point := range order {
		order[point] = point
		rest := point
		for i := len(levels) - 1; i >= 0; i-- {
			d := depths[i][rest%len(levels[i])]
			rest /= len(levels[i])
			depth[point][0] = max(depth[point][0], d)
			depth[point][1] += d
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(depth[a][0], depth[b][0]), cmp.Compare(depth[a][1], depth[b][1]))
	})
	return order
}

// bisectionDepths says of each of n levels after how many halvings a bisection
// between the first and the last comes to it.
func bisectionDepths(n int) []int {
	depth := make([]int, n)
	var halve func(lo, hi, d int)
	halve = func(lo, hi, d int) {
		if hi-lo < 2 {
			return
		}
		middle := (lo + hi) / 2
		depth[middle] = d
		halve(lo, middle, d+1)
		halve(middle, hi, d+1)
	}
	halve(0, n-1, 1)
	return depth
}
