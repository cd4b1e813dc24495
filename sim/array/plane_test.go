package array

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func roof() *Plane {
	return &Plane{
		RatedKW: 7.2, TiltDeg: 60, AzimuthDeg: 180, Charger: "south", PowerFractionPC: -.0035,
		Incidence: "physical", CellHeat: "faiman", FaimanU0: 25, FaimanU1: 6.84, NOCTC: 45,
		Losses: Losses{SoilingFraction: []float64{.03}, SnowFraction: []float64{0}, MismatchFraction: .02, WiringFraction: .02},
	}
}

// A plane's rating is its power in 1000 W/m² at a right angle with cells of
// 25 °C (IEC 61215 standard test conditions): the air is then 25 − 1000/25 =
// −15 °C in still air.
func TestPowerW_RatingConditions(t *testing.T) {
	p := roof()
	p.Losses = Losses{SoilingFraction: []float64{0}, SnowFraction: []float64{0}}
	c := p.Converter()
	assert.InDelta(t, 7200, c.PowerW(1000, 0, 0, 1, -15, 0, 6), 1e-6)
	assert.InDelta(t, 7200, c.PlainPowerW(1000, -15, 0, 6), 1e-6)
}

// By hand, 20 °C air and 1 m/s (Faiman cell 51.41 °C, checked elsewhere):
// 7200 · (1 − .0035 · 26.41) · .97 · .98 · .98 = 6087.4 W; by NOCT (51.25 °C)
// 6091.2 W.
func TestPowerW_ByHand(t *testing.T) {
	p := roof()
	c := p.Converter()
	assert.InDelta(t, 7200*(1-.0035*26.407)*.97*.98*.98, c.PowerW(1000, 0, 0, 1, 20, 1, 1), .2)
	p.CellHeat = "noct"
	c = p.Converter()
	assert.InDelta(t, 7200*(1-.0035*26.25)*.97*.98*.98, c.PowerW(1000, 0, 0, 1, 20, 1, 1), 1e-6)
}

func TestPowerW_PartsAndModifiers(t *testing.T) {
	p := roof()
	p.PowerFractionPC = 0
	p.Losses = Losses{SoilingFraction: []float64{0}, SnowFraction: []float64{0}}
	c := p.Converter()
	skyDeg, groundDeg := DiffuseAngles(60)
	want := 7.2 * (500*PhysicalModifier(.5) + 100*PhysicalModifier(cosDeg(skyDeg)) + 30*PhysicalModifier(cosDeg(groundDeg)))
	assert.InDelta(t, want, c.PowerW(500, 100, 30, .5, 20, 1, 3), 1e-9)
	p.Incidence = "none"
	c = p.Converter()
	assert.InDelta(t, 7.2*630, c.PowerW(500, 100, 30, .5, 20, 1, 3), 1e-9)
}

func TestPowerW_MonthlyLosses(t *testing.T) {
	p := roof()
	p.Losses.SnowFraction = []float64{.1, .1, .04, 0, 0, 0, 0, 0, 0, 0, .04, .1}
	c := p.Converter()
	july, march, january := c.PlainPowerW(500, 0, 1, 7), c.PlainPowerW(500, 0, 1, 3), c.PlainPowerW(500, 0, 1, 1)
	assert.InDelta(t, .96*july, march, 1e-9)
	assert.InDelta(t, .90*july, january, 1e-9)
}

func TestPowerW_NeverNegative(t *testing.T) {
	p := roof()
	p.PowerFractionPC = -.01
	c := p.Converter()
	assert.Zero(t, c.PowerW(1000, 0, 0, 1, 200, 0, 1), "cells far above any real heat")
	assert.Zero(t, c.PowerW(0, 0, 0, 1, -20, 0, 1))
}

// A plane is the sum of its parts: half the rating twice, whatever the sky.
func TestPowerW_SplitPlane(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole, half := roof(), roof()
		half.RatedKW /= 2
		a, b := whole.Converter(), half.Converter()
		beam := rapid.Float64Range(0, 1200).Draw(t, "beam")
		diffuse := rapid.Float64Range(0, 500).Draw(t, "diffuse")
		cosine := rapid.Float64Range(0, 1).Draw(t, "cos")
		air := rapid.Float64Range(-40, 50).Draw(t, "air")
		got, want := 2*b.PowerW(beam, diffuse, 10, cosine, air, 2, 5), a.PowerW(beam, diffuse, 10, cosine, air, 2, 5)
		if got != want {
			t.Fatalf("two halves %g W, whole %g W", got, want)
		}
	})
}

func TestConverter_Panics(t *testing.T) {
	for _, change := range []func(*Plane){
		func(p *Plane) { p.CellHeat = "other" },
		func(p *Plane) { p.Losses.SnowFraction = []float64{0, .1} },
	} {
		p := roof()
		change(p)
		assert.Panics(t, func() { p.Converter() })
	}
}

// One plane, one hourly year, half of it dark.
func BenchmarkPowerW(b *testing.B) {
	c := roof().Converter()
	sum := 0.0
	for b.Loop() {
		for i := range 8760 {
			if i%24 < 6 || i%24 >= 18 {
				continue
			}
			sum += c.PowerW(float64(i%900), 100, 20, float64(i%100)/100, 12, 3, i/731+1)
		}
	}
	_ = sum
}
