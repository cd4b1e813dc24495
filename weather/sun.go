package weather

import (
	"math"
	"time"
)

// SunPosition is where the sun's centre stands, seen from one place.
type SunPosition struct {
	// ZenithDeg is the true (not refracted) topocentric zenith angle, 0 to 180°.
	ZenithDeg float64
	// AzimuthDeg is clockwise from true north, 0 to 360°. At a pole it counts
	// from the meridian that the site's longitude names.
	AzimuthDeg float64
	// DistanceAU is the distance between Earth and sun in astronomical units.
	DistanceAU float64
}

// SunAt computes the sun's position for one instant, within 0.005° over
// 1950–2050 (UT1 is taken as UTC, which alone costs up to 0.004°).
//
// With declination δ, hour angle H (west positive) and latitude φ:
//
//	up    =  sin φ sin δ + cos φ cos δ cos H − π/r
//	north =  cos φ sin δ − sin φ cos δ cos H
//	east  = −cos δ sin H
//
// where π = 8.794″ is the solar parallax and r the distance in AU. The
// ephemeris behind δ and H is described at apparentSun.
func SunAt(site Site, t time.Time) SunPosition {
	days := daysSinceJ2000(t)
	node := apparentSun(days)
	mean := turn * (days + 0.5 - math.Floor(days+0.5) - 0.5 + site.LongitudeDeg/360)
	v := newLocalFrame(site.LatitudeDeg).direction(node, math.Cos(mean), math.Sin(mean))
	return SunPosition{ZenithDeg: v.zenithDeg(), AzimuthDeg: v.azimuthDeg(), DistanceAU: node.r}
}

// ApparentZenithDeg lifts a true zenith angle (degrees) by atmospheric
// refraction, Reda & Andreas 2004 (Solar Energy 76, 577) eq. 42, with e the
// true elevation in degrees, p in hPa, and t in °C:
//
//	Δe = p/1010 · 283/(273 + t) · 1.02 / (60 tan(e + 10.3/(e + 5.11)))
//
// It is applied while the sun's upper limb can be seen, e ≥ −0.8333°.
func ApparentZenithDeg(trueZenithDeg, pressureHPa, ambientC float64) float64 {
	e := 90 - trueZenithDeg
	if e < -(sunRadiusDeg + horizonRefractionDeg) {
		return trueZenithDeg
	}
	lift := pressureHPa / 1010 * 283 / (273 + ambientC) * 1.02 / (60 * math.Tan((e+10.3/(e+5.11))*radian))
	return trueZenithDeg - lift
}

const (
	radian = math.Pi / 180
	turn   = 2 * math.Pi

	sunRadiusDeg         = 0.26667 // Reda & Andreas 2004
	horizonRefractionDeg = 0.5667  // Reda & Andreas 2004

	parallax = 8.794 / 3600 * radian // equatorial horizontal parallax at 1 AU
)

// vector is a unit vector in the site's frame.
type vector struct{ east, north, up float64 }

func (v vector) zenithDeg() float64 {
	return math.Atan2(math.Sqrt(v.east*v.east+v.north*v.north), v.up) / radian
}

func (v vector) azimuthDeg() float64 {
	a := math.Atan2(v.east, v.north) / radian
	if a < 0 {
		a += 360
	}
	return a
}

// localFrame turns an equatorial direction into the horizontal frame of a
// latitude.
type localFrame struct{ sin, cos float64 }

func newLocalFrame(latitudeDeg float64) localFrame {
	sin, cos := math.Sincos(latitudeDeg * radian)
	if math.Abs(latitudeDeg) == 90 {
		cos = 0 // cos 90° is not exactly 0 in floating point
	}
	return localFrame{sin, cos}
}

// direction is the topocentric unit vector for a local mean hour angle given
// by its cosine and sine.
func (f localFrame) direction(n sunNode, cosMean, sinMean float64) vector {
	x := n.x*cosMean - n.y*sinMean // cos δ cos H
	y := n.y*cosMean + n.x*sinMean // cos δ sin H
	v := vector{
		east:  -y,
		north: f.cos*n.z - f.sin*x,
		up:    f.sin*n.z + f.cos*x - parallax/n.r,
	}
	k := 1 / math.Sqrt(v.east*v.east+v.north*v.north+v.up*v.up)
	return vector{v.east * k, v.north * k, v.up * k}
}
