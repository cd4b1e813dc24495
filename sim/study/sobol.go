package study

import (
	"math/bits"
	"math/rand/v2"
)

// mostDimensions is how many dimensions the sequence has here.
const mostDimensions = len(directions) + 1

const sobolBits = 32

// sobol is a Sobol sequence (Sobol' 1967) with the direction numbers of Joe &
// Kuo 2008 in the Gray-code order of Antonov & Saleev 1979. A seed moves it by a
// random digital shift, which keeps how evenly it fills the cube and makes every
// point uniform in it (L'Ecuyer & Lemieux 2002).
type sobol struct {
	columns [][sobolBits]uint32 // by dimension, the direction number of each bit
	shift   []uint32
}

// newSobol is the sequence in so many dimensions, 1 to mostDimensions, shifted
// by seed.
func newSobol(dimensions int, seed uint64) *sobol {
	s := &sobol{columns: make([][sobolBits]uint32, dimensions), shift: make([]uint32, dimensions)}
	draw := rand.New(rand.NewPCG(seed, 0x736f626f6c))
	for d := range s.columns {
		s.columns[d] = directionNumbers(d)
		s.shift[d] = draw.Uint32()
	}
	return s
}

// directionNumbers are v_1…v_32 of a dimension as binary fractions:
// v_i = m_i / 2^i, the first m given, the others by
// m_i = 2 a_1 m_{i−1} ⊕ 4 a_2 m_{i−2} ⊕ … ⊕ 2^s m_{i−s} ⊕ m_{i−s}.
func directionNumbers(dimension int) (v [sobolBits]uint32) {
	if dimension == 0 {
		for i := range v {
			v[i] = 1 << (sobolBits - 1 - i)
		}
		return v
	}
	d := directions[dimension-1]
	degree := len(d.first)
	for i, m := range d.first {
		v[i] = m << (sobolBits - 1 - i)
	}
	for i := degree; i < sobolBits; i++ {
		v[i] = v[i-degree] ^ v[i-degree]>>degree
		for k := 1; k < degree; k++ {
			if d.inner>>(degree-1-k)&1 == 1 {
				v[i] ^= v[i-k]
			}
		}
	}
	return v
}

// point writes point i of the sequence, each coordinate in [0, 1), to x, one a
// dimension.
func (s *sobol) point(i uint32, x []float64) {
	gray := i ^ i>>1
	for d := range x {
		sum := s.shift[d]
		for g := gray; g != 0; g &= g - 1 {
			sum ^= s.columns[d][bits.TrailingZeros32(g)]
		}
		x[d] = float64(sum) / (1 << sobolBits)
	}
}
