package array

import "slices"

// snowFactor scales the loss by snow that is stated for a tilt of 60° to
// another: 2.5 times at 30° (common practice, no source), and by the straight
// line through both, 4 times on a flat plane and none from 80° on:
//
//	f = 4 − tilt/20°
//
// The line keeps near cos² tilt/cos² 60°, the way the loss goes with tilt in
// Townsend & Powers 2011 (37th IEEE Photovoltaic Specialists Conference; from
// memory).
func snowFactor(tiltDeg float64) float64 { return max(0, min(4, 4-tiltDeg/20)) }

// SnowFraction is the plane's loss by snow, one value or twelve: as stated, or
// scaled from that stated for 60°, at most 1; none where neither is given.
func (p *Plane) SnowFraction() []float64 {
	l := &p.Losses
	switch {
	case l.SnowFraction != nil:
		return l.SnowFraction
	case l.SnowAt60DegFraction != nil:
		scaled := slices.Clone(l.SnowAt60DegFraction)
		for i, x := range scaled {
			scaled[i] = min(1, x*snowFactor(p.TiltDeg))
		}
		return scaled
	}
	return []float64{0}
}
