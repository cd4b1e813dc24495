package api

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"

	"bankyear/api/document"
	"bankyear/sim/fault"
	"bankyear/weather"
)

// sky is a year of weather that passed its checks, and what it had to assume.
type sky struct {
	year    *weather.Year
	hash    string
	assumed []document.Assumption
	notes   []string
}

// place is what a request says of its weather from outside: where and when.
type place struct {
	site         weather.Site
	sited        bool // else the weather says where
	calendarYear int
	yearStated   bool
}

// placeOf is that of a document with a site and a calendar year.
func placeOf(tree *document.Node, site weather.Site, calendarYear int) place {
	at := place{calendarYear: calendarYear, yearStated: tree.Get("calendar_year") != nil}
	if tree.Get("site") != nil {
		at.site, at.sited = site, true
	}
	return at
}

const (
	calendarMember = "calendar_year" // in an Assumed: the data carry no date
	leapMember     = "leap_day"
)

// undated marks data that carry no date, when none is stated either.
func (at place) undated(list []weather.Assumed) []weather.Assumed {
	if at.yearStated {
		return list
	}
	return append(list, weather.Assumed{Member: calendarMember, Value: at.calendarYear, Basis: "a year of 365 days"})
}

func isUndated(r *weather.Reading) bool {
	return slices.ContainsFunc(r.Assumed, func(a weather.Assumed) bool { return a.Member == calendarMember })
}

// settle brings a reading and the request together; the reading is not changed. hash
// is that of the year at this place, "" where it is not known.
// A site in the request wins. Data without a date, such as a typical year, take
// the request's calendar year or its default; data that have one keep it.
func (at place) settle(r *weather.Reading, hash string) (*sky, fault.Faults) {
	year := *r.Year
	assumed := slices.Clone(r.Assumed)
	s := &sky{year: &year}
	switch {
	case isUndated(r):
		if message := at.date(r, &year, &assumed); message != "" {
			c := fault.New().At("calendar_year")
			c.Addf(at.calendarYear, "%s", message)
			return nil, c.Faults()
		}
	case !at.yearStated:
		s.assumed = append(s.assumed, document.Assumption{Pointer: "/calendar_year", Value: year.CalendarYear, Basis: "as the weather file says"})
	case at.calendarYear != year.CalendarYear:
		c := fault.New().At("calendar_year")
		c.Add(at.calendarYear, strconv.Itoa(year.CalendarYear)+", or left out", "", "is not the year of the weather")
		return nil, c.Faults()
	}
	for _, a := range assumed {
		s.assumed = append(s.assumed, assumption(a))
	}
	switch {
	case !at.sited:
		s.assumed = append(s.assumed, document.Assumption{Pointer: "/site", Value: year.Site, Basis: "as the weather file says"})
	case at.site != year.Site:
		if farApart(at.site, year.Site) {
			s.notes = append(s.notes, "The weather was measured somewhere else: the file's own site is "+describeSite(year.Site)+". The request's site was used for the sun's position.")
		}
		year.Site = at.site
	}
	if s.hash = hash; hash == "" {
		s.hash = year.Hash()
	}
	if year.WindMS == nil {
		year.WindMS = slices.Repeat([]float64{usualWindMS}, year.Len())
		s.assumed = append(s.assumed, assumption(weather.Assumed{Member: "wind_m_s", Value: usualWindMS, Basis: "the weather has no wind; that of the standard's nominal operating conditions"}))
	}
	return s, nil
}

// usualWindMS is the wind that cools the array where the weather has none: that
// at which the nominal operating temperature of modules is stated (IEC 61215).
const usualWindMS = 1.0

// date puts the request's calendar year, stated or its default, on data without
// a date. Decode has listed a default. The message is what is wrong with it.
func (at place) date(r *weather.Reading, year *weather.Year, assumed *[]weather.Assumed) (message string) {
	*assumed = slices.DeleteFunc(*assumed, func(a weather.Assumed) bool { return a.Member == calendarMember })
	switch {
	case at.calendarYear == year.CalendarYear:
	case r.Format == formatMonthly:
		return "is not the year that the weather was made for; make it for this one"
	case weather.HoursInYear(at.calendarYear) == weather.HoursInYear(year.CalendarYear):
	case r.Format == formatColumns:
		return fmt.Sprintf("has %d days, and the weather has %d", weather.HoursInYear(at.calendarYear)/24, weather.HoursInYear(year.CalendarYear)/24)
	case slices.ContainsFunc(r.Assumed, func(a weather.Assumed) bool { return a.Member == leapMember }):
		return "has a 29 February, which was left out of the weather when it was read; upload it for this calendar year"
	default:
		repeatLeapDay(year)
		*assumed = slices.Insert(*assumed, 0, weather.Assumed{Member: leapMember, Value: "28 February repeated", Basis: "the file has no 29 February and the calendar year has one"})
	}
	year.CalendarYear = at.calendarYear
	return ""
}

// repeatLeapDay gives a typical year a 29 February as the readers do: the rows of
// 28 February again, in columns of its own.
func repeatLeapDay(year *weather.Year) {
	perDay := 86400 / year.StepS
	for _, column := range []*[]float64{&year.GHI, &year.DNI, &year.DHI, &year.PlaneWM2, &year.AmbientC, &year.WindMS} {
		if *column != nil {
			*column = slices.Concat((*column)[:59*perDay], (*column)[58*perDay:])
		}
	}
}

// assumption tells what the weather left open at the member of the request that
// could have stated it, or else at the weather as a whole.
func assumption(a weather.Assumed) document.Assumption {
	at := fault.New().At("weather")
	for _, f := range reflect.VisibleFields(reflect.TypeFor[Weather]()) {
		if memberName(f) == a.Member {
			out := document.Assumption{Pointer: at.At(a.Member).Pointer(), Value: a.Value, Basis: a.Basis}
			if _, isText := a.Value.(string); !isText {
				out.Unit = fault.UnitOf(a.Member)
			}
			return out
		}
	}
	return document.Assumption{Pointer: at.Pointer(), Value: a.Value, Basis: a.Member + ": " + a.Basis}
}

// farApart is true for sites more than about 10 km or 100 m of height apart, or
// with another clock.
func farApart(a, b weather.Site) bool {
	far := func(x, y, d float64) bool { return x-y > d || y-x > d }
	return far(a.LatitudeDeg, b.LatitudeDeg, 0.1) || far(a.LongitudeDeg, b.LongitudeDeg, 0.1) ||
		far(a.ElevationM, b.ElevationM, 100) || a.UTCOffsetH != b.UTCOffsetH
}

func describeSite(s weather.Site) string {
	return "latitude " + exact(s.LatitudeDeg) + "°, longitude " + exact(s.LongitudeDeg) + "°, " + exact(s.ElevationM) + " m, UTC offset " + exact(s.UTCOffsetH) + " h"
}
