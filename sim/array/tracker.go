package array

import "math"

// Tracker turns a plane in long rows about a horizontal axis after the sun. The
// plane's azimuth is then the direction of the axis, and its tilt the largest
// rotation to either side; at night it lies flat.
type Tracker struct {
	GroundCoverFraction float64 `json:"ground_cover_fraction" minimum:"0" maximum:"1" default:"0.35" doc:"Width of a row over the distance from row to row. Rows that would shade each other turn back; 0 is a lone row, which never does." basis:"common practice"`
}

// turnedSteps is the number of tilts, a degree apart, that turned holds.
const turnedSteps = 90

// turned are the modifiers of diffuse light, sky and ground, by tilt.
type turned [turnedSteps + 1][2]float64

func newTurned(modify func(cosIncidence float64) float64) *turned {
	var t turned
	for deg := range t {
		sky, ground := DiffuseAngles(float64(deg))
		t[deg] = [2]float64{modify(math.Cos(sky * math.Pi / 180)), modify(math.Cos(ground * math.Pi / 180))}
	}
	return &t
}

// TurnTo gives the converter of a tracker the tilt, 0 to 90°, that it has in the
// rows that follow. Of a fixed plane it panics.
func (c *Converter) TurnTo(tiltDeg float64) {
	i := min(int(tiltDeg), turnedSteps-1)
	a, b, x := &c.turned[i], &c.turned[i+1], tiltDeg-float64(i)
	c.sky, c.ground = a[0]+(b[0]-a[0])*x, a[1]+(b[1]-a[1])*x
}
