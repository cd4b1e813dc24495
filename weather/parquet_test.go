package weather

import (
	"bytes"
	"math"
	"testing"
	"time"

	"github.com/parquet-go/parquet-go"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestWriteParquet_ReadsBackTheSame(t *testing.T) {
	for _, open := range openYears {
		y := openYear(t, open.file)
		var b, again bytes.Buffer
		fills := []Fill{{"ambient_c", 6, 2, FillInterpolated}, {"ghi_w_m2", 7, 1, FillClosure}}
		require.NoError(t, WriteParquet(&b, y, fills))
		require.NoError(t, WriteParquet(&again, y, fills))
		assert.Equal(t, b.Bytes(), again.Bytes(), "the same year gives the same bytes")
		got, err := Read(&b, ReadOptions{})
		require.NoError(t, err)
		assert.Equal(t, FormatParquet, got.Format)
		assert.Equal(t, y, got.Year)
		assert.Equal(t, fills, got.Filled)
		assert.Empty(t, got.Assumed)
	}
}

func TestWriteParquet_RoundTripsAnyYear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := drawYear(t)
		var b bytes.Buffer
		if err := WriteParquet(&b, y, nil); err != nil {
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

func TestWriteParquet_Layout(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, WriteParquet(&b, openYear(t, "burlington_vt_tmy3.csv"), nil))
	f, err := parquet.OpenFile(bytes.NewReader(b.Bytes()), int64(b.Len()))
	require.NoError(t, err)
	assert.Equal(t, [][]string{{"start"}, {"ghi_w_m2"}, {"dni_w_m2"}, {"dhi_w_m2"}, {"ambient_c"}, {"wind_m_s"}}, f.Schema().Columns())
	for key, want := range map[string]string{"format": "weather-year/1", "latitude_deg": "44.467", "calendar_year": "2023", "step_s": "3600", "unit:ambient_c": "°C"} {
		got, _ := f.Lookup(key)
		assert.Equal(t, want, got, key)
	}
	assert.EqualValues(t, 8760, f.NumRows())
	t.Logf("%d bytes", b.Len())
}

// foreign is a layout as other programs write it: instants in UTC, float32,
// nulls as gaps, names and order of their own.
type foreign struct {
	Temp  *float32  `parquet:"temp_air,optional"`
	Note  string    `parquet:"note"`
	Time  time.Time `parquet:"time,timestamp(microsecond:utc)"`
	GHI   *float64  `parquet:"ghi,optional"`
	Extra []int32   `parquet:"extra,list"`
}

func foreignFile(t *testing.T, change func([]foreign)) []byte {
	start := time.Date(2023, 1, 1, 5, 0, 0, 0, time.UTC)
	rows := make([]foreign, 8760)
	for i := range rows {
		at := start.Add(time.Duration(i) * time.Hour)
		sun := 0.0
		if h := i % 24; h >= 10 && h < 14 {
			sun = 100
		}
		cold := float32(-0.5)
		rows[i] = foreign{Temp: &cold, Time: at, GHI: &sun, Extra: []int32{1, 2}}
	}
	if change != nil {
		change(rows)
	}
	var b bytes.Buffer
	w := parquet.NewGenericWriter[foreign](&b, parquet.MaxRowsPerRowGroup(1000))
	_, err := w.Write(rows)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return b.Bytes()
}

func TestRead_ForeignParquet(t *testing.T) {
	o := ReadOptions{Site: &valley}
	got, err := Read(bytes.NewReader(foreignFile(t, nil)), o)
	require.NoError(t, err)
	assert.Equal(t, 2023, got.Year.CalendarYear)
	assert.Equal(t, 100.0, got.Year.GHI[10])
	assert.Equal(t, 0.0, got.Year.GHI[14])
	assert.Equal(t, -0.5, got.Year.AmbientC[8759])

	got, err = Read(bytes.NewReader(foreignFile(t, func(r []foreign) { r[100].GHI = nil })), o)
	require.NoError(t, err)
	assert.Equal(t, []Fill{{"ghi_w_m2", 100, 1, FillInterpolated}}, got.Filled)

	hot, infinite := float32(900), math.Inf(1)
	_, err = Read(bytes.NewReader(foreignFile(t, func(r []foreign) { r[100].Temp = &hot; r[3000].GHI = &infinite })), o)
	assertFault(t, err, wantFault{ErrRange, 101, 1, "ambient_c"})
	assertFault(t, err, wantFault{ErrNumber, 3001, 4, "ghi_w_m2"})
	_, err = Read(bytes.NewReader(foreignFile(t, func(r []foreign) { r[100].Time = r[99].Time })), o)
	assertFault(t, err, wantFault{ErrRepeat, 101, 0, ""})
	_, err = Read(bytes.NewReader(foreignFile(t, func(r []foreign) { r[100].Time = r[100].Time.Add(time.Second) })), o)
	assertFault(t, err, wantFault{ErrTime, 101, 3, "time"})
	_, err = Read(bytes.NewReader(foreignFile(t, nil)), ReadOptions{})
	assertFault(t, err, wantFault{ErrFormat, 0, 0, "site"})
}

// Every cut and many flipped bytes: a problem or a year, never a panic.
func TestRead_DamagedParquet(t *testing.T) {
	whole := foreignFile(t, nil)
	for _, n := range []int{4, 11, 12, 100, len(whole) / 2, len(whole) - 9, len(whole) - 1} {
		_, err := Read(bytes.NewReader(whole[:n]), ReadOptions{Site: &valley, Format: FormatParquet})
		assert.ErrorIs(t, err, ErrDamaged, n)
	}
	for i := 0; i < len(whole); i += 997 {
		b := bytes.Clone(whole)
		b[i] ^= 0x5a
		_, err := Read(bytes.NewReader(b), ReadOptions{Site: &valley})
		if err != nil {
			var p *Problems
			require.ErrorAs(t, err, &p)
		}
	}
}

func BenchmarkWriteParquet(b *testing.B) {
	y := openYear(b, "burlington_vt_tmy3.csv")
	b.ReportAllocs()
	for b.Loop() {
		if err := WriteParquet(new(bytes.Buffer), y, nil); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRead_Parquet(b *testing.B) {
	var file bytes.Buffer
	require.NoError(b, WriteParquet(&file, openYear(b, "burlington_vt_tmy3.csv"), nil))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(bytes.NewReader(file.Bytes()), ReadOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
