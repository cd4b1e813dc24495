package weather

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestHorizon_ElevationDeg(t *testing.T) {
	ridge := Horizon{{AzimuthDeg: 10, ElevationDeg: 0}, {AzimuthDeg: 90, ElevationDeg: 20}, {AzimuthDeg: 350, ElevationDeg: 10}}
	for _, c := range []struct{ azimuth, want float64 }{
		{10, 0}, {50, 10}, {90, 20}, {220, 15}, {350, 10}, {0, 5}, {355, 7.5}, {5, 2.5}, {365, 2.5}, {-5, 7.5},
	} {
		assert.InDelta(t, c.want, ridge.ElevationDeg(c.azimuth), 1e-12, "azimuth %v", c.azimuth)
	}
	assert.Zero(t, Horizon(nil).ElevationDeg(123))
	assert.Equal(t, 7.0, Horizon{{AzimuthDeg: 40, ElevationDeg: 7}}.ElevationDeg(200))
}

func TestHorizon_OutOfOrder(t *testing.T) {
	assert.Empty(t, Horizon{{AzimuthDeg: 0}, {AzimuthDeg: 10}}.OutOfOrder())
	assert.Equal(t, []int{1, 3}, Horizon{{AzimuthDeg: 5}, {AzimuthDeg: 5}, {AzimuthDeg: 90}, {AzimuthDeg: 80}}.OutOfOrder())
}

// TestYear_OnPlane_Horizon: a skyline takes beam and circumsolar while the sun
// is behind it, and nothing else.
func TestYear_OnPlane_Horizon(t *testing.T) {
	y := clearTucson()
	sun := y.Sun()
	plane := Plane{TiltDeg: 30, AzimuthDeg: 180}
	open := y.OnPlane(sun, plane, perez)
	shaded := perez
	shaded.Horizon = Horizon{{AzimuthDeg: 0, ElevationDeg: 5}, {AzimuthDeg: 120, ElevationDeg: 25}, {AzimuthDeg: 180, ElevationDeg: 10}}
	behind := y.OnPlane(sun, plane, shaded)
	assert.Equal(t, open.SkyWM2, behind.SkyWM2)
	assert.Equal(t, open.GroundWM2, behind.GroundWM2)
	hidden := 0
	for i := range open.BeamWM2 {
		if 90-sun.ZenithDeg[i] < shaded.Horizon.ElevationDeg(sun.AzimuthDeg[i]) {
			assert.Zero(t, behind.BeamWM2[i]+behind.CircumsolarWM2[i])
			if open.BeamWM2[i] > 0 {
				hidden++
			}
			continue
		}
		assert.Equal(t, open.BeamWM2[i], behind.BeamWM2[i])
		assert.Equal(t, open.CircumsolarWM2[i], behind.CircumsolarWM2[i])
	}
	assert.Greater(t, hidden, 300)
}
