package inverter

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// sixKW holds typical values of a 6 kW inverter-charger (common practice, no
// source).
func sixKW() *Spec {
	return &Spec{
		RatedW: 6000, IdleFraction: .007, LinearFraction: .010, QuadraticFraction: .045,
		Short:        [][2]float64{{7000, 1800}, {9000, 60}, {12000, 5}},
		DerateAboveC: 40, DerateFractionPC: -.01, AltitudeFreeM: 1500, AltitudeFractionPer100M: -.01,
		MinV: 42, MaxV: 64,
	}
}

// published is the loss curve p0 .0185, k1 .0393, k2 .0562, seen in secondary
// copies of Schmidt & Sauer 1996, Sonnenenergie 4 (form from memory).
func published() *Spec {
	return &Spec{RatedW: 5000, IdleFraction: .0185, LinearFraction: .0393, QuadraticFraction: .0562}
}

func efficiency(s *Spec, x float64) float64 { return x * s.RatedW / s.DCPowerW(x*s.RatedW) }

func TestEfficiency(t *testing.T) {
	for _, row := range []struct {
		name string
		spec *Spec
		x    float64
		want float64
		tol  float64
	}{
		{"published .05", published(), .05, .7082, 5e-5},
		{"published .1", published(), .1, .8131, 5e-5},
		{"published .2", published(), .2, .8749, 5e-5},
		{"published .3", published(), .3, .8946, 5e-5},
		{"published .5", published(), .5, .9055, 5e-5},
		{"published .75", published(), .75, .9041, 5e-5},
		{"published 1", published(), 1, .8977, 5e-5},
		// Common practice for a 48 V inverter-charger of this size, no source.
		{"six .1", sixKW(), .1, .92, 5e-3},
		{"six .5", sixKW(), .5, .956, 5e-4},
		{"six 1", sixKW(), 1, .942, 5e-4},
	} {
		t.Run(row.name, func(t *testing.T) {
			assert.InDelta(t, row.want, efficiency(row.spec, row.x), row.tol)
		})
	}
}

// European weighting: .03 .06 .13 .10 .48 .20 at 5 10 20 30 50 100 % of the
// rating (weights as published for grid inverters; from memory).
func TestEfficiency_EuropeanWeighting(t *testing.T) {
	s := published()
	sum := .03*efficiency(s, .05) + .06*efficiency(s, .1) + .13*efficiency(s, .2) +
		.10*efficiency(s, .3) + .48*efficiency(s, .5) + .20*efficiency(s, 1)
	assert.InDelta(t, .8874, sum, 5e-5)
}

// The curve's efficiency peaks at x = √(p0/k2).
func TestEfficiency_Peak(t *testing.T) {
	s := published()
	best, at := 0.0, 0.0
	for x := .001; x <= 1; x += .0001 {
		if e := efficiency(s, x); e > best {
			best, at = e, x
		}
	}
	assert.InDelta(t, .90597, best, 5e-6)
	assert.InDelta(t, .5737, at, 5e-4)
}

func TestLossW_Idle(t *testing.T) {
	assert.InDelta(t, 42, sixKW().LossW(0), 1e-9)
}

func TestACPowerW(t *testing.T) {
	assert.Zero(t, sixKW().ACPowerW(42))
	assert.Zero(t, sixKW().ACPowerW(10))
	rapid.Check(t, func(t *rapid.T) {
		s := &Spec{
			RatedW:            rapid.Float64Range(100, 1e5).Draw(t, "rated"),
			IdleFraction:      rapid.Float64Range(0, .2).Draw(t, "p0"),
			LinearFraction:    rapid.Float64Range(0, .2).Draw(t, "k1"),
			QuadraticFraction: rapid.Float64Range(0, .2).Draw(t, "k2"),
		}
		ac := s.RatedW * rapid.Float64Range(0, 3).Draw(t, "x")
		if got := s.ACPowerW(s.DCPowerW(ac)); math.Abs(got-ac) > 1e-9*s.RatedW {
			t.Fatalf("ACPowerW(DCPowerW(%g)) = %g", ac, got)
		}
	})
}

// Conservation: what comes out is never more than what goes in, and every
// watt more of AC takes more than a watt of DC.
func TestDCPowerW_LossNeverNegative(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sixKW()
		a := rapid.Float64Range(0, 12000).Draw(t, "a")
		b := rapid.Float64Range(0, 12000).Draw(t, "b")
		if a > b {
			a, b = b, a
		}
		if s.DCPowerW(b)-s.DCPowerW(a) < b-a-1e-9 {
			t.Fatalf("from %g to %g W the DC power grows by less", a, b)
		}
	})
}

func BenchmarkDCPowerW(b *testing.B) {
	s := sixKW()
	sum := 0.0
	for b.Loop() {
		for i := range 8760 {
			sum += s.DCPowerW(float64(i % 6000))
		}
	}
	_ = sum
}
