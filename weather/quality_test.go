package weather

import (
	"bytes"
	"encoding/json"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func (q *Quality) check(t *testing.T, name string) QualityCheck {
	t.Helper()
	for _, c := range q.Checks {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("no check %q", name)
	return QualityCheck{}
}

// The sound open files pass every check (testdata/SOURCES.md calls none of
// them faulty but Honolulu).
func TestQuality_SoundOpenYearsPass(t *testing.T) {
	for _, file := range []string{
		"burlington_vt_tmy3.csv", "chicago_ohare_il_tmy3.csv", "daggett_ca_tmy3.csv", "arcata_ca_tmy3.csv",
		"miami_fl_tmy3.csv", "tucson_az_tmy3.csv", "tucson_az_tmy3.epw", "north_texas_2016_halfhour.csv",
	} {
		got, err := Read(bytes.NewReader(openFile(t, file)), ReadOptions{})
		require.NoError(t, err)
		q := got.Year.Quality(got.Filled)
		for _, c := range q.Checks {
			assert.Equal(t, VerdictPass, c.Verdict, "%s %s: %s", file, c.Name, c.Message)
			assert.Positive(t, c.Tested, c.Name)
		}
		assert.Equal(t, VerdictPass, q.Verdict)
	}
}

// testdata/SOURCES.md: the Honolulu months taken from before 1991 (1, 4–8,
// 10–12) have irradiance stamped one hour early.
func TestQuality_HonoluluIsAnHourEarly(t *testing.T) {
	q := openYear(t, "honolulu_hi_tmy3.csv").Quality(nil)
	assert.Equal(t, VerdictFail, q.Verdict)
	c := q.check(t, "time_shift")
	assert.Equal(t, VerdictFail, c.Verdict)
	assert.Equal(t, 12, c.Tested)
	assert.Equal(t, 9, c.Failed)
	for _, m := range c.Months {
		if slices.Contains([]int{1, 4, 5, 6, 7, 8, 10, 11, 12}, m.Month) {
			assert.InDelta(t, -60, m.ShiftM, 10, m.Month)
			assert.Equal(t, VerdictFail, m.Verdict, m.Month)
		} else {
			assert.InDelta(t, 0, m.ShiftM, 10, m.Month)
			assert.Equal(t, VerdictPass, m.Verdict, m.Month)
		}
	}
	assert.Contains(t, c.Message, "January, April, May, June, July, August, October, November, December")
	assert.Equal(t, VerdictFail, q.check(t, "night").Verdict)
	assert.Equal(t, VerdictFail, q.check(t, "closure").Verdict)
}

// Sound years made wrong in one way each: that check must say so.
func TestQuality_FindsWhatIsWrong(t *testing.T) {
	scale := func(factor float64) func(*Year) {
		return func(y *Year) {
			for _, c := range []column{ghi, dni, dhi} {
				for i := range *y.values(c) {
					(*y.values(c))[i] *= factor
				}
			}
		}
	}
	rotate := func(rows int) func(*Year) {
		return func(y *Year) {
			for _, c := range []column{ghi, dni, dhi} {
				v := *y.values(c)
				*y.values(c) = append(slices.Clone(v[len(v)-rows:]), v[:len(v)-rows]...)
			}
		}
	}
	for name, c := range map[string]struct {
		file    string
		change  func(*Year)
		check   string
		verdict string
		says    string
	}{
		"kW":                 {"burlington_vt_tmy3.csv", scale(0.001), "units", VerdictFail, "looks like kW/m²"},
		"MJ":                 {"miami_fl_tmy3.csv", scale(0.0036), "units", VerdictFail, "looks like MJ/m² per interval"},
		"J/cm²":              {"daggett_ca_tmy3.csv", scale(0.36), "units", VerdictFail, "looks like J/cm² per interval"},
		"Wh in half hours":   {"north_texas_2016_halfhour.csv", scale(0.5), "units", VerdictFail, "looks like Wh/m² per interval"},
		"a third too bright": {"arcata_ca_tmy3.csv", scale(1.35), "units", VerdictCaution, "1.4 of a clear sky"},
		"°F": {"miami_fl_tmy3.csv", func(y *Year) {
			for i, c := range y.AmbientC {
				y.AmbientC[i] = 32 + 1.8*c
			}
		}, "units", VerdictFail, "looks like °F"},
		"km/h": {"chicago_ohare_il_tmy3.csv", func(y *Year) {
			for i := range y.WindMS {
				y.WindMS[i] *= 3.6
			}
		}, "units", VerdictCaution, "km/h"},
		"an hour late":      {"chicago_ohare_il_tmy3.csv", rotate(1), "time_shift", VerdictFail, "January, February, March, April, May, June, July, August, September, October, November, December"},
		"half an hour late": {"north_texas_2016_halfhour.csv", rotate(1), "time_shift", VerdictFail, "June"},
		"summer time":       {"tucson_az_tmy3.csv", func(y *Year) { copy(y.GHI[90*24:300*24], y.GHI[90*24+1:]) }, "time_shift", VerdictFail, "April, May, June, July, August, September, October"},
		"beam halved": {"tucson_az_tmy3.csv", func(y *Year) {
			for i := range y.DNI {
				y.DNI[i] /= 2
			}
		}, "closure", VerdictFail, "do not close"},
		"beam too strong": {"tucson_az_tmy3.csv", func(y *Year) {
			for i := range y.DNI {
				y.DNI[i] *= 1.4
			}
		}, "rare", VerdictFail, "are extremely rare"},
		"one impossible": {"tucson_az_tmy3.csv", func(y *Year) { y.DNI[12] = 1499 }, "possible", VerdictCaution, "1 of"},
		"lamp at night": {"tucson_az_tmy3.csv", func(y *Year) {
			for i := 0; i < 8760; i += 24 {
				y.GHI[i] = 20
			}
		}, "night", VerdictFail, "are bright at night"},
		"frozen irradiance": {"tucson_az_tmy3.csv", func(y *Year) {
			for i := 9; i < 15; i++ {
				y.GHI[i] = 400
			}
		}, "stuck", VerdictCaution, "6 of"},
		"frozen temperature": {"tucson_az_tmy3.csv", func(y *Year) {
			for i := range 1000 {
				y.AmbientC[i] = 7
			}
		}, "stuck", VerdictFail, "1000 of"},
		"one wind throughout": {"tucson_az_tmy3.csv", func(y *Year) {
			for i := range y.WindMS {
				y.WindMS[i] = 2
			}
		}, "stuck", VerdictCaution, "8760 of"},
	} {
		t.Run(name, func(t *testing.T) {
			y := openYear(t, c.file)
			c.change(y)
			got := y.Quality(nil).check(t, c.check)
			assert.Equal(t, c.verdict, got.Verdict, got.Message)
			assert.Contains(t, got.Message, c.says)
			if got.Name != "units" && got.Name != "time_shift" {
				assert.Positive(t, got.Failed)
				assert.NotEmpty(t, got.Worst)
				assert.LessOrEqual(t, len(got.Worst), worstExamples)
			}
		})
	}
}

// The band of Long & Shi 2008 is about the sum: 8 % above it is allowed, 8.5 %
// is not.
func TestQuality_ClosureBand(t *testing.T) {
	for factor, verdict := range map[float64]string{1.075: VerdictPass, 1.085: VerdictFail} {
		y := openYear(t, "daggett_ca_tmy3.csv")
		sun := y.Sun()
		for i := range y.GHI {
			y.GHI[i] = factor * (y.DHI[i] + y.DNI[i]*max(0, sun.CosZenith[i]))
		}
		assert.Equal(t, verdict, y.Quality(nil).check(t, "closure").Verdict, factor)
	}
}

func TestQuality_WorstComeFirst(t *testing.T) {
	y := openYear(t, "tucson_az_tmy3.csv")
	for i, day := range []int{10, 20, 30, 40, 50, 60, 70} {
		y.DNI[day*24+12] = 1420 + float64(i)*10
	}
	c := y.Quality(nil).check(t, "possible")
	assert.Equal(t, 7, c.Failed)
	require.Len(t, c.Worst, 5)
	assert.Equal(t, 1480.0, c.Worst[0].Value)
	assert.Equal(t, 70*24+12, c.Worst[0].Index)
	assert.Equal(t, "2023-03-12T12:00", c.Worst[0].Start)
	assert.Equal(t, "dni_w_m2", c.Worst[0].Member)
}

func TestQuality_GapsAreCounted(t *testing.T) {
	y := openYear(t, "tucson_az_tmy3.csv")
	c := y.Quality([]Fill{{"ghi_w_m2", 100, 500, FillNearbyDays}}).check(t, "gaps")
	assert.Equal(t, 500, c.Failed)
	assert.Equal(t, 5*8760, c.Tested)
	assert.Equal(t, VerdictCaution, c.Verdict)
	assert.Equal(t, VerdictFail, y.Quality([]Fill{{"ghi_w_m2", 0, 5000, FillNearbyDays}}).Verdict)
}

// In the plane, and without beam, what cannot be tested is said to be untested
// and does not make the year doubtful. The report can be written as JSON.
func TestQuality_LessColumns(t *testing.T) {
	y := openYear(t, "tucson_az_tmy3.csv")
	y.PlaneWM2, y.GHI, y.DNI, y.DHI, y.WindMS = y.GHI, nil, nil, nil, nil
	q := y.Quality(nil)
	assert.Equal(t, VerdictPass, q.Verdict)
	for _, name := range []string{"closure", "possible", "rare", "time_shift"} {
		assert.Equal(t, VerdictNotTested, q.check(t, name).Verdict, name)
	}
	assert.Equal(t, VerdictPass, q.check(t, "night").Verdict)
	_, err := json.Marshal(q)
	assert.NoError(t, err)
}

// A year of the polar circle has months without sun and a sun at midnight, and
// a clock may be hours from solar time.
func TestQuality_PolarAndOddClocks(t *testing.T) {
	for _, site := range []Site{{69.65, 18.96, 10, 1}, {-77.85, 166.67, 10, 12}, {90, 0, 0, 0}, {0, 100, 0, 12}, {0, 0, 0, -9}} {
		y := &Year{Site: site, CalendarYear: 2024, StepS: 1800}
		y.AmbientC = make([]float64, y.Len())
		clear := y.ClearSky(y.Sun(), 2)
		c := clear.Quality(nil).check(t, "time_shift")
		assert.Equal(t, VerdictPass, c.Verdict, "%v: %v", site, c.Months)
	}
}

func BenchmarkQuality(b *testing.B) {
	y := openYear(b, "burlington_vt_tmy3.csv")
	b.ReportAllocs()
	for b.Loop() {
		y.Quality(nil)
	}
}
