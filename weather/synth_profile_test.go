package weather

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The mean share of a day's irradiation that falls in an hour, Collares-Pereira
// & Rabl 1979, Solar Energy 22, 155 (seen in a secondary copy), at hour angles
// ±7.5, 22.5, 37.5, 52.5, 67.5, 82.5° for three sunset hour angles. A formula
// fitted to measurements; its day sums to within 1 % of 1.
var collaresPereira = []struct {
	sunsetDeg float64
	share     []float64
}{
	{75, []float64{.1639, .1437, .1077, .0633, .0192}},
	{90, []float64{.1400, .1270, .1033, .0731, .0412, .0122}},
	{105, []float64{.1233, .1142, .0976, .0758, .0518, .0285}},
}

// The mean profile of synthetic days with such a sunset meets the published one
// within 0.007 of the day in every hour (a twentieth of noon's share).
func TestSynthesise_MeanDayHasThePublishedProfile(t *testing.T) {
	site := Site{LatitudeDeg: 36}
	m := Monthly{Site: site}
	d := 0
	outside := outsideYear(site, 2023)
	for _, n := range monthLengths(2023) {
		total := 0.0
		for range n {
			total += outside[d].wh
			d++
		}
		m.GHIKWhM2D = append(m.GHIKWhM2D, 0.5*total/1000/float64(n))
		m.AmbientC = append(m.AmbientC, 10)
	}
	sums := make([][6]float64, len(collaresPereira))
	totals := make([]float64, len(collaresPereira))
	for k := range uint64(40) {
		y, err := Synthesise(m, Synthesis{CalendarYear: 2023, Seed: 3, Member: k})
		require.NoError(t, err)
		for d := range 365 {
			sunset := sunsetDeg(site, d)
			for i, table := range collaresPereira {
				if math.Abs(sunset-table.sunsetDeg) > 2 {
					continue
				}
				day := y.GHI[d*24 : d*24+24]
				totals[i] += sum(day)
				for h := range 6 {
					sums[i][h] += (day[11-h] + day[12+h]) / 2
				}
			}
		}
	}
	for i, table := range collaresPereira {
		require.Positive(t, totals[i])
		for h, want := range table.share {
			assert.InDelta(t, want, sums[i][h]/totals[i], 0.007, "sunset %g°, hour %d from noon", table.sunsetDeg, h)
			t.Logf("sunset %g°, hour %d from noon: %.4f, published %.4f", table.sunsetDeg, h, sums[i][h]/totals[i], want)
		}
	}
}

// sunsetDeg is arccos(−tan φ tan δ) with Cooper's declination,
// 23.45° sin(360°(284 + n)/365).
func sunsetDeg(site Site, day int) float64 {
	declination := 23.45 * math.Sin(2*math.Pi*float64(285+day)/365) * math.Pi / 180
	return math.Acos(-math.Tan(site.LatitudeDeg*math.Pi/180)*math.Tan(declination)) * 180 / math.Pi
}
