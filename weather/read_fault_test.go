package weather

import (
	"errors"
	"io"
	"math"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// edit is a change of one line (from 1) of a file; an empty result removes it.
type edit func(lines []string) []string

func replaceField(line, field int, text string) edit {
	return func(lines []string) []string {
		fields := strings.Split(lines[line-1], ",")
		fields[field-1] = text
		lines[line-1] = strings.Join(fields, ",")
		return lines
	}
}

func each(edits ...edit) edit {
	return func(lines []string) []string {
		for _, e := range edits {
			lines = e(lines)
		}
		return lines
	}
}

func removeLines(from, to int) edit {
	return func(lines []string) []string { return append(lines[:from-1:from-1], lines[to:]...) }
}

func swapLines(a, b int) edit {
	return func(lines []string) []string { lines[a-1], lines[b-1] = lines[b-1], lines[a-1]; return lines }
}

func repeatLine(a int) edit {
	return func(lines []string) []string {
		return append(lines[:a:a], lines[a-1:]...)
	}
}

// wantFault is where a problem must be said to be.
type wantFault struct {
	cause        error
	line, column int
	member       string
}

func assertFault(t *testing.T, err error, want wantFault) {
	t.Helper()
	var all *Problems
	if !assert.ErrorAs(t, err, &all) {
		return
	}
	assert.ErrorIs(t, err, want.cause)
	for _, p := range all.List {
		if errors.Is(p, want.cause) && p.Line == want.line && p.Column == want.column && p.Member == want.member {
			return
		}
	}
	t.Errorf("no problem with line %d, column %d, member %q among:\n%v", want.line, want.column, want.member, err)
}

func TestRead_TypicalFaults(t *testing.T) {
	for name, c := range map[string]struct {
		file string
		edit edit
		want wantFault
	}{
		"tmy3 no number":          {"burlington_vt_tmy3.csv", replaceField(14, 5, "n/a"), wantFault{ErrNumber, 14, 5, "ghi_w_m2"}},
		"tmy3 NaN":                {"burlington_vt_tmy3.csv", replaceField(14, 8, "NaN"), wantFault{ErrNumber, 14, 8, "dni_w_m2"}},
		"tmy3 infinite":           {"burlington_vt_tmy3.csv", replaceField(14, 8, "-Inf"), wantFault{ErrNumber, 14, 8, "dni_w_m2"}},
		"tmy3 hexadecimal":        {"burlington_vt_tmy3.csv", replaceField(14, 8, "0x1p4"), wantFault{ErrNumber, 14, 8, "dni_w_m2"}},
		"tmy3 out of range":       {"burlington_vt_tmy3.csv", replaceField(14, 32, "95.2"), wantFault{ErrRange, 14, 32, "ambient_c"}},
		"tmy3 negative":           {"burlington_vt_tmy3.csv", replaceField(14, 11, "-30"), wantFault{ErrRange, 14, 11, "dhi_w_m2"}},
		"tmy3 row missing":        {"burlington_vt_tmy3.csv", removeLines(1000, 1003), wantFault{ErrMissing, 999, 0, ""}},
		"tmy3 last day missing":   {"burlington_vt_tmy3.csv", removeLines(8739, 8762), wantFault{ErrMissing, 8738, 0, ""}},
		"tmy3 row twice":          {"burlington_vt_tmy3.csv", repeatLine(1000), wantFault{ErrRepeat, 1001, 0, ""}},
		"tmy3 out of order":       {"burlington_vt_tmy3.csv", swapLines(1000, 1001), wantFault{ErrOrder, 1001, 0, ""}},
		"tmy3 strong at night":    {"burlington_vt_tmy3.csv", replaceField(4, 5, "300"), wantFault{ErrNight, 4, 5, "ghi_w_m2"}},
		"tmy3 no such day":        {"burlington_vt_tmy3.csv", replaceField(800, 1, "02/30/1990"), wantFault{ErrTime, 800, 1, ""}},
		"tmy3 no date":            {"burlington_vt_tmy3.csv", replaceField(800, 1, "1990-02-03"), wantFault{ErrTime, 800, 1, "Date (MM/DD/YYYY)"}},
		"tmy3 hour 25":            {"burlington_vt_tmy3.csv", replaceField(800, 2, "25:00"), wantFault{ErrTime, 800, 2, "Time (HH:MM)"}},
		"tmy3 short row":          {"burlington_vt_tmy3.csv", func(l []string) []string { l[99] = l[99][:60]; return l }, wantFault{ErrMissing, 100, 32, "ambient_c"}},
		"tmy3 open quote":         {"burlington_vt_tmy3.csv", replaceField(100, 5, `"12`), wantFault{ErrFormat, 100, 5, ""}},
		"tmy3 missing code":       {"burlington_vt_tmy3.csv", each(replaceField(100, 32, "-9900"), replaceField(101, 32, "-9900"), replaceField(102, 32, ""), replaceField(103, 32, "-9900")), wantFault{ErrMissing, 100, 32, "ambient_c"}},
		"tmy3 no DNI column":      {"burlington_vt_tmy3.csv", replaceField(2, 8, "beam"), wantFault{ErrColumn, 2, 0, "DNI (W/m^2)"}},
		"tmy3 latitude":           {"burlington_vt_tmy3.csv", replaceField(1, 5, "144.467"), wantFault{ErrFormat, 1, 5, "latitude_deg"}},
		"epw no number":           {"tucson_az_tmy3.epw", replaceField(20, 14, "-"), wantFault{ErrNumber, 20, 14, "ghi_w_m2"}},
		"epw missing code":        {"tucson_az_tmy3.epw", each(replaceField(20, 7, "99.9"), replaceField(21, 7, "99.9"), replaceField(22, 7, "99.9"), replaceField(23, 7, "99.9")), wantFault{ErrMissing, 20, 7, "ambient_c"}},
		"epw hour 0":              {"tucson_az_tmy3.epw", replaceField(20, 4, "0"), wantFault{ErrTime, 20, 4, "hour"}},
		"epw short row":           {"tucson_az_tmy3.epw", func(l []string) []string { l[99] = "2002,1,4,20,0,?,7.2"; return l }, wantFault{ErrMissing, 100, 7, ""}},
		"epw header line missing": {"tucson_az_tmy3.epw", removeLines(5, 5), wantFault{ErrFormat, 5, 1, ""}},
		"epw rows an hour":        {"tucson_az_tmy3.epw", replaceField(8, 3, "7"), wantFault{ErrFormat, 8, 3, "rows an hour"}},
		"epw ends in header":      {"tucson_az_tmy3.epw", removeLines(4, 8768), wantFault{ErrFormat, 4, 0, ""}},
	} {
		t.Run(name, func(t *testing.T) {
			lines := strings.Split(strings.TrimRight(plainFile(t, c.file), "\r\n"), "\n")
			text := strings.Join(c.edit(lines), "\n")
			_, err := Read(strings.NewReader(text), ReadOptions{})
			assertFault(t, err, c.want)
		})
	}
}

// Everything wrong is said at once, and one bad column does not hide another.
func TestRead_AllFaultsAtOnce(t *testing.T) {
	lines := strings.Split(strings.TrimRight(plainFile(t, "burlington_vt_tmy3.csv"), "\r\n"), "\n")
	for i := 2; i < len(lines); i++ {
		lines = replaceField(i+1, 5, "x")(lines)
	}
	lines = replaceField(5000, 46+1, "-1")(lines)
	lines = replaceField(8000, 32, "cold")(lines)
	lines = repeatLine(8700)(lines)
	_, err := Read(strings.NewReader(strings.Join(lines, "\n")), ReadOptions{})
	var all *Problems
	require.ErrorAs(t, err, &all)
	assert.LessOrEqual(t, len(all.List), 100)
	assertFault(t, err, wantFault{ErrNumber, 3, 5, "ghi_w_m2"})
	assertFault(t, err, wantFault{ErrRange, 5000, 47, "wind_m_s"})
	assertFault(t, err, wantFault{ErrNumber, 8000, 32, "ambient_c"})
	assertFault(t, err, wantFault{ErrRepeat, 8701, 0, ""})
	assert.Equal(t, 8761+3, len(all.List)+all.More)
	assert.Contains(t, err.Error(), "line 3, column 5: ghi_w_m2 is not a finite number (leave a gap empty), got x, allowed 0 to 2000 W/m²")
	assert.Contains(t, err.Error(), "more")
}

func TestRead_DamagedAndFailingSources(t *testing.T) {
	whole := openFile(t, "arcata_ca_tmy3.csv")
	cut := whole[:len(whole)/2]
	_, err := Read(strings.NewReader(string(cut)), ReadOptions{})
	assertFault(t, err, wantFault{cause: ErrDamaged})

	flipped := append([]byte(nil), whole...)
	flipped[len(flipped)/2] ^= 0xff
	_, err = Read(strings.NewReader(string(flipped)), ReadOptions{})
	assert.Error(t, err)
	assert.ErrorIs(t, err, ErrDamaged)

	gone := errors.New("the disk is gone")
	_, err = Read(io.MultiReader(strings.NewReader(string(cut)), iotest.ErrReader(gone)), ReadOptions{})
	assert.ErrorIs(t, err, gone)
	assert.NotErrorIs(t, err, ErrDamaged)

	_, err = Read(strings.NewReader("\xff\xfes\x00t\x00"), ReadOptions{})
	assertFault(t, err, wantFault{ErrFormat, 1, 0, ""})

	_, err = Read(strings.NewReader("LOCATION,"+strings.Repeat("x", 70_000)), ReadOptions{})
	assert.ErrorIs(t, err, ErrTooLarge)
}

func TestYear_Check(t *testing.T) {
	flat := func(n int, x float64) []float64 {
		v := make([]float64, n)
		for i := range v {
			v[i] = x
		}
		return v
	}
	good := func() *Year {
		return &Year{Site: Site{LatitudeDeg: 44, LongitudeDeg: -73, UTCOffsetH: -5}, CalendarYear: 2023, StepS: 3600, GHI: flat(8760, 0), AmbientC: flat(8760, 10)}
	}
	assert.NoError(t, good().Check().Err())
	for name, c := range map[string]struct {
		change func(*Year)
		cause  error
		member string
		index  int
	}{
		"leap year":          {func(y *Year) { y.CalendarYear = 2024 }, ErrCalendar, "ghi_w_m2", -1},
		"half-hour length":   {func(y *Year) { y.StepS = 1800 }, ErrLength, "ambient_c", -1},
		"step":               {func(y *Year) { y.StepS = 1200 }, ErrCalendar, "step_s", -1},
		"calendar":           {func(y *Year) { y.CalendarYear = 0 }, ErrCalendar, "calendar_year", -1},
		"no temperature":     {func(y *Year) { y.AmbientC = nil }, ErrColumn, "ambient_c", -1},
		"no irradiance":      {func(y *Year) { y.GHI = nil }, ErrColumn, "ghi_w_m2", -1},
		"diffuse alone":      {func(y *Year) { y.DHI = flat(8760, 0) }, ErrColumn, "dni_w_m2", -1},
		"plane and GHI":      {func(y *Year) { y.PlaneWM2 = flat(8760, 0) }, ErrColumn, "plane_w_m2", -1},
		"NaN":                {func(y *Year) { y.AmbientC[77] = math.NaN() }, ErrNumber, "ambient_c", 77},
		"infinite":           {func(y *Year) { y.GHI[12] = math.Inf(1) }, ErrNumber, "ghi_w_m2", 12},
		"negative":           {func(y *Year) { y.GHI[12] = -1 }, ErrRange, "ghi_w_m2", 12},
		"wind":               {func(y *Year) { y.WindMS = flat(8760, 3); y.WindMS[9] = 300 }, ErrRange, "wind_m_s", 9},
		"strong at midnight": {func(y *Year) { y.GHI[24*170] = 51 }, ErrNight, "ghi_w_m2", 24 * 170},
		"plane at midnight":  {func(y *Year) { y.GHI = nil; y.PlaneWM2 = flat(8760, 0); y.PlaneWM2[0] = 400 }, ErrNight, "plane_w_m2", 0},
	} {
		y := good()
		c.change(y)
		found := false
		for _, p := range y.Check().List {
			found = found || errors.Is(p, c.cause) && p.Member == c.member && p.Index == c.index && p.Message != ""
		}
		assert.True(t, found, "%s: %v", name, y.Check().Error())
	}
}

func TestYear_Hash(t *testing.T) {
	base := func() *Year {
		return &Year{Site: Site{1, 2, 3, 4}, CalendarYear: 2023, StepS: 3600, GHI: make([]float64, 8760), AmbientC: make([]float64, 8760)}
	}
	same := base()
	same.GHI[5] = math.Copysign(0, -1)
	assert.Equal(t, base().Hash(), same.Hash(), "-0 counts as 0")
	assert.Len(t, base().Hash(), 64)
	seen := map[string]string{base().Hash(): "base"}
	for name, change := range map[string]func(*Year){
		"site": func(y *Year) { y.Site.ElevationM = 4 }, "calendar": func(y *Year) { y.CalendarYear = 2025 },
		"step": func(y *Year) { y.StepS = 1800 }, "value": func(y *Year) { y.GHI[8759] = 1e-300 },
		"zeros for nil":    func(y *Year) { y.WindMS = make([]float64, 8760) },
		"in other columns": func(y *Year) { y.GHI, y.PlaneWM2 = nil, y.GHI },
	} {
		y := base()
		change(y)
		other, taken := seen[y.Hash()]
		assert.False(t, taken, "%s has the hash of %s", name, other)
		seen[y.Hash()] = name
	}
}
