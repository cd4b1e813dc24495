package weather

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestWriteCSV_ReadsBackTheSame(t *testing.T) {
	for _, open := range openYears {
		y := openYear(t, open.file)
		var b bytes.Buffer
		require.NoError(t, WriteCSV(&b, y, nil))
		got, err := Read(&b, ReadOptions{})
		require.NoError(t, err)
		assert.Equal(t, y, got.Year)
		assert.Empty(t, got.Assumed)
		assert.Empty(t, got.Filled)
	}
}

func TestWriteCSV_Text(t *testing.T) {
	y := openYear(t, "burlington_vt_tmy3.csv")
	var b bytes.Buffer
	require.NoError(t, WriteCSV(&b, y, []Fill{{"ghi_w_m2", 7, 1, FillClosure}, {"ambient_c", 6, 2, FillInterpolated}}))
	lines := strings.Split(b.String(), "\n")
	assert.Equal(t, []string{
		"# latitude_deg: 44.467", "# longitude_deg: -73.15", "# elevation_m: 101", "# utc_offset_h: -5", "# interval_label: start",
		"start,ghi_w_m2,dni_w_m2,dhi_w_m2,ambient_c,wind_m_s,filled",
		"2023-01-01T00:00,0,0,0,-8.3,2.1,",
	}, lines[:7])
	assert.Equal(t, "2023-01-01T07:00,15,11,14,-9.4,3.1,ghi_w_m2=closure ambient_c=interpolated", lines[13])
	assert.Len(t, lines, 6+8760+1)

	got, err := Read(strings.NewReader(b.String()), ReadOptions{})
	require.NoError(t, err)
	assert.Equal(t, []Fill{{"ambient_c", 6, 2, FillInterpolated}, {"ghi_w_m2", 7, 1, FillClosure}}, got.Filled)

	_, err = Read(strings.NewReader(strings.Replace(b.String(), "=closure", "=guess", 1)), ReadOptions{})
	assertFault(t, err, wantFault{ErrFormat, 14, 7, "filled"})
	_, err = Read(strings.NewReader(strings.Replace(b.String(), "label: start", "label: begin", 1)), ReadOptions{})
	assertFault(t, err, wantFault{ErrFormat, 5, 0, "interval_label"})
}

// drawYear makes any valid hourly or finer year: few distinct values, so that
// it is quick to draw, but of every size that the columns allow.
func drawYear(t *rapid.T) *Year {
	y := &Year{
		Site: Site{rapid.Float64Range(-90, 90).Draw(t, "latitude"), rapid.Float64Range(-180, 180).Draw(t, "longitude"),
			rapid.Float64Range(-500, 6000).Draw(t, "elevation"), rapid.SampledFrom([]float64{-12, -3.5, 0, 5.75, 14}).Draw(t, "offset")},
		CalendarYear: rapid.IntRange(1900, 2100).Draw(t, "year"),
		StepS:        rapid.SampledFrom([]int{3600, 3600, 3600, 1800}).Draw(t, "step"),
	}
	given := []column{ambient}
	switch rapid.IntRange(0, 2).Draw(t, "irradiance") {
	case 0:
		given = append(given, ghi)
	case 1:
		given = append(given, ghi, dni, dhi)
	case 2:
		given = append(given, plane)
	}
	if rapid.Bool().Draw(t, "wind") {
		given = append(given, wind)
	}
	for _, c := range given {
		info := columnInfos[c]
		high := info.max
		if c.isIrradiance() {
			high = nightWM2 // so that no night is too bright
		}
		some := rapid.SliceOfN(rapid.Float64Range(info.min, high), 1, 7).Draw(t, info.name)
		values := make([]float64, y.Len())
		for i := range values {
			values[i] = some[i%len(some)]
		}
		*y.values(c) = values
	}
	return y
}

func TestWriteCSV_RoundTripsAnyYear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := drawYear(t)
		if err := y.Check().Err(); err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := WriteCSV(&b, y, nil); err != nil {
			t.Fatal(err)
		}
		got, err := Read(&b, ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if err := sameYear(y, got.Year); err != nil {
			t.Fatal(err)
		}
	})
}

// sameYear compares bit by bit, −0 and 0 being the same.
func sameYear(a, b *Year) error {
	if a.Site != b.Site || a.CalendarYear != b.CalendarYear || a.StepS != b.StepS {
		return fmt.Errorf("%+v %d %d is not %+v %d %d", a.Site, a.CalendarYear, a.StepS, b.Site, b.CalendarYear, b.StepS)
	}
	for c := range columns {
		va, vb := *a.values(c), *b.values(c)
		if (va == nil) != (vb == nil) || len(va) != len(vb) {
			return fmt.Errorf("%s: %d rows are not %d", c, len(va), len(vb))
		}
		for i := range va {
			if math.Float64bits(va[i]+0) != math.Float64bits(vb[i]+0) {
				return fmt.Errorf("%s[%d]: %v is not %v", c, i, va[i], vb[i])
			}
		}
	}
	if a.Hash() != b.Hash() {
		return fmt.Errorf("hashes differ")
	}
	return nil
}

func BenchmarkWriteCSV(b *testing.B) {
	y := openYear(b, "burlington_vt_tmy3.csv")
	b.ReportAllocs()
	for b.Loop() {
		if err := WriteCSV(new(bytes.Buffer), y, nil); err != nil {
			b.Fatal(err)
		}
	}
}
