package weather

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/klauspost/compress/gzip"
	"github.com/klauspost/compress/zstd"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// openFile gives the bytes of one of the open weather files, still gzip'd.
func openFile(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "testdata", "weather", name+".gz"))
	require.NoError(t, err)
	return b
}

// plainFile gives its text.
func plainFile(t testing.TB, name string) string {
	t.Helper()
	z, err := gzip.NewReader(bytes.NewReader(openFile(t, name)))
	require.NoError(t, err)
	var b bytes.Buffer
	_, err = b.ReadFrom(z)
	require.NoError(t, err)
	return b.String()
}

// openYears are the open typical-year files with the annual figures of
// testdata/SOURCES.md: kWh/m², °C, hours below 0 °C.
var openYears = []struct {
	file                          string
	site                          Site
	ghi, dni, dhi, mean, min, max float64
	below0                        int
}{
	{"burlington_vt_tmy3.csv", Site{44.467, -73.150, 101, -5}, 1341.2, 1232.7, 650.7, 7.9, -27.8, 37.2, 2280},
	{"chicago_ohare_il_tmy3.csv", Site{41.983, -87.917, 201, -6}, 1406.7, 1294.3, 660.3, 10.0, -22.8, 35.0, 1788},
	{"daggett_ca_tmy3.csv", Site{34.850, -116.800, 586, -8}, 2089.6, 2723.5, 469.0, 19.7, -5.0, 46.7, 85},
	{"arcata_ca_tmy3.csv", Site{40.983, -124.100, 62, -8}, 1412.4, 1323.2, 652.8, 10.7, -3.3, 26.1, 36},
	{"miami_fl_tmy3.csv", Site{25.817, -80.300, 11, -5}, 1753.1, 1453.5, 811.1, 24.5, 5.0, 35.6, 0},
	{"tucson_az_tmy3.csv", Site{32.133, -110.950, 777, -7}, 2061.8, 2546.8, 522.9, 20.4, -3.3, 41.7, 30},
	{"tucson_az_tmy3.epw", Site{32.13, -110.95, 777, -7}, 2061.8, 2546.8, 522.9, 20.4, -3.3, 41.7, 30},
	{"honolulu_hi_tmy3.csv", Site{21.317, -157.933, 2, -10}, 1953.0, 1855.0, 730.5, 24.9, 13.3, 33.3, 0},
}

func TestRead_OpenYears(t *testing.T) {
	for _, want := range openYears {
		t.Run(want.file, func(t *testing.T) {
			got, err := Read(bytes.NewReader(openFile(t, want.file)), ReadOptions{})
			require.NoError(t, err)
			y := got.Year
			assert.Equal(t, want.site, y.Site)
			assert.Equal(t, 3600, y.StepS)
			assert.Equal(t, 2023, y.CalendarYear)
			assert.Empty(t, y.Check().List)
			assert.InDelta(t, want.ghi, sum(y.GHI)/1000, 0.06)
			assert.InDelta(t, want.dni, sum(y.DNI)/1000, 0.06)
			assert.InDelta(t, want.dhi, sum(y.DHI)/1000, 0.06)
			lo, hi, below := 99.0, -99.0, 0
			for _, c := range y.AmbientC {
				lo, hi = min(lo, c), max(hi, c)
				if c < 0 {
					below++
				}
			}
			assert.InDelta(t, want.mean, sum(y.AmbientC)/8760, 0.05)
			assert.Equal(t, want.min, lo)
			assert.Equal(t, want.max, hi)
			assert.Equal(t, want.below0, below)
			assert.Len(t, y.WindMS, 8760)
		})
	}
}

func sum(values []float64) float64 {
	total := 0.0
	for _, x := range values {
		total += x
	}
	return total
}

// Row 8 of the Burlington file ends at 08:00, so that its 15 W/m² belong to
// the interval from 07:00; the last row ends at 24:00 on 31 December.
func TestRead_TypicalHoursAreMovedToTheirStart(t *testing.T) {
	got, err := Read(bytes.NewReader(openFile(t, "burlington_vt_tmy3.csv")), ReadOptions{})
	require.NoError(t, err)
	y := got.Year
	assert.Equal(t, 15.0, y.GHI[7])
	assert.Equal(t, "2023-01-01 07:00 -0500", y.Start(7).Format("2006-01-02 15:04 -0700"))
	assert.Equal(t, -5.6, y.AmbientC[8759])
	assert.Equal(t, 2.1, y.WindMS[0])
}

// The two files hold the same year (testdata/SOURCES.md).
func TestRead_TMY3AndEPWAgree(t *testing.T) {
	tmy, err := Read(bytes.NewReader(openFile(t, "tucson_az_tmy3.csv")), ReadOptions{})
	require.NoError(t, err)
	epw, err := Read(bytes.NewReader(openFile(t, "tucson_az_tmy3.epw")), ReadOptions{})
	require.NoError(t, err)
	assert.Equal(t, tmy.Year.GHI, epw.Year.GHI)
	assert.Equal(t, tmy.Year.DNI, epw.Year.DNI)
	assert.Equal(t, tmy.Year.DHI, epw.Year.DHI)
	assert.Equal(t, tmy.Year.AmbientC, epw.Year.AmbientC)
	assert.Equal(t, tmy.Year.WindMS, epw.Year.WindMS)
	assert.Equal(t, FormatTMY3, tmy.Format)
	assert.Equal(t, FormatEPW, epw.Format)
}

func TestRead_CompressedAndLineEndsMakeNoDifference(t *testing.T) {
	text := plainFile(t, "chicago_ohare_il_tmy3.csv")
	want, err := Read(strings.NewReader(text), ReadOptions{})
	require.NoError(t, err)
	var gz, zst bytes.Buffer
	zw := gzip.NewWriter(&gz)
	_, err = zw.Write([]byte(text))
	require.NoError(t, err)
	require.NoError(t, zw.Close())
	sw, err := zstd.NewWriter(&zst)
	require.NoError(t, err)
	_, err = sw.Write([]byte(text))
	require.NoError(t, err)
	require.NoError(t, sw.Close())
	unix := strings.ReplaceAll(text, "\r\n", "\n")
	for name, b := range map[string]string{
		"gzip": gz.String(), "zstd": zst.String(),
		"LF": unix, "CRLF": strings.ReplaceAll(unix, "\n", "\r\n"),
		"byte order mark": "\ufeff" + text, "no last line end": strings.TrimRight(text, "\r\n"),
		"blank lines at the end": text + "\r\n\n",
	} {
		got, err := Read(strings.NewReader(b), ReadOptions{})
		if assert.NoError(t, err, name) {
			assert.Equal(t, want.Year.Hash(), got.Year.Hash(), name)
		}
	}
}

func TestRead_LeapCalendarYear(t *testing.T) {
	got, err := Read(bytes.NewReader(openFile(t, "miami_fl_tmy3.csv")), ReadOptions{CalendarYear: 2024})
	require.NoError(t, err)
	y := got.Year
	assert.Equal(t, 8784, y.Len())
	assert.Equal(t, y.GHI[58*24:59*24], y.GHI[59*24:60*24])
	assert.Equal(t, []Assumed{{"leap_day", "28 February repeated", "the file has no 29 February and the calendar year has one"}}, got.Assumed)

	common, err := Read(bytes.NewReader(openFile(t, "miami_fl_tmy3.csv")), ReadOptions{CalendarYear: 2025})
	require.NoError(t, err)
	assert.Equal(t, common.Year.GHI[59*24:], y.GHI[60*24:])
	assert.Empty(t, common.Assumed)
}

func BenchmarkRead_TMY3(b *testing.B) { benchmarkRead(b, "burlington_vt_tmy3.csv") }
func BenchmarkRead_EPW(b *testing.B)  { benchmarkRead(b, "tucson_az_tmy3.epw") }

func benchmarkRead(b *testing.B, name string) {
	text := []byte(plainFile(b, name))
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(bytes.NewReader(text), ReadOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRead_TMY3Gzip(b *testing.B) {
	text := openFile(b, "burlington_vt_tmy3.csv")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(bytes.NewReader(text), ReadOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
