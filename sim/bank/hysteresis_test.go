package bank_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"bankyear/sim/bank"
)

// lfpLoop is that of 16 LFP cells of 100 Ah, in As.
func lfpLoop() bank.Loop {
	m := &bank.Module{CellsInSeries: 16, Hysteresis: &bank.Hysteresis{WidthV: .02, TurnFraction: .03}}
	return m.Loop(100 * 3600)
}

// About 20 mV a cell between the branches (Safari & Delacourt 2011, J.
// Electrochem. Soc. 158, A562), each reached after charge or discharge of a turn.
func TestHysteresisBranches(t *testing.T) {
	l := lfpLoop()
	const turn = 3 * 3600.
	up, down := l.After(0, turn), l.After(.1, -turn)
	assert.InDelta(t, 16*.02, up-down, 1e-12)
	assert.InDelta(t, 0, l.After(down, turn/2), 1e-12, "half way after half of the turn")
	assert.InDelta(t, up, l.After(down, turn), 1e-12)
	assert.Equal(t, .1, l.After(.1, 0), "rest leaves it: it follows charge, not time")
	assert.InDelta(t, turn, l.Way(down, 1), 1e-9)
	assert.InDelta(t, -turn, l.Way(up, -1), 1e-9)
	assert.Zero(t, l.Way(up, 1))
	assert.Equal(t, bank.Loop{}, (&bank.Module{CellsInSeries: 16}).Loop(1), "none unless stated")
}

// What makes it the stop operator (Brokate & Sprekels 1996, from memory): any
// division of a charge gives the same offset; two offsets under the same charge
// never part further; and what ∫h dq gains over the kept h²/2k is never negative
// and is the friction ∫|h| dq on the branches.
func TestHysteresisIsTheStopOperator(t *testing.T) {
	l := lfpLoop()
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.Float64Range(-l.HalfV, l.HalfV).Draw(t, "offset")
		other := rapid.Float64Range(-l.HalfV, l.HalfV).Draw(t, "another")
		q := rapid.Float64Range(-1e5, 1e5).Draw(t, "As")
		part := q * rapid.Float64Range(0, 1).Draw(t, "part")
		to := l.After(from, q)
		if split := l.After(l.After(from, part), q-part); math.Abs(to-split) > 1e-12 || math.Abs(to) > l.HalfV {
			t.Fatalf("%g, in two parts %g", to, split)
		}
		if apart := math.Abs(to - l.After(other, q)); apart > math.Abs(from-other)+1e-12 {
			t.Fatalf("%g from %g apart", apart, from-other)
		}
		work, n := 0., 20000
		for i := range n { // ∫h dq by midpoints
			work += l.After(from, q*(float64(i)+.5)/float64(n)) * q / float64(n)
		}
		lost := l.HalfV * max(0, math.Abs(q)-math.Abs(l.Way(from, math.Copysign(1, q))))
		if kept := (to*to - from*from) / (2 * l.Slope); math.Abs(work-kept-lost) > 1e-4*math.Abs(q)*l.HalfV+1e-9 {
			t.Fatalf("work %g, kept %g, lost %g", work, kept, lost)
		}
	})
}

// The table is the mean of both branches; full cells were charged last, all others
// discharged.
func TestHysteresisAroundTheTable(t *testing.T) {
	m := &bank.Module{Chemistry: "lfp", CellsInSeries: 2, Hysteresis: &bank.Hysteresis{WidthV: .02, TurnFraction: .03}}
	up, mean, down := m.BranchV(1), m.OpenCircuitV(), m.BranchV(-1)
	for i := range mean {
		assert.InDelta(t, 2*.02, up[i][1]-down[i][1], 1e-12)
		assert.InDelta(t, mean[i][1], (up[i][1]+down[i][1])/2, 1e-12)
	}
	l := m.Loop(1)
	assert.InDelta(t, .02, l.Begin(1), 1e-12)
	assert.InDelta(t, -.02, l.Begin(.99), 1e-12)
}

// Lead-acid has none, and cells keep a voltage on both branches.
func TestHysteresisCheck(t *testing.T) {
	acid := catalogued(t, "lead_acid_vented_24s_400ah")
	acid.Module.Hysteresis = &bank.Hysteresis{WidthV: .02, TurnFraction: .03}
	assert.Equal(t, []string{"/module/hysteresis"}, pointersOf(acid))
	low := catalogued(t, "lfp_16s_100ah")
	low.Module.Hysteresis = &bank.Hysteresis{WidthV: .2, TurnFraction: .03}
	assert.Empty(t, pointersOf(low))
	low.Module.Chemistry, low.Module.OpenCircuit = "table", [][2]float64{{0, .1}, {.1, 3}, {1, 3.4}}
	assert.Equal(t, []string{"/module/hysteresis/width_v"}, pointersOf(low))
}
