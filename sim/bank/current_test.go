package bank_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"bankyear/sim/bank"
)

// By hand: 51.2 V behind 10 mΩ. 1000 W of charge: 0.01·I² + 51.2·I = 1000.
func TestCurrentByHand(t *testing.T) {
	i, _, ok := bank.CurrentA(51.2, 0.01, 1000, 0)
	assert.True(t, ok)
	assert.InDelta(t, (-51.2+math.Sqrt(51.2*51.2+40))/0.02, i, 1e-9)
	i, _, ok = bank.CurrentA(51.2, 0.01, 0, 20)
	assert.True(t, ok)
	assert.InDelta(t, 20, i, 1e-12, "a current alone flows as it is")
	i, _, ok = bank.CurrentA(50, 0.5, -50*50/(4*0.5), 0)
	assert.True(t, ok, "the most that it can carry, E²/4R")
	assert.InDelta(t, -50, i, 1e-9, "at half the voltage")
	_, _, ok = bank.CurrentA(50, 0.5, -50*50/(4*0.5)-1e-6, 0)
	assert.False(t, ok, "one more and the voltage collapses")
}

// The current solves (E + I·R)·I = P + (E + I·R)·I_s, with the terminal voltage
// on the upper branch, V ≥ E/2 without a current source.
func TestCurrentSolvesTheBus(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := rapid.Float64Range(10, 800).Draw(t, "E")
		r := rapid.Float64Range(1e-5, 0.5).Draw(t, "R")
		p := rapid.Float64Range(-e*e/(4*r)*(1-1e-9), 1e5).Draw(t, "P") // at the limit itself rounding decides
		s := rapid.Float64Range(0, 500).Draw(t, "I_s")
		i, root, ok := bank.CurrentA(e, r, p, s)
		if !ok {
			t.Fatalf("no current for a power within E²/4R")
		}
		v := e + i*r
		left, right := v*i, p+v*s
		if scale := math.Abs(v*i) + math.Abs(p) + v*s; math.Abs(left-right) > 1e-9*scale {
			t.Fatalf("bus does not balance: %g and %g", left, right)
		}
		if slope := e + r*(2*i-s); math.Abs(root-slope) > 1e-6*e {
			t.Fatalf("the root is %g, E + R(2I − I_s) is %g", root, slope)
		}
		if s == 0 && v < e/2-1e-9*e {
			t.Fatalf("on the collapsed branch: %g V of %g", v, e)
		}
	})
}

// The time along a way on which the rate falls or rises in a straight line is
// its length over the logarithmic mean, (b − a)/ln(b/a); the way after a time
// is a·t·Growth(k·t) with rate(t) = a·e^(k·t).
func TestLogMeanAndGrowth(t *testing.T) {
	assert.Equal(t, 7., bank.LogMean(7, 7))
	assert.InDelta(t, 9/math.Log(10), bank.LogMean(1, 10), 1e-14)
	assert.InDelta(t, -9/math.Log(10), bank.LogMean(-10, -1), 1e-14)
	assert.Equal(t, 1., bank.Growth(0))
	assert.InDelta(t, math.E-1, bank.Growth(1), 1e-15)
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(1e-3, 1e3).Draw(t, "a")
		ratio := math.Exp(rapid.Float64Range(-3, 3).Draw(t, "ln of b/a"))
		b := a * ratio
		if got, want := bank.LogMean(a, b), a*(math.Expm1(math.Log(ratio)))/math.Log(ratio); ratio != 1 && math.Abs(got-want) > 1e-11*want {
			t.Fatalf("log mean of %g and %g: %.15g, want %.15g", a, b, got, want)
		}
		z := math.Log(ratio)
		if z != 0 {
			if got, want := bank.Growth(z), math.Expm1(z)/z; math.Abs(got-want) > 1e-11*want {
				t.Fatalf("growth of %g: %.15g, want %.15g", z, got, want)
			}
		}
		// one undoes the other: the way covered in the time that the way takes
		k := rapid.Float64Range(1e-6, 1e-3).Draw(t, "slope of the rate along the way")
		way := (b - a) / k
		if way == 0 {
			return
		}
		time := way / bank.LogMean(a, b)
		if got := a * time * bank.Growth(k*time); math.Abs(got-way) > 1e-9*math.Abs(way)+1e-9*a {
			t.Fatalf("way %g comes back as %g", way, got)
		}
	})
}
