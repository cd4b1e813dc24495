package bank_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/bank"
)

// The default module's curve: 10,000 cycles at .5 depth, 6,000 at .8, 4,000 at
// 1.0 (common practice, no source), straight in the logarithms.
func TestCyclesAt(t *testing.T) {
	table := [][2]float64{{.5, 10000}, {.8, 6000}, {1, 4000}}
	for _, p := range table {
		assert.InEpsilon(t, p[1], bank.CyclesAt(table, p[0]), 1e-12)
	}
	assert.InEpsilon(t, math.Sqrt(10000*6000), bank.CyclesAt(table, math.Sqrt(.5*.8)), 1e-12)
	assert.InEpsilon(t, math.Sqrt(6000*4000), bank.CyclesAt(table, math.Sqrt(.8)), 1e-12)
	// beyond the ends the nearest piece goes on: from .5 down by the ratio of .8 to .5
	assert.InEpsilon(t, 10000*10000/6000., bank.CyclesAt(table, .5*.5/.8), 1e-12)
}

func TestCyclesOfOnePoint(t *testing.T) {
	table := [][2]float64{{.8, 6000}}
	for _, depth := range []float64{.01, .4, .8, 1} {
		assert.InEpsilon(t, .8*6000, bank.CyclesAt(table, depth)*depth, 1e-12, "the same throughput")
	}
}
