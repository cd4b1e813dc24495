package inverter

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Units in parallel share the load evenly: three at 3x W lose three times what
// one loses at x W, and bear three times as much for as long.
func TestTogether(t *testing.T) {
	one := sixKW()
	one.Units, one.ChargerA, one.OffDrawW, one.SearchDrawW, one.SearchBelowW = 3, 100, 8, 12, 20
	all := one.Together()
	for _, w := range []float64{0, 10, 20, 500, 3000, 6000, 9000} {
		assert.InDelta(t, 3*one.LossW(w), all.LossW(3*w), 1e-9, "%g W", w)
		assert.Equal(t, one.AllowedS(w), all.AllowedS(3*w), "%g W", w)
	}
	assert.Equal(t, 300.0, all.ChargerA)
	assert.Equal(t, 24.0, all.OffDrawW)
	assert.Equal(t, all, all.Together())
	assert.Equal(t, [2]float64{7000, 1800}, one.Short[0], "the units stay what they are")
}

// In search mode the draw is that of looking for load, not the idle loss.
func TestSearch(t *testing.T) {
	s := sixKW()
	s.SearchDrawW, s.SearchBelowW = 12, 20
	assert.InDelta(t, 12, s.DCPowerW(0), 1e-12)
	assert.InDelta(t, 31, s.DCPowerW(19), 1e-12)
	assert.InDelta(t, 42+20*1.01+20*20*.045/6000, s.DCPowerW(20), 1e-9)
}
