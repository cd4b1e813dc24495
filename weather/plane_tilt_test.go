package weather

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A lone row about a north-south axis has the tilt of the sun's projection on
// the east-west plane, tan β = |east|/up (geometry), up to its stop; it lies
// flat at night.
func TestTracker_TiltsDeg(t *testing.T) {
	sun := clearTucson().Sun()
	steep := 0
	for i, tilt := range (&Tracker{MaxTiltDeg: 50}).TiltsDeg(sun) {
		want := 0.0
		if sun.CosZenith[i] > 0 {
			want = min(50, math.Atan2(math.Abs(sun.East[i]), sun.CosZenith[i])/radian)
		}
		if want == 50 {
			steep++
		}
		assert.InDelta(t, want, tilt, 1e-6)
	}
	assert.Greater(t, steep, 500, "the stop is met morning and evening")
}
