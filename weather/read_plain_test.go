package weather

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var valley = Site{LatitudeDeg: 44.467, LongitudeDeg: -73.15, ElevationM: 101, UTCOffsetH: -5}

// shape describes a plain CSV of a whole year to be made for a test.
type shape struct {
	header, sep   string
	stamp, suffix string // stamp: a layout of package time, or "parts"
	stepMin       int
	offsetMin     int // of the stamp from the interval's start
	zoneH         int // of the stamps' clock less the site's
	decimal       string
	year          int
	skipLeapDay   bool
	from, to      int // rows outside 0…n, to shift the stretch
}

// rows writes a year with irradiance 100 from 10:00 to 14:00 and ambient −0.5.
func (s shape) text() string {
	var b strings.Builder
	b.WriteString(strings.ReplaceAll(s.header, ",", s.sep) + "\n")
	start := time.Date(s.year, 1, 1, 0, 0, 0, 0, time.UTC)
	n := HoursInYear(s.year) * 60 / s.stepMin
	for i := s.from; i < n+s.to; i++ {
		at := start.Add(time.Duration(i*s.stepMin) * time.Minute)
		if s.skipLeapDay && at.Month() == 2 && at.Day() == 29 {
			continue
		}
		sun := 0
		if at.Hour() >= 10 && at.Hour() < 14 {
			sun = 100
		}
		stamp := at.Add(time.Duration(s.offsetMin+60*s.zoneH) * time.Minute)
		text := stamp.Format(s.stamp) + s.suffix
		if s.stamp == "parts" {
			text = fmt.Sprintf("%d%s%d%s%d%s%d%s%d", stamp.Year(), s.sep, stamp.Month(), s.sep, stamp.Day(), s.sep, stamp.Hour(), s.sep, stamp.Minute())
		}
		fmt.Fprintf(&b, "%s%s%d%s-0%s5\n", text, s.sep, sun, s.sep, s.decimal)
	}
	return b.String()
}

func TestRead_PlainForms(t *testing.T) {
	base := shape{header: "start,ghi_w_m2,ambient_c", sep: ",", stamp: "2006-01-02T15:04", stepMin: 60, decimal: ".", year: 2023}
	for name, c := range map[string]struct {
		change func(*shape)
		o      ReadOptions
	}{
		"iso":                 {func(s *shape) {}, ReadOptions{}},
		"iso with seconds":    {func(s *shape) { s.stamp = "2006-01-02 15:04:05" }, ReadOptions{}},
		"offset":              {func(s *shape) { s.suffix = "-05:00" }, ReadOptions{}},
		"UTC by Z":            {func(s *shape) { s.stamp = "2006-01-02T15:04Z"; s.zoneH = 5 }, ReadOptions{}},
		"UTC stated":          {func(s *shape) { s.zoneH = 5 }, ReadOptions{TimeZone: "utc"}},
		"8760 hours of UTC":   {func(s *shape) { s.zoneH = 5; s.from, s.to = -5, -5 }, ReadOptions{TimeZone: "utc"}},
		"semicolon and comma": {func(s *shape) { s.sep, s.decimal = ";", "," }, ReadOptions{}},
		"tab":                 {func(s *shape) { s.sep = "\t" }, ReadOptions{}},
		"points in dates":     {func(s *shape) { s.stamp = "02.01.2006 15:04"; s.sep = ";" }, ReadOptions{}},
		"month first":         {func(s *shape) { s.stamp = "01/02/2006 15:04" }, ReadOptions{DateOrder: "mdy"}},
		"day first":           {func(s *shape) { s.stamp = "2/1/2006 15:04" }, ReadOptions{DateOrder: "dmy"}},
		"compact":             {func(s *shape) { s.stamp = "20060102:1504" }, ReadOptions{}},
		"more compact":        {func(s *shape) { s.stamp = "200601021504" }, ReadOptions{}},
		"end labels":          {func(s *shape) { s.offsetMin = 60 }, ReadOptions{IntervalLabel: "end"}},
		"middle labels":       {func(s *shape) { s.offsetMin = 30 }, ReadOptions{IntervalLabel: "middle"}},
		"instants at middles": {func(s *shape) { s.offsetMin = 30 }, ReadOptions{IntervalLabel: "instant"}},
		"parts":               {func(s *shape) { s.stamp = "parts"; s.header = "Year,Month,Day,Hour,Minute,GHI (W/m^2),Temperature (C)" }, ReadOptions{}},
		"date and time":       {func(s *shape) { s.stamp = "2006-01-02,15:04"; s.header = "Date,Time,GHI [W/m²],T_amb [°C]" }, ReadOptions{}},
		"watt-hours an hour":  {func(s *shape) { s.header = "time,global_horizontal_whm2,temp" }, ReadOptions{}},
		"stated columns":      {func(s *shape) { s.header = "when,sun,air" }, ReadOptions{Columns: map[string]string{"time": "when", "ghi_w_m2": "sun", "ambient_c": "air"}}},
		"quoted header":       {func(s *shape) { s.header = `"start","ghi_w_m2","ambient_c"` }, ReadOptions{}},
		"carriage returns":    {func(s *shape) { s.header += "\r" }, ReadOptions{}},
		"byte order mark":     {func(s *shape) { s.header = "\ufeff" + s.header }, ReadOptions{}},
		"comment and blank":   {func(s *shape) { s.header = "# from a logger\n\n" + s.header }, ReadOptions{}},
		"site in the file": {func(s *shape) {
			s.header = "# latitude_deg: 44.467\n# longitude_deg: -73.15\n# elevation_m: 101\n# utc_offset_h: -5\n" + s.header
		}, ReadOptions{Site: &Site{}}},
	} {
		t.Run(name, func(t *testing.T) {
			s := base
			c.change(&s)
			if c.o.Site == nil {
				c.o.Site = &valley
			}
			got, err := Read(strings.NewReader(s.text()), c.o)
			require.NoError(t, err)
			want, err := Read(strings.NewReader(base.text()), ReadOptions{Site: &valley})
			require.NoError(t, err)
			assert.Equal(t, want.Year.Hash(), got.Year.Hash())
			assert.Equal(t, FormatPlain, got.Format)
			assert.Equal(t, 0.0, got.Year.GHI[9])
			assert.Equal(t, 100.0, got.Year.GHI[10])
			assert.Equal(t, 0.0, got.Year.GHI[14])
			assert.Equal(t, -0.5, got.Year.AmbientC[8759])
			assert.Nil(t, got.Year.WindMS)
		})
	}
}

func TestRead_PlainSteps(t *testing.T) {
	for _, step := range []int{60, 30, 15, 10, 5, 1} {
		for _, year := range []int{2023, 2024} {
			if step == 1 && year == 2024 {
				continue // half a million rows once are enough
			}
			s := shape{header: "start,ghi_w_m2,ambient_c", sep: ",", stamp: "2006-01-02T15:04", stepMin: step, decimal: ".", year: year}
			got, err := Read(strings.NewReader(s.text()), ReadOptions{Site: &valley})
			require.NoError(t, err)
			assert.Equal(t, step*60, got.Year.StepS)
			assert.Equal(t, year, got.Year.CalendarYear)
			assert.InDelta(t, 0.4*float64(HoursInYear(year)/24), sum(got.Year.GHI)*float64(step)/60/1000, 1e-9)
			assert.NoError(t, got.Year.Check().Err())
		}
	}
}

// Amounts in an interval: 0.05 kWh/m² in half an hour is 100 W/m²; 68 °F is
// 20 °C, 36 km/h is 10 m/s (definitions of the units).
func TestRead_PlainUnits(t *testing.T) {
	for _, c := range []struct {
		column, value string
		want          float64
	}{
		{"ghi (kWh/m2)", "0.05", 100}, {"ghi_kwh_m2", "0.05", 100}, {"GHI [Wh/m²]", "50", 100}, {"GHI (kJ/m^2)", "180", 100},
		{"GHI (MJ/m2)", "0.18", 100}, {"ghi (J/cm²)", "18", 100}, {"ghi_kw_m2", "0.1", 100}, {"GHI (W m-2)", "100", 100}, {"ghi", "100", 100},
	} {
		s := shape{header: "start,zero," + c.column + ",temp_f,wind (km/h)", sep: ",", stamp: "2006-01-02T15:04", stepMin: 30, decimal: ".", year: 2023}
		text := s.text()
		lines := strings.Split(strings.TrimSpace(text), "\n")
		for i := 1; i < len(lines); i++ {
			f := strings.Split(lines[i], ",")
			v := "0"
			if f[1] == "100" {
				v = c.value
			}
			lines[i] = f[0] + ",0," + v + ",68,36"
		}
		got, err := Read(strings.NewReader(strings.Join(lines, "\n")), ReadOptions{Site: &valley})
		if assert.NoError(t, err, c.column) {
			assert.InDelta(t, c.want, got.Year.GHI[20], 1e-9, c.column)
			assert.InDelta(t, 20, got.Year.AmbientC[20], 1e-9)
			assert.InDelta(t, 10, got.Year.WindMS[20], 1e-9)
		}
	}
}

func TestRead_PlainFaults(t *testing.T) {
	base := shape{header: "start,ghi_w_m2,ambient_c", sep: ",", stamp: "2006-01-02T15:04", stepMin: 60, decimal: ".", year: 2023}
	o := ReadOptions{Site: &valley}
	for name, c := range map[string]struct {
		change func(*shape)
		edit   edit
		o      ReadOptions
		want   wantFault
	}{
		"no site":             {nil, nil, ReadOptions{}, wantFault{ErrFormat, 0, 0, "site"}},
		"no time":             {func(s *shape) { s.header = "when,ghi,temp" }, nil, o, wantFault{ErrColumn, 1, 0, "time"}},
		"no temperature":      {func(s *shape) { s.header = "start,ghi,x" }, nil, o, wantFault{ErrColumn, 1, 0, "ambient_c"}},
		"no irradiance":       {func(s *shape) { s.header = "start,x,temp" }, nil, o, wantFault{ErrColumn, 1, 0, "ghi_w_m2"}},
		"stated, not there":   {nil, nil, ReadOptions{Site: &valley, Columns: map[string]string{"ghi_w_m2": "sun"}}, wantFault{ErrColumn, 1, 0, "ghi_w_m2"}},
		"unknown unit":        {func(s *shape) { s.header = "start,ghi (furlong),temp" }, nil, o, wantFault{ErrColumn, 1, 2, "ghi_w_m2"}},
		"column twice":        {func(s *shape) { s.header = "start,ghi,GHI (W/m2)" }, nil, o, wantFault{ErrColumn, 1, 3, "ghi_w_m2"}},
		"two ways":            {func(s *shape) { s.stamp = "01/02/2006 15:04" }, nil, o, wantFault{ErrTime, 2, 0, "time"}},
		"end labels unstated": {func(s *shape) { s.offsetMin = 60 }, nil, o, wantFault{ErrTime, 8761, 0, "time"}},
		"off the grid":        {nil, replaceField(100, 1, "2023-01-05T02:17"), o, wantFault{ErrTime, 100, 1, "time"}},
		"no time at all":      {nil, replaceField(100, 1, "noon"), o, wantFault{ErrTime, 100, 1, "time"}},
		"seconds":             {nil, replaceField(100, 1, "2023-01-05T02:00:30"), o, wantFault{ErrTime, 100, 1, "time"}},
		"no such day":         {nil, replaceField(100, 1, "2023-02-29T02:00"), o, wantFault{ErrTime, 100, 1, "time"}},
		"NaN":                 {nil, replaceField(100, 2, "NaN"), o, wantFault{ErrNumber, 100, 2, "ghi_w_m2"}},
		"thousands":           {nil, replaceField(100, 3, `"1,234.5"`), o, wantFault{ErrNumber, 100, 3, "ambient_c"}},
		"range":               {nil, replaceField(100, 2, "20000"), o, wantFault{ErrRange, 100, 2, "ghi_w_m2"}},
		"night":               {nil, replaceField(2, 2, "500"), o, wantFault{ErrNight, 2, 2, "ghi_w_m2"}},
		"row missing":         {nil, removeLines(100, 119), o, wantFault{ErrMissing, 99, 0, ""}},
		"row twice":           {nil, repeatLine(100), o, wantFault{ErrRepeat, 101, 0, ""}},
		"order":               {nil, swapLines(100, 101), o, wantFault{ErrOrder, 101, 0, ""}},
		"empty fields":        {nil, replaceField(100, 3, ""), ReadOptions{Site: &valley, FillGapsUpToH: new(float64)}, wantFault{ErrMissing, 100, 3, "ambient_c"}},
		"short row":           {nil, func(l []string) []string { l[99] = "2023-01-05T02:00,0"; return l }, o, wantFault{ErrMissing, 100, 3, "ambient_c"}},
		"another year":        {nil, nil, ReadOptions{Site: &valley, CalendarYear: 2011}, wantFault{ErrCalendar, 0, 0, "calendar_year"}},
		"step of 20 minutes":  {func(s *shape) { s.stepMin = 20 }, nil, o, wantFault{ErrTime, 2, 0, "time"}},
		"summer time": {nil, func(l []string) []string {
			for i := 1700; i < 7000; i++ { // clocks put forward from March to October
				at, _ := time.Parse("2006-01-02T15:04", l[i][:16])
				l[i] = at.Add(time.Hour).Format("2006-01-02T15:04") + l[i][16:]
			}
			return l
		}, o, wantFault{ErrRepeat, 7001, 0, ""}},
	} {
		t.Run(name, func(t *testing.T) {
			s := base
			if c.change != nil {
				c.change(&s)
			}
			text := s.text()
			if c.edit != nil {
				text = strings.Join(c.edit(strings.Split(strings.TrimSpace(text), "\n")), "\n")
			}
			_, err := Read(strings.NewReader(text), c.o)
			assertFault(t, err, c.want)
		})
	}
}

// Rows of the neighbouring year are only taken where this one has none.
func TestRead_RowsOutsideTheYear(t *testing.T) {
	base := shape{header: "start,ghi_w_m2,ambient_c", sep: ",", stamp: "2006-01-02T15:04", stepMin: 60, decimal: ".", year: 2023}
	want, err := Read(strings.NewReader(base.text()), ReadOptions{Site: &valley})
	require.NoError(t, err)
	got, err := Read(strings.NewReader(base.text()+"2024-01-01T00:00,0,40\n2024-01-01T01:00,0,40\n"), ReadOptions{Site: &valley})
	require.NoError(t, err)
	assert.Equal(t, want.Year.Hash(), got.Year.Hash())
	assert.Contains(t, got.Assumed, Assumed{"rows outside the year", "left out", "2 rows lie within a day outside 2023"})
}

// Rows whose times cannot be read are there: they are not reported as missing.
func TestRead_UnreadableTimesAreNotMissingRows(t *testing.T) {
	s := shape{header: "start,ghi_w_m2,ambient_c", sep: ",", stamp: "2006-01-02T15:04", stepMin: 60, decimal: ".", year: 2023}
	lines := strings.Split(strings.TrimSpace(s.text()), "\n")
	for i := 100; i < 106; i++ {
		lines = replaceField(i, 1, "noon")(lines)
	}
	_, err := Read(strings.NewReader(strings.Join(lines, "\n")), ReadOptions{Site: &valley})
	assertFault(t, err, wantFault{ErrTime, 105, 1, "time"})
	assert.NotErrorIs(t, err, ErrMissing)
}

func TestRead_LeapDayRemoved(t *testing.T) {
	s := shape{header: "start,ghi_w_m2,ambient_c", sep: ",", stamp: "2006-01-02T15:04", stepMin: 60, decimal: ".", year: 2024, skipLeapDay: true}
	got, err := Read(strings.NewReader(s.text()), ReadOptions{Site: &valley})
	require.NoError(t, err)
	assert.Contains(t, got.Assumed, leapDayRepeated)
	assert.NoError(t, got.Year.Check().Err())
}

func TestReadYears_OneByOne(t *testing.T) {
	s := shape{header: "start,ghi_w_m2,ambient_c", sep: ",", stamp: "2006-01-02T15:04", stepMin: 60, decimal: ".", year: 2023, to: 8784 + 8760}
	var years, lengths []int
	err := ReadYears(strings.NewReader(s.text()), ReadOptions{Site: &valley}, func(r *Reading) {
		years, lengths = append(years, r.Year.CalendarYear), append(lengths, r.Year.Len())
	})
	require.NoError(t, err)
	assert.Equal(t, []int{2023, 2024, 2025}, years)
	assert.Equal(t, []int{8760, 8784, 8760}, lengths)

	_, err = Read(strings.NewReader(s.text()), ReadOptions{Site: &valley})
	assertFault(t, err, wantFault{ErrCalendar, 0, 0, "calendar_year"})
	got, err := Read(strings.NewReader(s.text()), ReadOptions{Site: &valley, CalendarYear: 2024})
	require.NoError(t, err)
	assert.Equal(t, 2024, got.Year.CalendarYear)
}

// The annual figures of testdata/SOURCES.md: GHI = DHI + DNI cos z at the
// instants; 29 February is not in the file, so that its day is added here.
func TestRead_SatelliteHalfHours(t *testing.T) {
	got, err := Read(bytes.NewReader(openFile(t, "north_texas_2016_halfhour.csv")), ReadOptions{})
	require.NoError(t, err)
	y := got.Year
	assert.Equal(t, FormatSatellite, got.Format)
	assert.Equal(t, Site{33.93, -99.98, 512, -6}, y.Site)
	assert.Equal(t, 2016, y.CalendarYear)
	assert.Equal(t, 1800, y.StepS)
	assert.Equal(t, 17568, y.Len())
	leap := func(v []float64) float64 { return sum(v[59*48 : 60*48]) }
	annual := func(v []float64) float64 { return (sum(v) - leap(v)) / 2000 }
	assert.InDelta(t, 1911.0, annual(y.GHI), 0.2)
	assert.InDelta(t, 2314.8, annual(y.DNI), 0.2)
	assert.InDelta(t, 547.0, annual(y.DHI), 0.2)
	assert.InDelta(t, 17.7, (sum(y.AmbientC)-leap(y.AmbientC))/17520, 0.05)
	assert.Contains(t, got.Assumed, leapDayRepeated)
	assert.NoError(t, y.Check().Err())
}
