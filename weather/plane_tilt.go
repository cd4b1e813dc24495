package weather

import "math"

// TiltsDeg is the angle of a tracker's surface from the horizontal, 0 to 90°, in
// each row of the year that sun belongs to; 0 while the sun is down.
func (t *Tracker) TiltsDeg(sun *Sun) []float64 {
	tilts := make([]float64, len(sun.CosZenith))
	for i := range tilts {
		tilts[i] = math.Acos(min(1, t.normal(sun, i).up)) / radian
	}
	return tilts
}
