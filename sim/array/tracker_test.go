package array

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A tracker at a tilt passes diffuse light as a fixed plane of that tilt does.
func TestTurnTo(t *testing.T) {
	tracked := roof()
	tracked.Tracker = &Tracker{}
	c := tracked.Converter()
	for _, tilt := range []float64{0, 12.5, 30, 60.2, 90} {
		fixed := roof()
		fixed.TiltDeg = tilt
		want := fixed.Converter()
		c.TurnTo(tilt)
		assert.InEpsilon(t, want.PowerW(0, 300, 0, 0, 10, 1, 6), c.PowerW(0, 300, 0, 0, 10, 1, 6), 1e-5, "sky at %g°", tilt)
		if tilt > 0 { // a flat plane sees no ground, and glass passes none of it
			assert.InEpsilon(t, want.PowerW(0, 0, 300, 0, 10, 1, 6), c.PowerW(0, 0, 300, 0, 10, 1, 6), 1e-3, "ground at %g°", tilt)
		}
	}
	fixed := roof().Converter()
	assert.Panics(t, func() { fixed.TurnTo(30) })
}
