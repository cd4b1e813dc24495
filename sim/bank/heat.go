package bank

import "math"

// SurfaceOrDefault is the thermal resistance from the cells of n modules to the
// air around them, K/W: as given, else 0.6·n^−0.63 (common practice, no
// source).
func (e *Enclosure) SurfaceOrDefault(n int) float64 {
	if e.SurfaceCPerW > 0 {
		return e.SurfaceCPerW
	}
	return 0.6 * math.Pow(float64(n), -0.63)
}
