package study

import (
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"
	"gonum.org/v1/gonum/stat/sampleuv"
)

// hypercube is a Latin hypercube (McKay, Beckman & Conover 1979): by dimension,
// a column of so many samples in [0, 1), one in each of as many equal parts, in
// an order of its own.
func hypercube(dimensions, samples int, seed uint64) [][]float64 {
	columns := make([][]float64, dimensions)
	for d := range columns {
		columns[d] = make([]float64, samples)
		sampleuv.LatinHypercube{Q: distuv.UnitUniform, Src: rand.NewPCG(seed, 0x6c6174696e+uint64(d))}.Sample(columns[d])
	}
	return columns
}
