package weather

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func drawSite(t *rapid.T) Site {
	return Site{
		LatitudeDeg:  rapid.Float64Range(-90, 90).Draw(t, "latitude"),
		LongitudeDeg: rapid.Float64Range(-180, 180).Draw(t, "longitude"),
		UTCOffsetH:   rapid.SampledFrom([]float64{-12, -9.5, -5, 0, 3, 5.75, 14}).Draw(t, "offset"),
	}
}

// TestYear_Sun_SameAsSunAt: the interpolated year is the position of the
// instant.
func TestYear_Sun_SameAsSunAt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := &Year{
			Site:         drawSite(t),
			CalendarYear: rapid.IntRange(1950, 2050).Draw(t, "year"),
			StepS:        rapid.SampledFrom([]int{3600, 1800, 900}).Draw(t, "step"),
		}
		sun := y.SunAtMiddle()
		for range 20 {
			i := rapid.IntRange(0, y.Len()-1).Draw(t, "row")
			p := SunAt(y.Site, y.Start(i).Add(time.Duration(y.StepS)*time.Second/2))
			if math.Abs(p.ZenithDeg-sun.ZenithDeg[i]) > 2e-4 ||
				math.Abs(math.Remainder(p.AzimuthDeg-sun.AzimuthDeg[i], 360))*math.Sin(p.ZenithDeg*radian) > 2e-4 {
				t.Fatalf("row %d: %v, in the year %v %v", i, p, sun.ZenithDeg[i], sun.AzimuthDeg[i])
			}
		}
	})
}

// TestYear_Sun_SunlitPart: an hour's sunlit part is that of its minutes. Near a
// polar circle the sun grazes the horizon, and the declination's change within
// the hour moves it by up to two minutes.
func TestYear_Sun_SunlitPart(t *testing.T) {
	for _, latitude := range []float64{0, 44.467, -33.9, 66.6, 78, -89} {
		hours := &Year{Site: Site{LatitudeDeg: latitude, LongitudeDeg: -73.15, UTCOffsetH: -5}, CalendarYear: 2023, StepS: 3600}
		minutes := &Year{Site: hours.Site, CalendarYear: 2023, StepS: 60}
		sun, fine := hours.Sun(), minutes.SunAtMiddle()
		for i := range hours.Len() {
			up := 0.0
			for _, lit := range fine.SunlitFraction[i*60 : i*60+60] {
				up += lit
			}
			require.InDelta(t, up/60, sun.SunlitFraction[i], 3.0/60, "latitude %v row %d", latitude, i)
			if sun.SunlitFraction[i] > 0 {
				require.Positive(t, sun.CosZenith[i])
			} else {
				require.LessOrEqual(t, sun.CosZenith[i], 1e-5, "latitude %v row %d", latitude, i)
			}
		}
	}
}

// TestYear_Sun_DayLength: at the equator every day of the sun's centre is
// twelve hours long; beyond the polar circle midsummer has no night and
// midwinter no day (geometry).
func TestYear_Sun_DayLength(t *testing.T) {
	lit := func(latitude float64) []float64 {
		y := &Year{Site: Site{LatitudeDeg: latitude, LongitudeDeg: 10, UTCOffsetH: 1}, CalendarYear: 2021, StepS: 3600}
		days := make([]float64, 365)
		for i, f := range y.Sun().SunlitFraction {
			days[i/24] += f
		}
		return days
	}
	for _, h := range lit(0) {
		assert.InDelta(t, 12, h, 0.01)
	}
	arctic := lit(70)
	assert.Equal(t, 24.0, arctic[171])
	assert.Equal(t, 0.0, arctic[354])
	antarctic := lit(-70)
	assert.Equal(t, 0.0, antarctic[171])
	assert.Equal(t, 24.0, antarctic[354])
}

// TestSunlitPart_ExtraterrestrialDay: 33.8 MJ/m² on the horizontal at 43°N on
// 15 April, declination 9.4°, solar constant 1367 W/m² and distance factor
// 1 + 0.033 cos(360°·105/365) (Duffie & Beckman, Solar Engineering of Thermal
// Processes, from memory), summed over hours with their sunlit parts.
func TestSunlitPart_ExtraterrestrialDay(t *testing.T) {
	sin, cos := math.Sincos(9.4 * radian)
	node, frame := sunNode{cos, 0, sin, 1}, newLocalFrame(43)
	normal := 1367 * (1 + 0.033*math.Cos(turn*105/365))
	sum, lit := 0.0, 0.0
	for h := range 24 {
		mean := (float64(h) - 11.5) * 15 * radian
		shift, fraction := sunlitPart(frame, node, mean, 7.5*radian)
		v := frame.direction(node, math.Cos(mean+shift), math.Sin(mean+shift))
		sum += normal * max(0, v.up) * fraction * 3600e-6
		lit += fraction
	}
	assert.InDelta(t, 33.8, sum, 0.15)                                                               // the middle of an hour stands for the hour
	assert.InDelta(t, 2*math.Acos(-math.Tan(43*radian)*math.Tan(9.4*radian))/(15*radian), lit, 1e-3) // and the parallax
}

// TestYear_Sun_AirMass: values of Kasten & Young 1989, Applied Optics 28, 4735
// (from memory): 1 at the zenith (0.9997), 5.58 at 80°, 37.9 at the horizon.
func TestYear_Sun_AirMass(t *testing.T) {
	s := newSun(3)
	for i, zenith := range []float64{0, 80, 89.9999} {
		s.set(i, vector{east: math.Sin(zenith * radian), up: math.Cos(zenith * radian)}, 1, 1)
	}
	assert.InDelta(t, 1, s.AirMass[0], 0.001)
	assert.InDelta(t, 5.58, s.AirMass[1], 0.01)
	assert.InDelta(t, 37.9, s.AirMass[2], 0.1)
}

func BenchmarkSun(b *testing.B) {
	y := &Year{Site: Site{LatitudeDeg: 44.467, LongitudeDeg: -73.15, UTCOffsetH: -5}, CalendarYear: 2023, StepS: 3600}
	b.ReportAllocs()
	for b.Loop() {
		y.Sun()
	}
}
