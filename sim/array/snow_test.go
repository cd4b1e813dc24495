package array

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// What is stated holds at 60° and is 2.5 times as much at 30° (common practice,
// no source); from flat to steep it keeps near the cos² law of Townsend & Powers
// 2011 (37th IEEE Photovoltaic Specialists Conference; from memory).
func TestSnowFactor(t *testing.T) {
	assert.InDelta(t, 1, snowFactor(60), 1e-12)
	assert.InDelta(t, 2.5, snowFactor(30), 1e-12)
	assert.Zero(t, snowFactor(90))
	for tilt := 0.; tilt <= 90; tilt += 5 {
		assert.InDelta(t, math.Pow(cosDeg(tilt)/cosDeg(60), 2), snowFactor(tilt), .55, "%g°", tilt)
	}
}

func TestSnowFraction(t *testing.T) {
	valley := []float64{.1, .1, .04, 0, 0, 0, 0, 0, 0, 0, .04, .1}
	p := Plane{TiltDeg: 30}
	assert.Equal(t, []float64{0}, p.SnowFraction())
	p.Losses.SnowAt60DegFraction = valley
	assert.InDeltaSlice(t, []float64{.25, .25, .1, 0, 0, 0, 0, 0, 0, 0, .1, .25}, p.SnowFraction(), 1e-12)
	assert.Equal(t, .1, valley[0], "what was given stays")
	p.TiltDeg = 60
	assert.InDeltaSlice(t, valley, p.SnowFraction(), 1e-12)
	p.TiltDeg, p.Losses.SnowAt60DegFraction = 0, []float64{.3}
	assert.Equal(t, []float64{1}, p.SnowFraction(), "no more than all")
	p.Losses.SnowFraction = []float64{.2}
	assert.Equal(t, []float64{.2}, p.SnowFraction())
}

func TestPowerW_SnowByTilt(t *testing.T) {
	stated, scaled := roof(), roof()
	stated.TiltDeg, scaled.TiltDeg = 30, 30
	stated.Losses.SnowFraction = []float64{.25}
	scaled.Losses.SnowFraction, scaled.Losses.SnowAt60DegFraction = nil, []float64{.1}
	a, b := stated.Converter(), scaled.Converter()
	assert.InDelta(t, a.PlainPowerW(500, 0, 1, 1), b.PlainPowerW(500, 0, 1, 1), 1e-9)
}
