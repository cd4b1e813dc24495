package weather

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var perez = Sky{Model: Perez1990, Split: Erbs1982, AlbedoFraction: 0.2}

// TestPlane_Incidence: tilt 45° facing 15° west of south at 43°N on 13
// February at 10:30 solar time, declination −14°: 35.0° (Duffie & Beckman,
// Solar Engineering of Thermal Processes, from memory, with terms of three
// digits: their sum is a fifth of a degree off).
func TestPlane_Incidence(t *testing.T) {
	sin, cos := math.Sincos(-14 * radian)
	hour := -1.5 * 15 * radian
	v := newLocalFrame(43).direction(sunNode{cos, 0, sin, 1}, math.Cos(hour), math.Sin(hour))
	sun := newSun(1)
	sun.set(0, v, 1, 1)
	incidence := math.Acos(Plane{TiltDeg: 45, AzimuthDeg: 195}.normal().dot(sun, 0)) / radian
	assert.InDelta(t, 35.0, incidence, 0.2)
}

// drawGlobal makes a day of global irradiance below the extraterrestrial.
func drawGlobal(t *rapid.T) (*Year, *Sun) {
	y := &Year{Site: drawSite(t), CalendarYear: 2023, StepS: 3600}
	y.Site.LatitudeDeg = rapid.Float64Range(-70, 70).Draw(t, "inhabited latitude")
	sun := y.Sun()
	y.GHI = make([]float64, y.Len())
	clearness := rapid.SliceOfN(rapid.Float64Range(0, 0.85), 24, 24).Draw(t, "clearness")
	for i := range y.GHI {
		y.GHI[i] = clearness[(i*7)%24] * sun.ExtraterrestrialWM2[i] * max(0, sun.CosZenith[i]) * sun.SunlitFraction[i]
	}
	return y, sun
}

func drawSky(t *rapid.T) Sky {
	return Sky{
		Model:          rapid.SampledFrom([]string{Perez1990, HayDavies1980, LiuJordan1963}).Draw(t, "model"),
		Split:          rapid.SampledFrom([]string{Erbs1982, Disc1987}).Draw(t, "split"),
		AlbedoFraction: rapid.Float64Range(0, 1).Draw(t, "albedo"),
	}
}

// TestYear_OnPlane_Parts: no part is negative, the beam closes, nights are
// dark, and the parts add up.
func TestYear_OnPlane_Parts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y, sun := drawGlobal(t)
		sky := drawSky(t)
		p := y.OnPlane(sun, Plane{
			TiltDeg:    rapid.Float64Range(0, 180).Draw(t, "tilt"),
			AzimuthDeg: rapid.Float64Range(0, 360).Draw(t, "azimuth"),
		}, sky)
		dni, dhi := y.Split(sun, sky.Split)
		total := p.Total()
		for i := range total {
			sum := 0.0
			for _, part := range [][]float64{p.BeamWM2, p.CircumsolarWM2, p.SkyWM2, p.GroundWM2} {
				if !(part[i] >= 0) {
					t.Fatalf("row %d: a part is %v", i, part[i])
				}
				sum += part[i]
			}
			if math.Abs(sum-total[i]) > 1e-9 || math.Abs(p.BeamWM2[i]-dni[i]*max(0, p.CosIncidence[i])) > 1e-9 {
				t.Fatalf("row %d does not add up", i)
			}
			if sun.CosZenith[i] <= 0 && total[i] != 0 {
				t.Fatalf("row %d: %v W/m² at night", i, total[i])
			}
			if math.Abs(dni[i]*max(0, sun.CosZenith[i])+dhi[i]-y.GHI[i]) > 1e-9 {
				t.Fatalf("row %d: split does not close", i)
			}
		}
	})
}

// TestYear_OnPlane_Horizontal: a plane without tilt receives GHI, whatever the
// sky and the ground. Below 5° of elevation Perez and Hay & Davies hold the
// circumsolar part to cos 85° and give up to DHI less.
func TestYear_OnPlane_Horizontal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y, sun := drawGlobal(t)
		sky := drawSky(t)
		_, dhi := y.Split(sun, sky.Split)
		total := y.OnPlane(sun, Plane{AzimuthDeg: rapid.Float64Range(0, 360).Draw(t, "azimuth")}, sky).Total()
		for i := range total {
			lost := y.GHI[i] - total[i]
			high := sun.CosZenith[i] >= cos85 || sky.Model == LiuJordan1963
			if high && math.Abs(lost) > 1e-9 || lost < -1e-9 || lost > dhi[i]+1e-9 {
				t.Fatalf("row %d: GHI %v, on the plane %v", i, y.GHI[i], total[i])
			}
		}
	})
}

// TestYear_OnPlane_Ground: a plane that faces the ground sees nothing else of
// an even sky, with the reflection of the row's month.
func TestYear_OnPlane_Ground(t *testing.T) {
	monthly := []float64{0.7, 0.6, 0.5, 0.25, 0.2, 0.21, 0.22, 0.23, 0.24, 0.26, 0.3, 0.65}
	for _, calendar := range []int{2023, 2024} {
		y := &Year{Site: clearTucson().Site, CalendarYear: calendar, StepS: 1800}
		sun := y.Sun()
		y = y.ClearSky(sun, 3)
		p := y.OnPlane(sun, Plane{TiltDeg: 180}, Sky{Model: LiuJordan1963, Split: Erbs1982, AlbedoFraction: 0.9, MonthlyAlbedoFraction: monthly})
		total := p.Total()
		require.Len(t, total, y.Len())
		for i := range total {
			require.InDelta(t, y.GHI[i]*monthly[y.Start(i).Month()-1], total[i], 1e-9, "%d row %d", calendar, i)
		}
	}
}

// TestYear_OnPlane_Measured: measured plane irradiance is the total.
func TestYear_OnPlane_Measured(t *testing.T) {
	y := clearTucson()
	y.PlaneWM2, y.GHI, y.DNI, y.DHI = y.GHI, nil, nil, nil
	p := y.OnPlane(y.Sun(), Plane{TiltDeg: 30, AzimuthDeg: 180}, perez)
	assert.Equal(t, y.PlaneWM2, p.Total())
	assert.Nil(t, p.BeamWM2)
	assert.Len(t, p.CosIncidence, y.Len())
}

// TestYear_OnPlane_UnknownModel: requests are checked before they come here.
func TestYear_OnPlane_UnknownModel(t *testing.T) {
	y := clearTucson()
	assert.Panics(t, func() { y.OnPlane(y.Sun(), Plane{}, Sky{Model: "isotropic", Split: Erbs1982}) })
}

// TestPerezBin: a clearness on an edge belongs to the bin above it.
func TestPerezBin(t *testing.T) {
	for i, edge := range []float64{1.065, 1.230, 1.500, 1.950, 2.800, 4.500, 6.200} {
		assert.Equal(t, i, perezBin(edge-1e-9))
		assert.Equal(t, i+1, perezBin(edge))
	}
}

func clearTucson() *Year {
	y := &Year{Site: Site{LatitudeDeg: 32.133, LongitudeDeg: -110.95, ElevationM: 777, UTCOffsetH: -7}, CalendarYear: 2023, StepS: 3600}
	return y.ClearSky(y.Sun(), 3)
}

func BenchmarkOnPlane(b *testing.B) {
	s := readPOAReference(b)[0]
	rows := readPrintedRows(b, s)
	y := &Year{Site: s.site(), CalendarYear: 2023, StepS: 3600, GHI: rows.ghi}
	sun := y.Sun()
	for _, model := range []string{Perez1990, HayDavies1980, LiuJordan1963} {
		b.Run(model, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				y.OnPlane(sun, Plane{TiltDeg: 45, AzimuthDeg: 180}, Sky{Model: model, Split: Erbs1982, AlbedoFraction: 0.2})
			}
		})
	}
}
