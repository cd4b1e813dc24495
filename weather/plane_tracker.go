package weather

import "math"

// Tracker turns long rows of modules about a horizontal axis. At night it lies
// flat.
//
// With the sun's components r (to the right of the axis) and u (up), the
// rotation that faces the sun best is R = atan2(r, u). Rows of width w and
// spacing d shade each other when cos R < w/d; they then turn back until the
// shadow of one just touches the next,
//
//	R − sign(R) acos(cos R/(w/d))
//
// Anderson & Mikofski 2020, Slope-Aware Backtracking for Single-Axis Trackers,
// NREL/TP-5K00-76626, for level ground.
type Tracker struct {
	// AxisAzimuthDeg is where the axis points, clockwise from north: 0 and 180
	// are the usual axis that turns from east to west.
	AxisAzimuthDeg float64
	// MaxTiltDeg is the largest rotation to either side, 0 to 90°.
	MaxTiltDeg float64
	// GroundCoverFraction is w/d, the width of a row over the spacing of rows,
	// 0 to 1; 0 is a lone row, which never turns back.
	GroundCoverFraction float64
}

// normal is the direction that the surface faces in a row of the year.
func (t *Tracker) normal(sun *Sun, i int) vector {
	if sun.CosZenith[i] <= 0 {
		return vector{up: 1}
	}
	sin, cos := math.Sincos(t.AxisAzimuthDeg * radian)
	sinR, cosR := math.Sincos(t.rotation(sun.East[i]*cos-sun.North[i]*sin, sun.CosZenith[i]))
	return vector{east: sinR * cos, north: -sinR * sin, up: cosR}
}

// rotation is the angle (radians, positive to the right of the axis) for the
// sun's components to the right and up.
func (t *Tracker) rotation(right, up float64) float64 {
	r := math.Atan2(right, up)
	if touch := math.Cos(r) / t.GroundCoverFraction; t.GroundCoverFraction > 0 && touch < 1 {
		r -= math.Copysign(math.Acos(touch), r)
	}
	limit := t.MaxTiltDeg * radian
	return max(-limit, min(limit, r))
}
