package weather

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestSunAt_WorkedExample is the example of Reda & Andreas 2008,
// NREL/TP-560-34302 (from memory): its zenith angle is the apparent one, and
// its Earth rotation is that of UT1 = UTC + 0 s, so that the tolerance is the
// algorithm's own.
func TestSunAt_WorkedExample(t *testing.T) {
	site := Site{LatitudeDeg: 39.742476, LongitudeDeg: -105.1786, ElevationM: 1830.14, UTCOffsetH: -7}
	at := time.Date(2003, 10, 17, 12, 30, 30, 0, time.FixedZone("", -7*3600))
	p := SunAt(site, at)
	assert.InDelta(t, 50.11162, ApparentZenithDeg(p.ZenithDeg, 820, 11), 0.0015)
	assert.InDelta(t, 194.34024, p.AzimuthDeg, 0.0015)
	assert.InDelta(t, 0.9965422974, p.DistanceAU, 2e-5)
}

// TestSunAt_Ephemeris holds the position against instants computed by an
// ephemeris library (testdata/SOURCES.md). The first file has the Earth's true
// rotation, which UT1 = UTC misses by up to 0.9 s (0.004°).
func TestSunAt_Ephemeris(t *testing.T) {
	for _, file := range []struct {
		name         string
		rows         int
		toleranceDeg float64
	}{
		{"sun_position_public.csv", 100, 0.005},
		{"sun_position_1950_2050.csv", 120, 0.0015},
	} {
		t.Run(file.name, func(t *testing.T) {
			rows := readSunPositions(t, "../testdata/check/"+file.name)
			require.Len(t, rows, file.rows)
			worst := 0.0
			for _, r := range rows {
				p := SunAt(r.site, r.at)
				zenith := math.Abs(p.ZenithDeg - r.trueZenithDeg)
				azimuth := math.Abs(math.Remainder(p.AzimuthDeg-r.azimuthDeg, 360)) * math.Sin(r.trueZenithDeg*radian)
				apparent := math.Abs(ApparentZenithDeg(p.ZenithDeg, 1010, 10) - r.apparentZenithDeg)
				assert.Less(t, zenith, file.toleranceDeg, "zenith at %v", r)
				assert.Less(t, azimuth, file.toleranceDeg, "azimuth at %v", r)
				assert.Less(t, apparent, file.toleranceDeg, "apparent zenith at %v", r)
				worst = max(worst, zenith, azimuth)
			}
			t.Logf("largest difference %.4f°", worst)
		})
	}
}

type sunPositionRow struct {
	at                                           time.Time
	site                                         Site
	trueZenithDeg, apparentZenithDeg, azimuthDeg float64
}

func readSunPositions(t *testing.T, path string) []sunPositionRow {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	rows := make([]sunPositionRow, 0, len(records)-1)
	for _, rec := range records[1:] {
		var r sunPositionRow
		r.at, err = time.Parse(time.RFC3339, rec[0])
		require.NoError(t, err)
		for k, to := range []*float64{&r.site.LatitudeDeg, &r.site.LongitudeDeg, &r.site.ElevationM,
			&r.trueZenithDeg, &r.apparentZenithDeg, &r.azimuthDeg} {
			*to, err = strconv.ParseFloat(rec[k+1], 64)
			require.NoError(t, err)
		}
		rows = append(rows, r)
	}
	return rows
}

// TestLocalFrame_Textbook holds the geometry against examples of Duffie &
// Beckman, Solar Engineering of Thermal Processes (from memory), which give
// declination and solar time, and carry one decimal through.
func TestLocalFrame_Textbook(t *testing.T) {
	for _, c := range []struct {
		name                           string
		declinationDeg, solarH         float64
		zenithDeg, azimuthDeg, withinD float64
	}{
		{"43°N, 13 February 9:30", -14, 9.5, 66.5, 180 - 40.0, 0.1},
		{"43°N, 1 July 18:30", 23.1, 18.5, 79.6, 180 + 112.0, 0.1},
	} {
		t.Run(c.name, func(t *testing.T) {
			sin, cos := math.Sincos(c.declinationDeg * radian)
			hour := (c.solarH - 12) * 15 * radian
			v := newLocalFrame(43).direction(sunNode{cos, 0, sin, 1}, math.Cos(hour), math.Sin(hour))
			assert.InDelta(t, c.zenithDeg, v.zenithDeg(), c.withinD)
			assert.InDelta(t, c.azimuthDeg, v.azimuthDeg(), c.withinD)
		})
	}
}

// TestSunAt_Anywhere holds places where formulas tend to break: at a pole the
// elevation is the declination all day; both sides of the date line agree.
func TestSunAt_Anywhere(t *testing.T) {
	day := time.Date(2024, 6, 20, 0, 0, 0, 0, time.UTC)
	for h := range 24 {
		at := day.Add(time.Duration(h) * time.Hour)
		north := SunAt(Site{LatitudeDeg: 90}, at)
		south := SunAt(Site{LatitudeDeg: -90}, at)
		assert.InDelta(t, 90-23.44, north.ZenithDeg, 0.01) // obliquity, at the solstice
		assert.InDelta(t, 180, north.ZenithDeg+south.ZenithDeg, 0.006)
		east, west := SunAt(Site{LatitudeDeg: -18, LongitudeDeg: 180}, at), SunAt(Site{LatitudeDeg: -18, LongitudeDeg: -180}, at)
		assert.InDelta(t, east.ZenithDeg, west.ZenithDeg, 1e-9)
		assert.InDelta(t, east.AzimuthDeg, west.AzimuthDeg, 1e-7)
	}
}
