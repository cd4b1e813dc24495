package study_test

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
	"bankyear/sim/study"
)

func yearOf(downtimeH float64) (*sim.Figures, error) { return &sim.Figures{DowntimeH: downtimeH}, nil }

// Where downtime grows with the load, the headroom is where it crosses 8.76 h:
// 99.9 % of 8760 h (IEEE 1366's three nines).
func TestHeadroomOfAGrowingDowntime(t *testing.T) {
	for _, c := range []struct {
		slope, want float64
		bracketed   bool
	}{
		{40, .219, true}, {8.76 / .2, .2, true}, {2.5, 3.504, true}, {1, 4, false}, {0, 4, false},
	} {
		tries := 0
		h, err := study.FindHeadroom(study.HeadroomGrid(), study.HeadroomLimitH, .002, func(growth float64) (*sim.Figures, error) {
			tries++
			assert.GreaterOrEqual(t, growth, 0., "less load is of no interest")
			return yearOf(c.slope * growth)
		})
		require.NoError(t, err)
		assert.InDelta(t, c.want, h.Fraction, .002, "slope %g", c.slope)
		assert.LessOrEqual(t, h.Fraction, c.want+1e-12, "never beyond")
		assert.Equal(t, c.bracketed, h.Bracketed)
		assert.Zero(t, h.Again)
		assert.Len(t, h.Tried, tries)
		assert.LessOrEqual(t, tries, 13+12)
	}
}

// A site that is too dark as it is must lose load.
func TestHeadroomBelowZero(t *testing.T) {
	h, err := study.FindHeadroom(study.HeadroomGrid(), study.HeadroomLimitH, .002, func(growth float64) (*sim.Figures, error) {
		return yearOf(max(0, 87.6*(1+growth)-43.8)) // 8.76 h at −0.4
	})
	require.NoError(t, err)
	assert.InDelta(t, -.4, h.Fraction, .002)
	assert.True(t, h.Bracketed)

	h, err = study.FindHeadroom(study.HeadroomGrid(), study.HeadroomLimitH, .002, func(float64) (*sim.Figures, error) { return yearOf(100) })
	require.NoError(t, err)
	assert.Equal(t, -.9, h.Fraction)
	assert.False(t, h.Bracketed)
}

// A year that is dark again between two lit ones ends the headroom where it was
// dark first, and what comes after is told.
func TestHeadroomIsNotMonotone(t *testing.T) {
	h, err := study.FindHeadroom(study.HeadroomGrid(), study.HeadroomLimitH, .002, func(growth float64) (*sim.Figures, error) {
		if growth > .15 && growth < .25 || growth > .7 {
			return yearOf(50)
		}
		return yearOf(2)
	})
	require.NoError(t, err)
	assert.InDelta(t, .15, h.Fraction, .002)
	assert.Equal(t, .6, h.Again)
}

func TestWhatBreaksFirst(t *testing.T) {
	h, err := study.FindHeadroom([]float64{0, .5, 1, 2}, study.HeadroomLimitH, .3, func(growth float64) (*sim.Figures, error) {
		by := map[string]float64{"link_loss": 1, "empty": 0}
		if growth >= .75 {
			by["inverter_limit"], by["inrush"] = 1, 6
		}
		if growth >= 1 {
			by["empty"] = 90
		}
		total := 0.
		for _, x := range by {
			total += x
		}
		return &sim.Figures{DowntimeH: total, DowntimeByCauseH: by}, nil
	})
	require.NoError(t, err)
	assert.Equal(t, []string{"inrush", "inverter_limit"}, []string{h.BreaksFirst, h.BreaksSecond}, "link_loss was there before; of two at once the longer; empty comes third")

	h, err = study.FindHeadroom([]float64{0, 1}, 8.76, .1, func(float64) (*sim.Figures, error) { return yearOf(0) })
	require.NoError(t, err)
	assert.Empty(t, h.BreaksFirst+h.BreaksSecond)
}

func TestHeadroomStopsAtAnError(t *testing.T) {
	broken := errors.New("broken")
	for after := range 16 {
		tries := 0
		_, err := study.FindHeadroom(study.HeadroomGrid(), study.HeadroomLimitH, .002, func(growth float64) (*sim.Figures, error) {
			if tries++; tries > after {
				return nil, broken
			}
			return yearOf(40 * growth)
		})
		assert.ErrorIs(t, err, broken)
		assert.Equal(t, after+1, tries)
	}
	assert.Panics(t, func() { _, _ = study.FindHeadroom([]float64{.1, .2}, 1, .1, nil) })
	assert.Panics(t, func() { _, _ = study.FindHeadroom([]float64{1, 0}, 1, .1, nil) })
}
