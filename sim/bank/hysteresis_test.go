package bank_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"bankyear/sim/bank"
)

// About 20 mV a cell between the branches (Safari & Delacourt 2011, J.
// Electrochem. Soc. 158, A562), each reached after charge or discharge has gone
// on long enough.
func TestHysteresisBranches(t *testing.T) {
	h := bank.LFPHysteresis(16, 100*3600)
	up, down := h.After(0, 50*3600), h.After(1, -50*3600)
	assert.InDelta(t, 1, up, 1e-6)
	assert.InDelta(t, -1, down, 1e-6)
	assert.InDelta(t, 16*.02, h.OffsetV(up)-h.OffsetV(down), 1e-6)
	assert.InDelta(t, 1-2*math.Exp(-1), h.After(-1, 3*3600), 1e-12, "63 %% of the way after 3 %% of the capacity")
	assert.Equal(t, .4, h.After(.4, 0), "rest leaves it: it follows charge, not time")
}

// Any division of a charge gives the same state, between the branches.
func TestHysteresisSplits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := bank.LFPHysteresis(16, 100*3600)
		from := rapid.Float64Range(-1, 1).Draw(t, "state")
		q := rapid.Float64Range(-1e5, 1e5).Draw(t, "As")
		part := q * rapid.Float64Range(0, 1).Draw(t, "part")
		whole, split := h.After(from, q), h.After(h.After(from, part), q-part)
		if math.Abs(whole-split) > 1e-12 || math.Abs(whole) > 1 {
			t.Fatalf("%g, in two parts %g", whole, split)
		}
	})
}
