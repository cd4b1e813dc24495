package bank_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bankyear/sim/bank"
)

// Peukert's law computed elsewhere: 100 Ah at 5 A, n 1.17.
func TestPeukert(t *testing.T) {
	for _, row := range [][2]float64{{5, 100}, {10, 88.88}, {20, 79.00}, {50, 67.61}} {
		assert.InDelta(t, row[1], bank.PeukertAh(100, 5, 1.17, row[0]), .005, "%g A", row[0])
	}
	// the same law by hours: at 10 A it lasts 8.888 h
	assert.InDelta(t, 88.88, bank.PeukertAtHours(100, 20, 1.17, 8.888), .005)
}

// The capacities of Manwell & McGowan's equations for c .4, k 1/h, 100 Ah give
// back c, k and Q.
func TestFitOfThreeRatings(t *testing.T) {
	b, ok := bank.FitTwoWell([3][2]float64{{5, 77.0429}, {10, 86.9570}, {20, 93.0233}})
	require.True(t, ok)
	assert.InDelta(t, .4, b.AvailableFraction, 1e-3)
	assert.InDelta(t, 1, b.RatePerS*3600, 1e-3)
	assert.InDelta(t, 100, b.CapacityAs/3600, 1e-3)
}

func TestFitGivesTheRatings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Float64Range(1.05, 1.3).Draw(t, "Peukert's n")
		ah := rapid.Float64Range(20, 2000).Draw(t, "Ah")
		ratings := [3][2]float64{}
		for i, hours := range []float64{5, 10, 20} {
			ratings[i] = [2]float64{hours, bank.PeukertAtHours(ah, 20, n, hours)}
		}
		b, ok := bank.FitTwoWell(ratings)
		if !ok {
			t.Fatalf("no fit of %v", ratings)
		}
		for _, r := range ratings {
			if got := b.DeliveredAs(r[0]*3600) / 3600; math.Abs(got-r[1]) > 1e-8*r[1] {
				t.Fatalf("%g h: %g Ah, want %g", r[0], got, r[1])
			}
		}
	})
}

func TestFitRefuses(t *testing.T) {
	for name, ratings := range map[string][3][2]float64{
		"capacity falls with time":  {{5, 90}, {10, 80}, {20, 95}},
		"hours fall":                {{10, 80}, {5, 90}, {20, 95}},
		"no time":                   {{0, 80}, {5, 90}, {20, 95}},
		"bends the wrong way":       {{5, 60}, {10, 61}, {20, 95}},
		"bends more than two wells": {{5, 60}, {10, 94}, {20, 95}},
		"not a number":              {{5, math.NaN()}, {10, 94}, {20, 95}},
	} {
		_, ok := bank.FitTwoWell(ratings)
		assert.False(t, ok, name)
	}
}
