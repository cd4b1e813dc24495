package weather

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// monthlyOf takes the twelve means out of a year.
func monthlyOf(y *Year) Monthly {
	m := Monthly{Site: y.Site}
	from := 0
	for _, days := range monthLengths(y.CalendarYear) {
		to := from + days*24
		m.GHIKWhM2D = append(m.GHIKWhM2D, sum(y.GHI[from:to])/1000/float64(days))
		m.AmbientC = append(m.AmbientC, meanOf(y.AmbientC[from:to]))
		if y.WindMS != nil {
			m.WindMS = append(m.WindMS, meanOf(y.WindMS[from:to]))
		}
		from = to
	}
	return m
}

const members = 20

func ensemble(t testing.TB, m Monthly, calendarYear int) []*Year {
	t.Helper()
	var all []*Year
	for k := range uint64(members) {
		y, err := Synthesise(m, Synthesis{CalendarYear: calendarYear, Seed: 1, Member: k})
		require.NoError(t, err)
		all = append(all, y)
	}
	return all
}

// Means of months are kept within 1 % (here: far closer), and the years pass
// every check that measured ones must pass.
func TestSynthesise_KeepsMonthlyMeans(t *testing.T) {
	for _, file := range []string{"burlington_vt_tmy3.csv", "miami_fl_tmy3.csv", "tucson_az_tmy3.csv"} {
		want := monthlyOf(openYear(t, file))
		for k, y := range ensemble(t, want, 2024)[:5] {
			got := monthlyOf(y)
			assert.InDeltaSlice(t, want.GHIKWhM2D, got.GHIKWhM2D, 1e-6, "%s %d", file, k)
			assert.InDeltaSlice(t, want.AmbientC, got.AmbientC, 0.005, "%s %d", file, k)
			assert.InDeltaSlice(t, want.WindMS, got.WindMS, 1e-9, "%s %d", file, k)
			require.NoError(t, y.Check().Err())
			for _, c := range y.Quality(nil).Checks {
				assert.Contains(t, []string{VerdictPass, VerdictNotTested}, c.Verdict, "%s %d %s: %s", file, k, c.Name, c.Message)
			}
		}
	}
}

// Stationary mean clearness of the ten classes: computed from the published
// tables (the long-run mean of the chain, states taken at their middle).
func TestTransitions_StationaryMeans(t *testing.T) {
	want := []float64{0.2414, 0.3339, 0.3745, 0.4288, 0.4760, 0.5262, 0.5749, 0.6204, 0.6684, 0.7281}
	classes := transitionClasses()
	require.Len(t, classes, 10)
	for i := range classes {
		class := &classes[i]
		draw := rand.NewPCG(7, uint64(i))
		const n, batches = 2000, 100
		var means []float64
		k := want[i]
		for range batches {
			total := 0.0
			for range n {
				k = class.after(k, draw)
				assert.True(t, k >= class.low && k <= class.high)
				total += k
			}
			means = append(means, total/n)
		}
		m, squares := meanOf(means), 0.0
		for _, x := range means {
			squares += (x - m) * (x - m)
		}
		standardError := math.Sqrt(squares/(batches-1)) / math.Sqrt(batches)
		assert.InDelta(t, want[i], m, 3.5*standardError+0.0001, "class up to %g, standard error %.5f", class.upper, standardError)
		lower := 0.0
		if i > 0 {
			lower = classes[i-1].upper
		}
		assert.True(t, m > lower && m <= class.upper, "mean %.4f is inside its own class", m)
	}
}

// The embedded table is the one of testdata, whose head names the source; each
// published row sums to one.
func TestTransitions_AreTheOpenTable(t *testing.T) {
	open, err := os.ReadFile("../testdata/check/daily_clearness_transitions.csv")
	require.NoError(t, err)
	assert.Equal(t, string(open), transitionsText)
	for _, class := range transitionClasses() {
		for _, row := range class.next {
			assert.InDelta(t, 1, row[9], 1e-12)
			assert.True(t, slices.IsSorted(row[:]))
		}
	}
}

// Aguiar & Collares-Pereira 1992, the formulas worked by hand for K = 0.5 and
// sin h = 0.5: φ = 0.38 + 0.06 cos 1.2, λ = 0.37 + 0.24 e⁻⁴, η = 0.32,
// κ = 0.44375, A = 0.14 e^(−0.45), B = 0.0075 + 0.5.
func TestHourly_ByHand(t *testing.T) {
	m := hourlyOf(0.5)
	assert.InDelta(t, 0.401741, m.phi, 1e-6)
	assert.InDelta(t, 0.374396, m.lambda, 1e-6)
	assert.InDelta(t, 0.32, m.eta, 1e-12)
	assert.InDelta(t, 0.44375, m.kappa, 1e-12)
	assert.InDelta(t, 0.374396+0.32*0.411682, m.mean(0.5), 1e-6)
	assert.InDelta(t, 0.089268, m.a, 1e-6)
	assert.InDelta(t, 0.0892679*1.288850, m.spread(0.5), 1e-6)
}

// Duffie & Beckman, Solar Engineering of Thermal Processes (from memory): 33.8
// MJ/m² outside the atmosphere on 15 April at 43° N with a solar constant of
// 1367 W/m² and a declination 0.3° lower than the sun's. And the sun of Year.Sun, whose mid-hour values overstate an
// hour's mean by (7.5° in radians)/sin 7.5°.
func TestOutsideYear(t *testing.T) {
	april := outsideYear(Site{LatitudeDeg: 43}, 2023)[104]
	assert.InDelta(t, 33.8*SolarConstantWM2/1367, april.wh*0.0036, 0.2)

	half := 7.5 * math.Pi / 180
	for _, site := range []Site{{0, 0, 0, 0}, {43, -89.4, 0, -6}, {-34, 151, 0, 10}, {64, 26, 0, 2}, {78, 15, 0, 1}, {-90, 0, 0, 12}} {
		y := &Year{Site: site, CalendarYear: 2023, StepS: 3600}
		sun := y.Sun()
		total, wh := 0.0, 0.0
		for d, day := range outsideYear(site, 2023) {
			wh += day.wh
			for h, o := range day.hours {
				i := d*24 + h
				mid := sun.ExtraterrestrialWM2[i] * max(0, sun.CosZenith[i]) * sun.SunlitFraction[i]
				total += mid
				assert.InDelta(t, mid, o.wm2, 12, "%v %d", site, i)
			}
		}
		assert.InEpsilon(t, total*math.Sin(half)/half, wh, 0.004, "%v", site)
	}
}

// Frozen: these must never change, on any platform (run also with GOAMD64=v3,
// GOARCH=386 and GOARCH=arm64).
func TestSynthesise_SameBytesEverywhere(t *testing.T) {
	m := monthlyOf(openYear(t, "burlington_vt_tmy3.csv"))
	for i := range 12 { // so that no sum of the test decides
		m.GHIKWhM2D[i] = math.Round(m.GHIKWhM2D[i]*100) / 100
		m.AmbientC[i] = math.Round(m.AmbientC[i]*10) / 10
		m.WindMS[i] = math.Round(m.WindMS[i]*10) / 10
	}
	for _, c := range []struct {
		s    Synthesis
		hash string
	}{
		{Synthesis{2023, 1, 0}, "59a73bcf66dfdb07cd40d8b18264f3b4db025c7865a7e3d1d0840877432072b7"},
		{Synthesis{2024, 1, 0}, "053b84c75e22693ce603dc433245fda6336341cf68d1ad3aa76d966852c4e268"},
		{Synthesis{2023, 42, 7}, "4e2fb14a583d7c75de7f0770e9b0d62b66bdedd43a22720b8b88efc956669b85"},
	} {
		y, err := Synthesise(m, c.s)
		require.NoError(t, err)
		assert.Equal(t, c.hash, y.Hash(), "%+v", c.s)
		again, err := Synthesise(m, c.s)
		require.NoError(t, err)
		assert.Equal(t, y, again)
	}
}

func TestSynthesise_Faults(t *testing.T) {
	good := func() Monthly { return monthlyOf(openYear(t, "tucson_az_tmy3.csv")) }
	s := Synthesis{CalendarYear: 2023}
	for name, c := range map[string]struct {
		change func(*Monthly, *Synthesis)
		cause  error
		member string
		index  int
	}{
		"eleven months": {func(m *Monthly, _ *Synthesis) { m.GHIKWhM2D = m.GHIKWhM2D[:11] }, ErrLength, "ghi_kwh_m2_d", -1},
		"no wind list":  {func(m *Monthly, _ *Synthesis) { m.WindMS = []float64{} }, ErrLength, "wind_m_s", -1},
		"NaN":           {func(m *Monthly, _ *Synthesis) { m.AmbientC[3] = math.NaN() }, ErrRange, "ambient_c", 3},
		"negative":      {func(m *Monthly, _ *Synthesis) { m.GHIKWhM2D[3] = -1 }, ErrRange, "ghi_kwh_m2_d", 3},
		"too much sun":  {func(m *Monthly, _ *Synthesis) { m.GHIKWhM2D[0] = 6.5 }, ErrRange, "ghi_kwh_m2_d", 0},
		"polar night":   {func(m *Monthly, _ *Synthesis) { m.Site.LatitudeDeg = 85 }, ErrRange, "ghi_kwh_m2_d", 11},
		"no year":       {func(_ *Monthly, s *Synthesis) { s.CalendarYear = 0 }, ErrCalendar, "calendar_year", -1},
		"site":          {func(m *Monthly, _ *Synthesis) { m.Site.LatitudeDeg = 95 }, ErrRange, "site", -1},
	} {
		m, own := good(), s
		c.change(&m, &own)
		_, err := Synthesise(m, own)
		var all *Problems
		if assert.ErrorAs(t, err, &all, name) {
			found := false
			for _, p := range all.List {
				found = found || p.Cause == c.cause && p.Member == c.member && p.Index == c.index
			}
			assert.True(t, found, "%s: %v", name, err)
		}
	}
}

// A month may have all but a fiftieth of what a sky without clouds lets
// through.
func TestSynthesise_NearlyCloudless(t *testing.T) {
	m := monthlyOf(openYear(t, "tucson_az_tmy3.csv"))
	days := outsideYear(m.Site, 2023)
	most := mostOfDays(days, clearShareAt(m.Site.ElevationM))
	clear := 0.0
	for d := range 31 {
		clear += most[d] * days[d].wh / 1000 / 31
	}
	m.GHIKWhM2D[0] = 0.979 * clear
	_, err := Synthesise(m, Synthesis{CalendarYear: 2023})
	assert.NoError(t, err)
	m.GHIKWhM2D[0] = 0.981 * clear
	_, err = Synthesise(m, Synthesis{CalendarYear: 2023})
	assert.ErrorIs(t, err, ErrRange)
}

// Any climate that a sky allows: the means hold, no hour is brighter than a
// clear one or bright at night, and the year passes Check.
func TestSynthesise_AnyClimate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		site := Site{rapid.Float64Range(-90, 90).Draw(t, "latitude"), rapid.Float64Range(-180, 180).Draw(t, "longitude"), rapid.Float64Range(-400, 5000).Draw(t, "elevation"), 0}
		site.UTCOffsetH = math.Round(site.LongitudeDeg / 15)
		s := Synthesis{2023 + rapid.IntRange(0, 1).Draw(t, "leap"), rapid.Uint64().Draw(t, "seed"), 0}
		days := outsideYear(site, s.CalendarYear)
		most := mostOfDays(days, clearShareAt(site.ElevationM))
		m := Monthly{Site: site}
		d := 0
		for month, n := range monthLengths(s.CalendarYear) {
			share := rapid.Float64Range(0.02, 0.97).Draw(t, "share")
			clear := 0.0
			for range n {
				clear += most[d] * days[d].wh / 1000 / float64(n)
				d++
			}
			m.GHIKWhM2D = append(m.GHIKWhM2D, share*clear)
			m.AmbientC = append(m.AmbientC, 10+20*math.Cos(float64(month)))
		}
		y, err := Synthesise(m, s)
		if err != nil {
			t.Fatal(err)
		}
		if err := y.Check().Err(); err != nil {
			t.Fatal(err)
		}
		got := monthlyOf(y)
		for i := range 12 {
			if math.Abs(got.GHIKWhM2D[i]-m.GHIKWhM2D[i]) > 0.01*m.GHIKWhM2D[i]+1e-6 || math.Abs(got.AmbientC[i]-m.AmbientC[i]) > 0.01*math.Abs(m.AmbientC[i])+0.01 {
				t.Fatalf("month %d: %v, %v instead of %v, %v", i+1, got.GHIKWhM2D[i], got.AmbientC[i], m.GHIKWhM2D[i], m.AmbientC[i])
			}
		}
		clear := clearShareAt(site.ElevationM)
		for d := range days {
			for h, o := range days[d].hours {
				x := y.GHI[d*24+h]
				if o.wm2 == 0 && x != 0 || x < 0 || o.wm2 > 0 && x > clear.of(o.sinHeight)*o.wm2*(1+1e-12) {
					t.Fatalf("day %d hour %d: %v of %v", d, h, x, o.wm2)
				}
			}
		}
	})
}

func BenchmarkSynthesise(b *testing.B) {
	m := monthlyOf(openYear(b, "burlington_vt_tmy3.csv"))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Synthesise(m, Synthesis{CalendarYear: 2023}); err != nil {
			b.Fatal(err)
		}
	}
}
