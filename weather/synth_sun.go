package weather

import "math"

// hourOutside is what arrives outside the atmosphere on the horizontal in one
// hour.
type hourOutside struct {
	wm2       float64 // mean over the hour, W/m²
	sinHeight float64 // of the sun, mean over the sunlit part; 0 in the dark
}

// dayOutside is one day of it, with the sum in Wh/m².
type dayOutside struct {
	hours [24]hourOutside
	wh    float64
}

// outsideYear computes the extraterrestrial irradiance of a year with the
// series of Spencer 1971, Search 2, 172, for declination, distance and equation
// of time, Γ = 2π (day + ½)/365, the same bits on every platform (the sun of
// Year.Sun is not promised to be). Declination is within 0.1°, which is enough
// to say what share of it a synthetic cloud lets through.
func outsideYear(site Site, calendarYear int) []dayOutside {
	days := make([]dayOutside, HoursInYear(calendarYear)/24)
	latitude := site.LatitudeDeg * (math.Pi / 180)
	sinLat, cosLat := sameSin(latitude), sameCos(latitude)
	for d := range days {
		g := float64(2*math.Pi*(float64(d)+0.5)) / float64(len(days))
		c1, s1, c2, s2, c3, s3 := sameCos(g), sameSin(g), sameCos(2*g), sameSin(2*g), sameCos(3*g), sameSin(3*g)
		declination := weighed(0.006918, -0.399912, c1, 0.070257, s1, -0.006758, c2, 0.000907, s2, -0.002697, c3, 0.001480, s3)
		distance := weighed(1.000110, 0.034221, c1, 0.001280, s1, 0.000719, c2, 0.000077, s2)
		equation := weighed(0.000075, 0.001868, c1, -0.032077, s1, -0.014615, c2, -0.040849, s2)
		a := float64(sinLat * sameSin(declination))
		b := float64(cosLat * sameCos(declination))
		normal := SolarConstantWM2 * distance
		for h := range 24 {
			clock := float64((float64(h)-12-site.UTCOffsetH)*(math.Pi/12)) + float64(site.LongitudeDeg*(math.Pi/180))
			days[d].hours[h] = hourOf(a, b, clock+equation, normal)
			days[d].wh += days[d].hours[h].wm2
		}
	}
	return days
}

// weighed is first + Σ weight·value over the pairs that follow.
func weighed(first float64, pairs ...float64) float64 {
	sum := first
	for i := 0; i < len(pairs); i += 2 {
		sum += float64(pairs[i] * pairs[i+1])
	}
	return sum
}

// hourOf integrates sin h = a + b cos ω over the hour that begins at hour angle
// w, where it is positive.
func hourOf(a, b, w, normal float64) hourOutside {
	const hour = math.Pi / 12
	set := math.Pi
	switch {
	case a+b <= 0:
		return hourOutside{}
	case a-b < 0:
		set = sameAcos(-a / b)
	}
	w -= float64(2 * math.Pi * math.Floor((w+math.Pi)/(2*math.Pi))) // −π…π
	lit, sum := 0.0, 0.0
	for k := -1; k <= 1; k++ {
		turn := float64(float64(k) * (2 * math.Pi))
		from, to := max(w, turn-set), min(w+hour, turn+set)
		if to <= from {
			continue
		}
		lit += to - from
		sum += float64(a*(to-from)) + float64(b*(sameSin(to)-sameSin(from)))
	}
	if lit <= 0 || sum <= 0 {
		return hourOutside{}
	}
	return hourOutside{float64(normal*sum) / hour, sum / lit}
}
