package inverter

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/fault"
)

// −1 %/K above 40 °C and −1 % per 100 m above 1,500 m: common practice, no
// source.
func TestRatedAtW(t *testing.T) {
	for _, row := range []struct {
		name       string
		elevationM float64
		ambientC   float64
		want       float64
	}{
		{"cold, low", 100, -20, 6000},
		{"at both limits", 1500, 40, 6000},
		{"10 K above", 0, 50, 5400},
		{"1,000 m above", 2500, 20, 5400},
		{"both multiply", 2500, 50, 4860},
		{"never below nothing", 0, 200, 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			assert.InDelta(t, row.want, sixKW().RatedAtW(row.elevationM, row.ambientC), 1e-9)
		})
	}
}

func TestAllowedS(t *testing.T) {
	for _, row := range []struct{ w, want float64 }{
		{0, math.Inf(1)}, {6000, math.Inf(1)}, {6000.01, 1800}, {7000, 1800}, {7001, 60},
		{9000, 60}, {11000, 5}, {12000, 5}, {12000.5, 0},
	} {
		assert.Equal(t, row.want, sixKW().AllowedS(row.w), "%g W", row.w)
	}
	s := sixKW()
	s.Short = nil
	assert.Zero(t, s.AllowedS(6001))
}

func TestACInputLimitW(t *testing.T) {
	s := sixKW()
	assert.InDelta(t, 6400, s.ACInputLimitW(8000), 1e-9)
	s.ACInputW = 3000
	assert.Equal(t, 3000.0, s.ACInputLimitW(8000))
}

func TestCheck(t *testing.T) {
	ok := fault.New()
	sixKW().Check(ok)
	assert.NoError(t, ok.Err())

	s := sixKW()
	s.MinV, s.MaxV = 64, 64
	s.Short = [][2]float64{{6000, 60}, {9000, 60}, {8000, 0}}
	c := fault.New()
	s.Check(c)
	var pointers []string
	for _, f := range c.Faults() {
		pointers = append(pointers, f.Pointer)
		assert.NotEmpty(t, f.Allowed)
		assert.NotEmpty(t, f.Unit)
	}
	assert.Equal(t, []string{"/max_v", "/short_ratings_w_s/0/0", "/short_ratings_w_s/1/1", "/short_ratings_w_s/2/0", "/short_ratings_w_s/2/1"}, pointers)
}

// 31/32 of 64 V are 62 V. A return at or above the highest voltage would chatter, at
// the lowest it would never come.
func TestHighReturnV(t *testing.T) {
	s := sixKW()
	assert.InDelta(t, 62, s.HighReturnV(), 1e-12)
	for v, ok := range map[float64]bool{60: true, 64: false, 65: false, 42: false, 42.5: true} {
		s.MaxReturnV = v
		assert.Equal(t, v, s.HighReturnV())
		c := fault.New()
		s.Check(c)
		assert.Equal(t, ok, len(c.Faults()) == 0, "%g V", v)
		if !ok {
			assert.Equal(t, "/max_return_v", c.Faults()[0].Pointer)
		}
	}
}

// What the checks pass has ratings that can be read off in order: more power
// is never allowed for longer.
func TestAllowedS_NeverLongerForMore(t *testing.T) {
	s := sixKW()
	last := math.Inf(1)
	for w := 0.0; w < 13000; w += 100 {
		now := s.AllowedS(w)
		assert.LessOrEqual(t, now, last)
		last = now
	}
}
