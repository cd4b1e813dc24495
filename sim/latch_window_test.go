package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Trips are counted in a window that slides: three within ten minutes latch, also
// when an older one lies before them (common practice, no source).
func TestTripRun(t *testing.T) {
	var r tripRun
	assert.False(t, r.last(0, 3, 600))
	assert.False(t, r.last(500, 3, 600))
	assert.False(t, r.last(700, 3, 600), "the first is too old")
	assert.True(t, r.last(1000, 3, 600), "500, 700 and 1000")
	assert.False(t, r.last(1001, 3, 600), "begins anew")
	assert.True(t, r.last(1002, 1, 600))
}
