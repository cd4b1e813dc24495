package weather

import "time"

// Year is one year of weather on a regular grid. All columns that are not nil
// have Len() rows. A row is the mean over its interval.
type Year struct {
	Site Site
	// CalendarYear dates the rows: the day of the week, and the length of the
	// year (8760 or 8784 hours). A typical year is dated by its user.
	CalendarYear int
	// StepS is the length of an interval in seconds: 3600, 1800, 900, 600,
	// 300 or 60.
	StepS int
	// GHI, DNI and DHI are global horizontal, direct normal and diffuse
	// horizontal irradiance, W/m². DNI and DHI are nil when only GHI is known;
	// all three are nil when Plane is given.
	GHI, DNI, DHI []float64
	// PlaneWM2 is irradiance measured in the plane of the array, W/m², instead
	// of GHI, DNI and DHI; it serves every plane.
	PlaneWM2 []float64
	// AmbientC is the air temperature, °C, and WindMS the wind speed, m/s.
	AmbientC, WindMS []float64

	kept *keptSun // see KeepSun
}

// Len is the number of rows that the grid has.
func (y *Year) Len() int { return HoursInYear(y.CalendarYear) * 3600 / y.StepS }

// Start is the start of row i, with the site's UTC offset as its location.
func (y *Year) Start(i int) time.Time {
	zone := time.FixedZone("", int(y.Site.UTCOffsetH*3600))
	return time.Date(y.CalendarYear, 1, 1, 0, 0, 0, 0, zone).Add(time.Duration(i) * time.Duration(y.StepS) * time.Second)
}

// HoursInYear is 8760, or 8784 in a leap year.
func HoursInYear(year int) int {
	return time.Date(year, 12, 31, 0, 0, 0, 0, time.UTC).YearDay() * 24
}
