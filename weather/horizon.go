package weather

import (
	"math"
	"sort"
)

// Horizon is the skyline around a site: points in strictly increasing azimuth,
// joined by straight lines in azimuth and elevation, the last joined to the
// first around north. No points are an open horizon.
type Horizon []HorizonPoint

// HorizonPoint is one point of a skyline.
type HorizonPoint struct {
	AzimuthDeg   float64 `json:"azimuth_deg" minimum:"0" exclusiveMaximum:"360" doc:"Azimuth, clockwise from true north."`
	ElevationDeg float64 `json:"elevation_deg" minimum:"0" maximum:"90" doc:"Elevation of the skyline there."`
}

// OutOfOrder lists the points whose azimuth does not exceed that of the point
// before; such a horizon has no meaning.
func (h Horizon) OutOfOrder() []int {
	var at []int
	for i := 1; i < len(h); i++ {
		if h[i].AzimuthDeg <= h[i-1].AzimuthDeg {
			at = append(at, i)
		}
	}
	return at
}

// ElevationDeg is the skyline's elevation at an azimuth in degrees, of any turn.
func (h Horizon) ElevationDeg(azimuthDeg float64) float64 {
	if len(h) == 0 {
		return 0
	}
	azimuthDeg = math.Mod(azimuthDeg, 360)
	if azimuthDeg < 0 {
		azimuthDeg += 360
	}
	next := sort.Search(len(h), func(i int) bool { return h[i].AzimuthDeg > azimuthDeg })
	left, right := h[(next+len(h)-1)%len(h)], h[next%len(h)]
	span := right.AzimuthDeg - left.AzimuthDeg
	if span <= 0 { // across north, or a single point
		span += 360
	}
	along := azimuthDeg - left.AzimuthDeg
	if along < 0 {
		along += 360
	}
	return left.ElevationDeg + (right.ElevationDeg-left.ElevationDeg)*along/span
}

// hides says whether the skyline covers the sun of a row.
func (h Horizon) hides(sun *Sun, i int) bool {
	return len(h) > 0 && 90-sun.ZenithDeg[i] < h.ElevationDeg(sun.AzimuthDeg[i])
}
