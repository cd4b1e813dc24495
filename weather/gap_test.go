package weather

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func openYear(t testing.TB, name string) *Year {
	t.Helper()
	got, err := Read(bytes.NewReader(openFile(t, name)), ReadOptions{})
	require.NoError(t, err)
	return got.Year
}

// clone copies a year with its columns.
func (y *Year) clone() *Year {
	out := *y
	for c := range columns {
		*out.values(c) = slices.Clone(*y.values(c))
	}
	return &out
}

func cut(y *Year, from, to int, of ...column) {
	for _, c := range of {
		for i := from; i < to; i++ {
			(*y.values(c))[i] = math.NaN()
		}
	}
}

// Measured hours taken out of the open files and filled again: clearness must
// come closer to them than a straight line through the irradiance does.
func TestFillGaps_ClearnessBeatsAStraightLine(t *testing.T) {
	for _, name := range []string{"tucson_az_tmy3.csv", "burlington_vt_tmy3.csv", "miami_fl_tmy3.csv"} {
		truth := openYear(t, name)
		y := truth.clone()
		for i := 9; i+3 < 8760; i += 55 { // 3 h, all times of day in turn
			cut(y, i, i+3, ghi, dni, dhi, ambient, wind)
		}
		fills, left := fillGaps(y, y.Sun(), 3)
		require.Empty(t, left)
		var clearness, line, daylight, bias float64
		for _, f := range fills {
			assert.Equal(t, FillInterpolated, f.Rule)
			if f.Member != "ghi_w_m2" {
				continue
			}
			a, b := truth.GHI[f.Index-1], truth.GHI[f.Index+f.Count]
			for j := range f.Count {
				i := f.Index + j
				clearness += math.Pow(y.GHI[i]-truth.GHI[i], 2)
				line += math.Pow(a+(b-a)*float64(j+1)/float64(f.Count+1)-truth.GHI[i], 2)
				daylight += truth.GHI[i]
				bias += y.GHI[i] - truth.GHI[i]
			}
		}
		t.Logf("%s: squared error %.2f of a straight line's", name, clearness/line)
		assert.Less(t, clearness, 0.9*line, name)
		assert.Less(t, math.Abs(bias), 0.05*daylight, name)
	}
}

func TestFillGaps_Rules(t *testing.T) {
	truth := openYear(t, "tucson_az_tmy3.csv")
	sun := truth.Sun()
	noon := 24*100 + 12

	t.Run("closure", func(t *testing.T) {
		y := truth.clone()
		cut(y, noon, noon+1, ghi)
		cut(y, noon+24, noon+25, dhi)
		cut(y, noon+48, noon+49, dni)
		fills, left := fillGaps(y, sun, 3)
		assert.Empty(t, left)
		assert.Equal(t, []Fill{{"ghi_w_m2", noon, 1, FillClosure}, {"dni_w_m2", noon + 48, 1, FillClosure}, {"dhi_w_m2", noon + 24, 1, FillClosure}}, fills)
		assert.InDelta(t, truth.DHI[noon]+truth.DNI[noon]*sun.CosZenith[noon], y.GHI[noon], 1e-9)
		assert.InDelta(t, truth.GHI[noon+24]-truth.DNI[noon+24]*sun.CosZenith[noon+24], y.DHI[noon+24], 1e-9)
		assert.InDelta(t, (truth.GHI[noon+48]-truth.DHI[noon+48])/sun.CosZenith[noon+48], y.DNI[noon+48], 1e-9)
	})
	t.Run("temperature on a straight line", func(t *testing.T) {
		y := truth.clone()
		y.AmbientC[49], y.AmbientC[53] = 10, 18
		cut(y, 50, 53, ambient)
		_, left := fillGaps(y, sun, 3)
		assert.Empty(t, left)
		assert.InDeltaSlice(t, []float64{10, 12, 14, 16, 18}, y.AmbientC[49:54], 1e-12)
	})
	t.Run("night is dark", func(t *testing.T) {
		y := truth.clone()
		cut(y, 24*10, 24*10+3, ghi, dni, dhi)
		_, left := fillGaps(y, sun, 3)
		assert.Empty(t, left)
		assert.Equal(t, []float64{0, 0, 0}, y.GHI[240:243])
	})
	t.Run("long ones are refused unless asked", func(t *testing.T) {
		y := truth.clone()
		cut(y, noon, noon+4, ghi, dni, dhi)
		_, left := fillGaps(y, sun, 3)
		assert.Equal(t, []gap{{ghi, noon, noon + 4}, {dni, noon, noon + 4}, {dhi, noon, noon + 4}}, left)
		assert.True(t, math.IsNaN(y.GHI[noon]))
		fills, left := fillGaps(y, sun, 4)
		assert.Empty(t, left)
		assert.Equal(t, Fill{"ghi_w_m2", noon, 4, FillNearbyDays}, fills[0])
	})
	t.Run("nothing at all is refused", func(t *testing.T) {
		y := truth.clone()
		cut(y, 0, 8760, ambient)
		_, left := fillGaps(y, sun, 9000)
		assert.Len(t, left, 1)
	})
	t.Run("0 refuses every gap but what follows from the rest", func(t *testing.T) {
		y := truth.clone()
		cut(y, noon, noon+1, ambient)
		_, left := fillGaps(y, sun, 0)
		assert.Len(t, left, 1)
	})
}

// In a year of one clearness a gap of days is filled with what was there.
func TestFillGaps_LongGapKeepsAConstantClearness(t *testing.T) {
	y := openYear(t, "arcata_ca_tmy3.csv")
	sun := y.Sun()
	y.DNI, y.DHI = nil, nil
	for i := range y.GHI {
		y.GHI[i] = 0.5 * sun.ExtraterrestrialWM2[i] * max(0, sun.CosZenith[i]) * sun.SunlitFraction[i]
	}
	truth := y.clone()
	from, to := 24*80, 24*90
	cut(y, from, to, ghi)
	_, left := fillGaps(y, sun, 240)
	require.Empty(t, left)
	assert.InEpsilon(t, sum(truth.GHI[from:to]), sum(y.GHI[from:to]), 0.005)
	for i := from; i < to; i++ {
		assert.InDelta(t, truth.GHI[i], y.GHI[i], 15)
	}
}

// Whatever is cut out: each filled sample is marked and in range, the others
// are as they were, and nothing is missing when everything was allowed.
func TestFillGaps_MarksWhatItFills(t *testing.T) {
	truth := openYear(t, "burlington_vt_tmy3.csv")
	sun := truth.Sun()
	rapid.Check(t, func(t *rapid.T) {
		y := truth.clone()
		for range rapid.IntRange(1, 20).Draw(t, "gaps") {
			c := column(rapid.SampledFrom([]int{int(ghi), int(dni), int(dhi), int(ambient), int(wind)}).Draw(t, "column"))
			from := rapid.IntRange(0, 8759).Draw(t, "from")
			cut(y, from, min(8760, from+rapid.IntRange(1, 100).Draw(t, "length")), c)
		}
		before := y.clone()
		fills, left := fillGaps(y, sun, 720)
		if len(left) > 0 {
			t.Fatalf("left %v", left)
		}
		marked := map[string]map[int]bool{}
		for _, f := range sortFills(fills) {
			for i := f.Index; i < f.Index+f.Count; i++ {
				if marked[f.Member] == nil {
					marked[f.Member] = map[int]bool{}
				}
				marked[f.Member][i] = true
			}
		}
		for c := range columns {
			info := columnInfos[c]
			for i, x := range *before.values(c) {
				got := (*y.values(c))[i]
				if math.IsNaN(x) != marked[info.name][i] {
					t.Fatalf("%s[%d]: missing %v, marked %v", info.name, i, math.IsNaN(x), marked[info.name][i])
				}
				if !math.IsNaN(x) && got != x || !(got >= info.min && got <= info.max) {
					t.Fatalf("%s[%d]: %v became %v", info.name, i, x, got)
				}
			}
		}
	})
}

func TestRead_FillsShortGapsAndSaysSo(t *testing.T) {
	lines := strings.Split(strings.TrimRight(plainFile(t, "burlington_vt_tmy3.csv"), "\r\n"), "\n")
	lines = removeLines(1000, 1001)(lines)
	lines = replaceField(3000, 32, "-9900")(lines)
	got, err := Read(strings.NewReader(strings.Join(lines, "\n")), ReadOptions{CalendarYear: 2023})
	require.NoError(t, err)
	assert.Equal(t, []Assumed{{"gaps", "filled", "11 missing values in gaps of up to 3 h"}}, got.Assumed)
	assert.Equal(t, []Fill{
		{"ambient_c", 997, 2, FillInterpolated}, {"ambient_c", 2999, 1, FillInterpolated}, {"dhi_w_m2", 997, 2, FillInterpolated},
		{"dni_w_m2", 997, 2, FillInterpolated}, {"ghi_w_m2", 997, 2, FillInterpolated}, {"wind_m_s", 997, 2, FillInterpolated},
	}, got.Filled)
	assert.NoError(t, got.Year.Check().Err())

	_, err = Read(strings.NewReader(strings.Join(lines, "\n")), ReadOptions{FillGapsUpToH: new(float64)})
	assertFault(t, err, wantFault{ErrMissing, 999, 0, ""})
	assertFault(t, err, wantFault{ErrMissing, 3000, 32, "ambient_c"})
}
