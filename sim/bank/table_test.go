package bank_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/bank"
)

// The linked ceiling of the default module by cell °C, by hand: none below 0,
// steps at 0, 5, 10 and 15, straight lines from 40 to 45 and to 50.
func TestTableWithSteps(t *testing.T) {
	table := [][2]float64{{0, 0}, {0, 10}, {5, 10}, {5, 20}, {10, 20}, {10, 35}, {15, 35}, {15, 50}, {40, 50}, {45, 25}, {50, 0}}
	for _, c := range []struct{ x, at, below float64 }{
		{-30, 0, 0}, {-.001, 0, 0}, {0, 10, 0}, {2.5, 10, 10}, {5, 20, 10}, {7, 20, 20}, {10, 35, 20}, {15, 50, 35},
		{25, 50, 50}, {40, 50, 50}, {42.5, 37.5, 37.5}, {45, 25, 25}, {48, 10, 10}, {50, 0, 0}, {60, 0, 0},
	} {
		assert.InDelta(t, c.at, bank.At(table, c.x), 1e-12, "at %g", c.x)
		assert.InDelta(t, c.below, bank.Below(table, c.x), 1e-12, "just below %g", c.x)
	}
}

func TestTableOfOnePoint(t *testing.T) {
	for _, x := range []float64{-5, 25, 99} {
		assert.Equal(t, 3., bank.At([][2]float64{{25, 3}}, x))
		assert.Equal(t, 3., bank.Below([][2]float64{{25, 3}}, x))
	}
}
