package bank

import "math"

// CyclesAt is the number of cycles to 80 % capacity at a depth (fraction), from
// a table of depth and cycles: a straight line of the logarithms between its
// points and beyond them along the nearest piece (inverse power of depth, the
// usual form of a maker's curve; common practice, no source). A table of one
// point holds its depth × cycles constant.
func CyclesAt(table [][2]float64, depth float64) float64 {
	n := len(table)
	if n == 1 {
		return table[0][1] * table[0][0] / depth
	}
	i := 0
	for i < n-2 && depth > table[i+1][0] {
		i++
	}
	a, b := table[i], table[i+1]
	slope := math.Log(b[1]/a[1]) / math.Log(b[0]/a[0])
	return a[1] * math.Pow(depth/a[0], slope)
}
