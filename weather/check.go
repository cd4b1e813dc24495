package weather

import (
	"fmt"
	"math"
)

// Check lists everything that makes a year unusable: a wrong length or
// calendar, a missing column, a value that is not finite or not possible, and
// strong irradiance at night. What is merely doubtful is for Quality to say.
func (y *Year) Check() *Problems {
	p := &Problems{}
	y.checkGrid(p)
	if len(p.List) > 0 {
		return p // no length to compare with
	}
	y.checkColumns(p)
	n := y.Len()
	for c := range columns {
		if values := *y.values(c); values != nil && y.checkLength(p, c, n) {
			y.checkValues(p, c, values)
		}
	}
	if y.onEarth() && y.wholeIrradiance(n) {
		y.checkNight(p, y.Sun(), nil)
	}
	return p
}

func (y *Year) checkGrid(p *Problems) {
	if !isStep(y.StepS) {
		p.add(Problem{Member: "step_s", Index: -1, Value: y.StepS, Allowed: "3600, 1800, 900, 600, 300 or 60", Unit: "s", Message: "is not a step that a year may have", Cause: ErrCalendar})
	}
	if y.CalendarYear < 1900 || y.CalendarYear > 2100 {
		p.add(Problem{Member: "calendar_year", Index: -1, Value: y.CalendarYear, Allowed: "1900 to 2100", Message: "is outside the allowed range", Cause: ErrCalendar})
	}
}

// checkColumns: irradiance in the plane, or global, or all three; and the air
// temperature.
func (y *Year) checkColumns(p *Problems) {
	missing := func(c column, message string) {
		p.add(Problem{Member: c.String(), Index: -1, Unit: columnInfos[c].unit, Message: message, Cause: ErrColumn})
	}
	switch {
	case y.PlaneWM2 != nil && (y.GHI != nil || y.DNI != nil || y.DHI != nil):
		missing(plane, "stands beside horizontal irradiance; give one or the other")
	case y.PlaneWM2 == nil && y.GHI == nil:
		missing(ghi, "is missing (or plane_w_m2 instead)")
	}
	switch {
	case y.DNI == nil && y.DHI != nil:
		missing(dni, "is missing beside dhi_w_m2; give both or neither")
	case y.DHI == nil && y.DNI != nil:
		missing(dhi, "is missing beside dni_w_m2; give both or neither")
	}
	if y.AmbientC == nil {
		missing(ambient, "is missing")
	}
}

func (y *Year) checkLength(p *Problems, c column, n int) bool {
	got := len(*y.values(c))
	if got == n {
		return true
	}
	one := Problem{Member: c.String(), Index: -1, Value: got, Allowed: fmt.Sprint(n), Unit: "rows", Cause: ErrLength,
		Message: fmt.Sprintf("has the wrong length for the year %d at %d s", y.CalendarYear, y.StepS)}
	if got*y.StepS == 8760*3600 || got*y.StepS == 8784*3600 {
		one.Cause = ErrCalendar
		one.Message = fmt.Sprintf("has the length of a year of %d days, and %d has %d", got*y.StepS/86400, y.CalendarYear, n*y.StepS/86400)
	}
	p.add(one)
	return false
}

func (y *Year) checkValues(p *Problems, c column, values []float64) {
	info := &columnInfos[c]
	for i, x := range values {
		if x >= info.min && x <= info.max {
			continue
		}
		one := Problem{Member: info.name, Index: i, Value: shown(x), Allowed: info.allowed(), Unit: info.unit,
			Message: "is outside the physical range", Cause: ErrRange}
		if math.IsNaN(x) || math.IsInf(x, 0) {
			one.Message, one.Cause = "is not a finite number", ErrNumber
		}
		p.add(one)
	}
}

// onEarth tells whether the site is fit to compute the sun for.
func (y *Year) onEarth() bool {
	s := y.Site
	return math.Abs(s.LatitudeDeg) <= 90 && math.Abs(s.LongitudeDeg) <= 180 && math.Abs(s.UTCOffsetH) <= 14
}

// wholeIrradiance tells whether there is irradiance and all of it has n rows.
func (y *Year) wholeIrradiance(n int) bool {
	any := false
	for c := ghi; c.isIrradiance(); c++ {
		if values := *y.values(c); values != nil {
			if len(values) != n {
				return false
			}
			any = true
		}
	}
	return any
}

// nightWM2 is what counts as strong at night; darkElevationDeg how low the sun
// must stay through the whole interval for it to be night: civil twilight for
// GHI and the plane, astronomical twilight for DNI, which is strong at once
// after sunrise. Files that are an hour out of step so stay readable, for the
// quality report to say it; a larger shift is a fault. DHI is part of GHI.
const nightWM2 = 50

var darkElevationDeg = [...]float64{ghi: -6, dni: -18, plane: -6}

// checkNight finds strong irradiance at night; place may add where in a file
// a value stands. The sun's elevation changes by at most 15° an hour.
func (y *Year) checkNight(p *Problems, sun *Sun, place func(*Problem, column)) {
	halfStepDeg := 7.5 * float64(y.StepS) / 3600
	for _, c := range []column{ghi, dni, plane} {
		dark := math.Sin((darkElevationDeg[c] - halfStepDeg) * math.Pi / 180)
		for i, x := range *y.values(c) {
			if x > nightWM2 && sun.CosZenith[i] < dark && x <= columnInfos[c].max {
				one := Problem{Member: c.String(), Index: i, Value: x, Allowed: fmt.Sprintf("at most %d", nightWM2), Unit: "W/m²", Cause: ErrNight,
					Message: fmt.Sprintf("is strong at %s, when the sun is %.0f° below the horizon", y.Start(i).Format("2006-01-02 15:04"), math.Asin(-sun.CosZenith[i])*180/math.Pi)}
				if place != nil {
					place(&one, c)
				}
				p.add(one)
			}
		}
	}
}
