package weather

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Against the standard library, whose functions are good to one unit in the
// last place.
func TestSameFunctions_MeetTheStandardLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-600, 600).Draw(t, "x")
		near := func(name string, got, want, tolerance float64) {
			if !(math.Abs(got-want) <= tolerance) {
				t.Fatalf("%s(%v) = %v, want %v", name, x, got, want)
			}
		}
		near("exp", sameExp(x), math.Exp(x), 1e-15*math.Exp(x)+math.SmallestNonzeroFloat64)
		near("sin", sameSin(x), math.Sin(x), 1e-15+1e-16*math.Abs(x))
		near("cos", sameCos(x), math.Cos(x), 1e-15+1e-16*math.Abs(x))
		p := math.Exp(x)
		near("log", sameLog(p), math.Log(p), 1e-15*max(1, math.Abs(x)))
		c := x / 600
		near("acos", sameAcos(c), math.Acos(c), 2e-8)
	})
	assert.Equal(t, 0.0, sameLog(1))
	assert.Equal(t, 1.0, sameExp(0))
	assert.Equal(t, 0.0, sameSin(0))
	assert.Equal(t, 1.0, sameCos(0))
}
