package study_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/study"
)

// Points of an independent implementation; see testdata/SOURCES.md.
func TestSobolAgainstIndependentPoints(t *testing.T) {
	file, err := os.Open("testdata/sobol_points.csv")
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 16)
	for _, row := range rows {
		i, err := strconv.ParseUint(row[0], 10, 32)
		require.NoError(t, err)
		require.Len(t, row[1:], study.MostDimensions)
		x := study.SobolPoint(study.MostDimensions, nil, uint32(i))
		for d, text := range row[1:] {
			want, err := strconv.ParseFloat(text, 64)
			require.NoError(t, err)
			require.Equal(t, want, x[d], "point %d, dimension %d", i, d)
		}
	}
}

// Any 2^m successive points from a multiple of 2^m on have one in each of 2^m
// equal parts of every dimension, shifted or not (Sobol' 1967); in the first two
// dimensions, one in each box of area 2^−m whatever its shape (they form a
// (0, 2)-sequence; Niederreiter 1992).
func TestSobolIsEven(t *testing.T) {
	seed := uint64(99)
	const m = 8
	for _, seed := range []*uint64{nil, &seed} {
		for _, start := range []uint32{0, 1 << m, 77 << m} {
			parts := make([]map[int]bool, study.MostDimensions)
			boxes := make([]map[[2]int]bool, m+1)
			for d := range parts {
				parts[d] = map[int]bool{}
			}
			for q := range boxes {
				boxes[q] = map[[2]int]bool{}
			}
			for i := range uint32(1 << m) {
				x := study.SobolPoint(study.MostDimensions, seed, start+i)
				for d := range x {
					parts[d][int(x[d]*(1<<m))] = true
				}
				for q := range boxes {
					boxes[q][[2]int{int(math.Ldexp(x[0], q)), int(math.Ldexp(x[1], m-q))}] = true
				}
			}
			for d := range parts {
				assert.Len(t, parts[d], 1<<m, "dimension %d", d)
			}
			for q := range boxes {
				assert.Len(t, boxes[q], 1<<m, "boxes of 2^-%d by 2^-%d", q, m-q)
			}
		}
	}
}

// A Latin hypercube has one sample in each of n equal parts of every dimension
// (McKay, Beckman & Conover 1979), and is another with another seed.
func TestHypercubeIsEven(t *testing.T) {
	const n = 100
	columns := study.Hypercube(5, n, 3)
	for _, column := range columns {
		seen := map[int]bool{}
		for _, x := range column {
			seen[int(x*n)] = true
		}
		assert.Len(t, seen, n)
	}
	assert.NotEqual(t, columns[0], columns[1])
	assert.Equal(t, columns, study.Hypercube(5, n, 3))
	assert.NotEqual(t, columns, study.Hypercube(5, n, 4))
}
