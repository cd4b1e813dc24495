package weather

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The open typical years: irradiation of each month as summed up elsewhere from
// the same files (testdata/check/poa_reference.json), below a clear sky's.
func TestMonthlySky_OpenFiles(t *testing.T) {
	for _, s := range readPOAReference(t) {
		if s.File == "honolulu_hi_tmy3.csv.gz" || s.File == "north_texas_2016_halfhour.csv.gz" {
			continue // stamped an hour early; no global column
		}
		y := openYear(t, s.File[:len(s.File)-len(".gz")])
		months := y.MonthlySky(y.Sun())
		require.Len(t, months, 12)
		means := y.MonthlyMeans()
		for m, month := range months {
			assert.Equal(t, m+1, month.Month)
			assert.InDelta(t, s.GHI.Monthly[m], month.GHIKWhM2, 0.06, "%s month %d", s.File, m+1)
			assert.InDelta(t, month.GHIKWhM2, means.GHIKWhM2D[m]*float64(daysIn(y.CalendarYear, m+1)), 1e-9)
			assert.InDelta(t, month.GHIKWhM2, month.ClearnessFraction*month.ExtraterrestrialKWhM2, 1e-9)
			assert.Less(t, month.ClearSkyRatio, 1.0, "%s month %d", s.File, m+1)
			assert.Less(t, month.ClearSkyKWhM2, 0.85*month.ExtraterrestrialKWhM2, "no sky lets more through")
		}
	}
}

// Duffie & Beckman, Solar Engineering of Thermal Processes (from memory): 33.8
// MJ/m² outside the atmosphere on 15 April at 43° N, with 1367 W/m²; the 15th is
// the mean day of April (Klein 1977, Solar Energy 19, 325; from memory). Their
// declination is 0.3° lower than the sun's.
func TestMonthlySky_Outside(t *testing.T) {
	for _, calendar := range []int{2023, 2024} {
		y := &Year{Site: Site{LatitudeDeg: 43}, CalendarYear: calendar, StepS: 900}
		y.PlaneWM2 = make([]float64, y.Len())
		april := y.MonthlySky(y.Sun())[3]
		assert.InEpsilon(t, 30*33.8/3.6*SolarConstantWM2/1367, april.ExtraterrestrialKWhM2, 0.015)
		assert.Zero(t, april.ClearnessFraction, "irradiance in the plane says nothing of the sky")
		assert.Positive(t, april.ClearSkyKWhM2)
	}
}

// A cloudless year of air as clean as the bound is the bound, whatever the
// step; half of it has half the clearness; a polar night has none.
func TestMonthlySky_ClearYear(t *testing.T) {
	for _, step := range []int{3600, 900} {
		y := &Year{Site: Site{LatitudeDeg: 80, ElevationM: 50}, CalendarYear: 2024, StepS: step}
		sun := y.Sun()
		y = y.ClearSky(sun, clearestTurbidity)
		for i := range y.GHI {
			y.GHI[i] /= 2
		}
		months := y.MonthlySky(sun)
		assert.Equal(t, MonthSky{Month: 12}, months[11])
		for _, m := range months[3:9] {
			assert.InDelta(t, 0.5, m.ClearSkyRatio, 1e-12)
			assert.InDelta(t, m.ClearSkyKWhM2/m.ExtraterrestrialKWhM2/2, m.ClearnessFraction, 1e-12)
		}
	}
}

// Means of a leap year whose months are steps: each month has its own value, so
// that a row counted to the wrong month shows.
func TestMonthlyMeans_LeapYear(t *testing.T) {
	y := &Year{Site: Site{LatitudeDeg: 10}, CalendarYear: 2024, StepS: 1800}
	for i := range y.Len() {
		m := float64(y.Start(i).Month())
		y.GHI, y.AmbientC, y.WindMS = append(y.GHI, 100*m), append(y.AmbientC, -m), append(y.WindMS, m/2)
	}
	got := y.MonthlyMeans()
	for m := range 12 {
		assert.InDelta(t, 2.4*float64(m+1), got.GHIKWhM2D[m], 1e-9)
		assert.InDelta(t, -float64(m+1), got.AmbientC[m], 1e-9)
		assert.InDelta(t, float64(m+1)/2, got.WindMS[m], 1e-9)
	}
	assert.Equal(t, y.Site, got.Site)
	y.WindMS = nil
	assert.Nil(t, y.MonthlyMeans().WindMS)
	y.GHI = nil
	assert.Panics(t, func() { y.MonthlyMeans() })
}
