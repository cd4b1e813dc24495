package weather

import "math"

// Plane is the attitude of a flat surface.
type Plane struct {
	// TiltDeg is the angle from the horizontal, 0 to 180°.
	TiltDeg float64
	// AzimuthDeg is where the surface faces, clockwise from true north.
	AzimuthDeg float64
	// Tracker turns the surface after the sun, in place of tilt and azimuth;
	// nil is a fixed plane.
	Tracker *Tracker
}

// PlaneYear is irradiance on a plane over a year, W/m², a row an interval. The
// parts are never negative and add up to Total.
type PlaneYear struct {
	// BeamWM2 comes from the sun's disc, CircumsolarWM2 from the bright sky
	// around it; both arrive at the incidence angle of CosIncidence.
	BeamWM2, CircumsolarWM2 []float64
	// SkyWM2 comes from the rest of the sky, the horizon's brightening
	// included, and GroundWM2 from the ground.
	SkyWM2, GroundWM2 []float64
	// MeasuredWM2 is irradiance measured in the plane. It stands in place of
	// the four parts, which are then nil, and an incidence modifier does not
	// apply to it.
	MeasuredWM2 []float64
	// CosIncidence is the cosine of the angle between the sun and the plane's
	// normal, negative while the sun is behind the plane; sunset does not
	// change it.
	CosIncidence []float64
}

// Total is the irradiance on the plane, W/m².
func (p *PlaneYear) Total() []float64 {
	if p.MeasuredWM2 != nil {
		return p.MeasuredWM2
	}
	total := make([]float64, len(p.BeamWM2))
	for i := range total {
		total[i] = p.BeamWM2[i] + p.CircumsolarWM2[i] + p.SkyWM2[i] + p.GroundWM2[i]
	}
	return total
}

// OnPlane puts the year's irradiance on a plane. With incidence θ, tilt β and
// albedo ρ:
//
//	beam   = DNI max(0, cos θ)           while the sun is up and not hidden
//	ground = GHI ρ (1 − cos β)/2
//
// and the sky by sky.Model: perezSky, hayDaviesSky, or the even sky of Liu &
// Jordan 1963 (Solar Energy 7, 53), DHI (1 + cos β)/2, which also serves while
// the sun is down. The horizon hides beam and circumsolar; it takes nothing
// from the rest of the sky. The rows of sun must be those of the year.
func (y *Year) OnPlane(sun *Sun, plane Plane, sky Sky) *PlaneYear {
	known(sky.Model, Perez1990, HayDavies1980, LiuJordan1963)
	n := len(sun.CosZenith)
	out := newPlaneYear(n, y.PlaneWM2)
	normal := plane.normal()
	for i := range n {
		if plane.Tracker != nil {
			normal = plane.Tracker.normal(sun, i)
		}
		out.CosIncidence[i] = normal.dot(sun, i)
	}
	if y.PlaneWM2 != nil {
		return out
	}
	dni, dhi := y.Split(sun, sky.Split)
	newAlbedo(y, sky).each(n, func(from, to int, albedo float64) {
		for i := from; i < to; i++ {
			if plane.Tracker != nil {
				normal = plane.Tracker.normal(sun, i)
			}
			out.GroundWM2[i] = y.GHI[i] * albedo * (1 - normal.up) / 2
			out.setSky(i, sun, sky, normal, dni[i], dhi[i])
		}
	})
	return out
}

// setSky sets beam, circumsolar and rest of the sky of row i.
func (p *PlaneYear) setSky(i int, sun *Sun, sky Sky, normal vector, dni, dhi float64) {
	up, cosIncidence := sun.CosZenith[i], p.CosIncidence[i]
	circumsolar, rest := 0.0, dhi*(1+normal.up)/2
	if up <= 0 {
		p.SkyWM2[i] = rest
		return
	}
	switch sky.Model {
	case Perez1990:
		circumsolar, rest = perezSky(dni, dhi, up, sun.ZenithDeg[i], sun.AirMass[i], sun.ExtraterrestrialWM2[i],
			cosIncidence, normal.up, math.Sqrt(max(0, 1-normal.up*normal.up)))
	case HayDavies1980:
		circumsolar, rest = hayDaviesSky(dni, dhi, up, sun.ExtraterrestrialWM2[i]*sun.SunlitFraction[i],
			cosIncidence, normal.up)
	}
	p.SkyWM2[i] = rest
	if !sky.Horizon.hides(sun, i) {
		p.CircumsolarWM2[i] = circumsolar
		p.BeamWM2[i] = dni * max(0, cosIncidence)
	}
}

// hayDaviesSky is Hay & Davies 1980 (Proc. First Canadian Solar Radiation Data
// Workshop, 59): the part A = DNI/I0 of the diffuse irradiance comes from
// around the sun, the rest evenly:
//
//	circumsolar = DHI A max(0, cos θ)/max(cos 85°, cos z)
//	rest of sky = DHI (1 − A)(1 + cos β)/2
func hayDaviesSky(dni, dhi, cosZenith, extraterrestrial, cosIncidence, cosTilt float64) (circumsolar, rest float64) {
	a := max(0, min(1, dni/extraterrestrial))
	return dhi * a * max(0, cosIncidence) / max(cos85, cosZenith), dhi * (1 - a) * (1 + cosTilt) / 2
}

func newPlaneYear(n int, measured []float64) *PlaneYear {
	p := &PlaneYear{MeasuredWM2: measured, CosIncidence: make([]float64, n)}
	if measured == nil {
		all := make([]float64, 4*n)
		p.BeamWM2, p.CircumsolarWM2, p.SkyWM2, p.GroundWM2 = all[:n:n], all[n:2*n:2*n], all[2*n:3*n:3*n], all[3*n:]
	}
	return p
}

// normal is the direction that the plane faces.
func (p Plane) normal() vector {
	sinTilt, cosTilt := math.Sincos(p.TiltDeg * radian)
	sinAzimuth, cosAzimuth := math.Sincos(p.AzimuthDeg * radian)
	return vector{east: sinTilt * sinAzimuth, north: sinTilt * cosAzimuth, up: cosTilt}
}

// dot is the cosine of the angle to the sun of a row.
func (v vector) dot(sun *Sun, i int) float64 {
	return v.east*sun.East[i] + v.north*sun.North[i] + v.up*sun.CosZenith[i]
}
