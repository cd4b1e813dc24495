package weather

import (
	"math"
	"time"
)

// sunNode is the sun in the frame of the mean sun at one instant: with
// declination δ and E the hour angle of the true sun less that of the mean sun
// (the equation of time, a few degrees at most),
//
//	x = cos δ cos E,  y = cos δ sin E,  z = sin δ,
//
// and r the distance in AU. All four change slowly, so that a year is
// interpolated from one node a day.
type sunNode struct{ x, y, z, r float64 }

// apparentSun is the geocentric apparent sun at an instant given in days (UT)
// since 2000-01-01 12:00.
//
// Heliocentric longitude and distance are the leading terms of VSOP87
// (Bretagnon & Francou 1988, Astron. Astrophys. 202, 309, as tabulated by Reda
// & Andreas 2004, Solar Energy 76, 577, table A4.2); what is left out stays
// under 0.0006°, the latitude (under 1.2″) included. Nutation to 0.5″,
// aberration, obliquity and sidereal time follow Meeus, Astronomical
// Algorithms, chapters 12, 22 and 25.
func apparentSun(days float64) sunNode {
	century := (days + dynamicalLeadS(days)/86400) / 36525
	longitude, r := earthOrbit(century / 10)

	node := (125.04452 - 1934.136261*century) * radian     // moon's ascending node
	sun2 := 2 * (280.4665 + 36000.7698*century) * radian   // twice the sun's mean longitude
	moon2 := 2 * (218.3165 + 481267.8813*century) * radian // twice the moon's
	sinNode, cosNode := math.Sincos(node)
	nutation := (-17.20*sinNode - 1.32*math.Sin(sun2) - 0.23*math.Sin(moon2) + 0.21*math.Sin(2*node)) * arcsecond
	tilt := (84381.448-46.8150*century)*arcsecond +
		(9.20*cosNode+0.57*math.Cos(sun2)+0.10*math.Cos(moon2)-0.09*math.Cos(2*node))*arcsecond

	lambda := longitude + math.Pi + nutation - 20.4898*arcsecond/r
	sinTilt, cosTilt := math.Sincos(tilt)
	sinLambda, cosLambda := math.Sincos(lambda)
	rightAscension := math.Atan2(cosTilt*sinLambda, cosLambda)
	z := sinTilt * sinLambda

	ut := days / 36525
	sidereal := (280.46061837+360.98564736629*days+0.000387933*ut*ut)*radian + nutation*cosTilt
	meanSun := turn*(days+0.5) - math.Pi // hour angle of the mean sun at Greenwich
	sinE, cosE := math.Sincos(sidereal - rightAscension - meanSun)
	cosDeclination := math.Sqrt(1 - z*z)
	return sunNode{cosDeclination * cosE, cosDeclination * sinE, z, r}
}

const arcsecond = radian / 3600

// daysSinceJ2000 is an instant in days (UTC) since 2000-01-01 12:00.
func daysSinceJ2000(t time.Time) float64 {
	return (float64(t.Unix()-946728000) + float64(t.Nanosecond())*1e-9) / 86400
}

// dynamicalLeadS is how far dynamical time runs ahead of universal time, in
// seconds: a straight line through 29 s in 1950 and 64 s in 2000. It meets the
// polynomials of Espenak & Meeus (Five Millennium Canon of Solar Eclipses,
// 2006) within 10 s over 1950–2050, in which the sun moves 0.4″.
func dynamicalLeadS(days float64) float64 { return 64 + 0.7*days/365.25 }

// earthOrbit is the Earth's heliocentric longitude (radians, mean equinox of
// date) and distance (AU) at a time in Julian millennia (dynamical) since
// 2000.
func earthOrbit(millennia float64) (longitude, distanceAU float64) {
	longitude = 628331966747e-8*millennia + 52919e-8*millennia*millennia
	longitude += sumTerms(longitude0[:], millennia) +
		millennia*(sumTerms(longitude1[:], millennia)+millennia*sumTerms(longitude2[:], millennia))
	distanceAU = sumTerms(distance0[:], millennia) + millennia*sumTerms(distance1[:], millennia)
	return longitude, distanceAU
}

// orbitTerm is a·cos(b + c·τ), a in 1e-8 rad or 1e-8 AU, τ in millennia.
type orbitTerm struct{ a, b, c float64 }

func sumTerms(terms []orbitTerm, millennia float64) float64 {
	sum := 0.0
	for _, t := range terms {
		sum += t.a * math.Cos(t.b+t.c*millennia)
	}
	return sum * 1e-8
}

var (
	longitude0 = [...]orbitTerm{
		{175347046, 0, 0}, {3341656, 4.6692568, 6283.07585}, {34894, 4.6261, 12566.1517},
		{3497, 2.7441, 5753.3849}, {3418, 2.8289, 3.5231}, {3136, 3.6277, 77713.7715},
		{2676, 4.4181, 7860.4194}, {2343, 6.1352, 3930.2097}, {1324, 0.7425, 11506.7698},
		{1273, 2.0371, 529.691}, {1199, 1.1096, 1577.3435}, {990, 5.233, 5884.927},
		{902, 2.045, 26.298}, {857, 3.508, 398.149}, {780, 1.179, 5223.694},
		{753, 2.533, 5507.553}, {505, 4.583, 18849.228}, {492, 4.205, 775.523},
		{357, 2.92, 0.067}, {317, 5.849, 11790.629}, {284, 1.899, 796.298},
		{271, 0.315, 10977.079}, {243, 0.345, 5486.778}, {206, 4.806, 2544.314},
		{205, 1.869, 5573.143}, {202, 2.458, 6069.777}, {156, 0.833, 213.299},
		{132, 3.411, 2942.463}, {126, 1.083, 20.775}, {115, 0.645, 0.98},
		{103, 0.636, 4694.003}, {102, 0.976, 15720.839}, {102, 4.267, 7.114},
	}
	longitude1 = [...]orbitTerm{
		{206059, 2.678235, 6283.07585}, {4303, 2.6351, 12566.1517}, {425, 1.59, 3.523},
		{119, 5.796, 26.298}, {109, 2.966, 1577.344},
	}
	longitude2 = [...]orbitTerm{{8720, 1.0721, 6283.0758}, {309, 0.867, 12566.152}}
	distance0  = [...]orbitTerm{
		{100013989, 0, 0}, {1670700, 3.0984635, 6283.07585}, {13956, 3.05525, 12566.1517},
		{3084, 5.1985, 77713.7715}, {1628, 1.1739, 5753.3849}, {1576, 2.8469, 7860.4194},
	}
	distance1 = [...]orbitTerm{{103019, 1.10749, 6283.07585}}
)
