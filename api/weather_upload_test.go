package api

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/klauspost/compress/gzip"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/media"
	"bankyear/weather"
)

// Open files as they are (testdata/SOURCES.md): what they are, where and when.
func TestWeatherUpload_Formats(t *testing.T) {
	s := storing(t, t.TempDir())
	for _, c := range []struct {
		file, query, format string
		latitude            float64
		step, year          int
		dated               bool
		verdict             string
	}{
		{"burlington_vt_tmy3.csv.gz", "", "tmy3", 44.467, 3600, 2023, false, ""},
		{"tucson_az_tmy3.epw.gz", "", "epw", 32.13, 3600, 2023, false, ""},
		{"burlington_vt_tmy3.csv.gz", "?calendar_year=2026", "tmy3", 44.467, 3600, 2026, true, ""},
		{"north_texas_2016_halfhour.csv.gz", "", "satellite_csv", 33.93, 1800, 2016, true, ""},
		// Months of it are stamped an hour early: the report must say so.
		{"honolulu_hi_tmy3.csv.gz", "", "tmy3", 21.317, 3600, 2023, false, weather.VerdictFail},
	} {
		t.Run(c.file+c.query, func(t *testing.T) {
			out := uploaded(t, s, "/v1/weather"+c.query, openFile(t, c.file), "Content-Type", "application/gzip")
			require.Len(t, out.Years, 1)
			y := out.Years[0]
			assert.Equal(t, out.ID, y.ID)
			assert.Regexp(t, "^w-[0-9a-f]{32}$", out.ID)
			assert.Equal(t, c.format, y.Format)
			assert.Equal(t, c.latitude, y.Site.LatitudeDeg)
			assert.Equal(t, c.step, y.StepS)
			assert.Equal(t, c.year, y.CalendarYear)
			assert.Equal(t, c.dated, y.Dated)
			assert.Equal(t, weather.HoursInYear(c.year)*3600/c.step, y.Rows)
			assert.Equal(t, fmt.Sprintf("%d-01-01T00:00:00", c.year), y.From)
			assert.Equal(t, fmt.Sprintf("%d-01-01T00:00:00", c.year+1), y.To)
			require.NotNil(t, y.Quality)
			assert.Equal(t, y.Verdict, y.Quality.Verdict)
			if c.verdict != "" {
				assert.Equal(t, c.verdict, y.Verdict)
			}
			for _, check := range y.Quality.Checks {
				assert.NotEmpty(t, check.Verdict, check.Name)
			}
			var q weather.Quality
			require.NoError(t, json.Unmarshal(call(t, s, "GET", "/v1/weather/"+out.ID+"/quality", nil).Body.Bytes(), &q))
			assert.Equal(t, *y.Quality, q)
		})
	}
	// 29 February was removed from the half-hourly file (testdata/SOURCES.md).
	texas := uploaded(t, s, "/v1/weather", openFile(t, "north_texas_2016_halfhour.csv.gz"), noType...).Years[0]
	assert.Contains(t, texas.Filled, FilledSamples{"ambient_c", weather.FillLeapDay, 48})
	var list WeatherList
	require.NoError(t, json.Unmarshal(call(t, s, "GET", "/v1/weather", nil).Body.Bytes(), &list))
	assert.Len(t, list.Weather, 5)
	assert.Empty(t, list.Sets)
	assert.Empty(t, list.Damaged)
	for _, y := range list.Weather {
		assert.Nil(t, y.Quality)
		at, err := time.Parse(time.RFC3339, y.Stored)
		require.NoError(t, err)
		assert.WithinDuration(t, time.Now(), at, time.Hour)
	}
	t.Run("page by page", func(t *testing.T) {
		var ids []string
		for after := ""; ; {
			var page WeatherList
			require.NoError(t, json.Unmarshal(call(t, s, "GET", "/v1/weather?limit=2"+after, nil).Body.Bytes(), &page))
			for _, y := range page.Weather {
				ids = append(ids, y.ID)
			}
			if page.Next == "" {
				break
			}
			after = "&after=" + page.Next
		}
		want := []string{}
		for _, y := range list.Weather {
			want = append(want, y.ID)
		}
		assert.Equal(t, want, ids)
	})
}

// What is stored comes back in every form, and each of them uploaded again is
// the same weather.
func TestWeatherUpload_RoundTrip(t *testing.T) {
	s := storing(t, t.TempDir())
	for _, file := range []string{"burlington_vt_tmy3.csv.gz", "north_texas_2016_halfhour.csv.gz"} {
		first := uploaded(t, s, "/v1/weather?calendar_year=2016", openFile(t, file), noType...)
		target := "/v1/weather/" + first.ID
		var back WeatherResource
		require.NoError(t, json.Unmarshal(call(t, s, "GET", target, nil).Body.Bytes(), &back))
		assert.Equal(t, first.Years, back.Years)
		require.NotNil(t, back.Data)
		again := map[string]WeatherResource{media.JSON: uploaded(t, s, "/v1/weather", text(t, back.Data))}
		for _, accept := range []string{media.CSV, media.Parquet} {
			w := call(t, s, "GET", target, nil, "Accept", accept)
			require.Equal(t, 200, w.Code)
			assert.True(t, strings.HasPrefix(w.Header().Get("Content-Type"), accept))
			assert.Contains(t, w.Header().Get("Content-Disposition"), first.ID)
			again[accept] = uploaded(t, s, "/v1/weather", w.Body.Bytes(), "Content-Type", accept)
			assert.Equal(t, first.Years[0].Filled, again[accept].Years[0].Filled, accept)
		}
		for form, other := range again {
			assert.Equal(t, first.Years[0].Hash, other.Years[0].Hash, form)
			assert.Equal(t, first.Years[0].CalendarYear, other.Years[0].CalendarYear, form)
		}
	}
}

// The same file in any coding is the same content.
func TestWeatherUpload_Codings(t *testing.T) {
	s := storing(t, t.TempDir())
	year, err := typicalYear()
	require.NoError(t, err)
	plain := []byte(year)
	want := uploaded(t, s, "/v1/weather", plain, noType...).ID
	for _, coding := range []string{media.Gzip, media.Zstd} {
		for _, body := range [][]byte{plain, media.Encode(plain, media.Gzip), media.Encode(plain, media.Zstd)} {
			got := uploaded(t, s, "/v1/weather", media.Encode(body, coding), "Content-Type", "application/octet-stream", "Content-Encoding", coding)
			assert.Equal(t, want, got.ID)
		}
	}
	thrice := media.Encode(media.Encode(media.Encode(plain, media.Zstd), media.Gzip), media.Zstd)
	problemOf(t, call(t, s, "POST", "/v1/weather", thrice, "Content-Type", "application/octet-stream", "Content-Encoding", media.Zstd), 400)
	problemOf(t, call(t, s, "POST", "/v1/weather", media.Encode(plain, media.Gzip)[:5000], noType...), 400)
	problemOf(t, call(t, s, "POST", "/v1/weather", plain, "Content-Type", "", "Content-Encoding", "br"), 415)
	problemOf(t, call(t, s, "POST", "/v1/weather", plain, "Content-Type", "image/png"), 415)
	problemOf(t, call(t, s, "POST", "/v1/weather", plain, "Content-Type", "", "Accept", "text/csv"), 406)
	assert.Zero(t, s.memory.used.Load())
	list, err := s.content.disk.List("")
	require.NoError(t, err)
	assert.Equal(t, list[0].Bytes, s.content.disk.Used(), "nothing is left of the uploads")
}

// A small file that unpacks to a very large one is refused when it has given as
// much as is taken.
func TestWeatherUpload_Bomb(t *testing.T) {
	s := storing(t, t.TempDir())
	s.config.MaxUploadBytes = 1 << 20
	var bomb bytes.Buffer
	z := gzip.NewWriter(&bomb)
	for range 100 {
		_, err := z.Write(bytes.Repeat([]byte("# nothing\n"), 10_000))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	for _, headers := range [][]string{noType, {"Content-Type", "text/csv", "Content-Encoding", "gzip"}} {
		problemOf(t, call(t, s, "POST", "/v1/weather", bomb.Bytes(), headers...), 413)
	}
	problemOf(t, call(t, s, "POST", "/v1/weather", make([]byte, 1<<20+1), noType...), 413)
	assert.Zero(t, s.content.disk.Used())
}

// twoYears is a file of 2019 and 2020 with rows of zeros, and line an own line in
// place of one of them.
func twoYears(line int, own string) string {
	var out strings.Builder
	out.WriteString("# latitude_deg: 44\n# longitude_deg: -73\n# elevation_m: 100\n# utc_offset_h: -5\ntime,ghi_w_m2,ambient_c\n")
	n := 5
	for start := time.Date(2019, 1, 1, 0, 0, 0, 0, time.UTC); start.Year() < 2021; start = start.Add(time.Hour) {
		if n++; n == line {
			out.WriteString(own + "\n")
			continue
		}
		out.WriteString(start.Format("2006-01-02T15:04") + ",0,5\n")
	}
	return out.String()
}

// A file of several years is stored as its years and a set of them.
func TestWeatherUpload_SetOfYears(t *testing.T) {
	s := storing(t, t.TempDir())
	out := uploaded(t, s, "/v1/weather", []byte(twoYears(0, "")), "Content-Type", "text/csv")
	assert.Regexp(t, "^ws-[0-9a-f]{32}$", out.ID)
	require.Len(t, out.Years, 2)
	assert.Equal(t, []int{2019, 2020}, []int{out.Years[0].CalendarYear, out.Years[1].CalendarYear})
	var set WeatherResource
	w := call(t, s, "GET", "/v1/weather/"+out.ID, nil)
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &set))
	assert.Equal(t, out, set)
	problemOf(t, call(t, s, "GET", "/v1/weather/"+out.ID, nil, "Accept", media.CSV), 406)
	problemOf(t, call(t, s, "GET", "/v1/weather/"+out.ID+"/quality", nil), 404)
	assert.Equal(t, out.ID, uploaded(t, s, "/v1/weather", []byte(twoYears(0, "")), noType...).ID, "the same again")

	simulate := func(id string, year any) *httptest.ResponseRecorder {
		return call(t, s, "POST", "/v1/simulations", text(t, merged(withWeather(station(t), map[string]any{"id": id}), map[string]any{"calendar_year": year})))
	}
	t.Run("the calendar year picks one", func(t *testing.T) {
		bySet, byYear := simulate(out.ID, 2020), simulate(out.Years[1].ID, nil)
		require.Equal(t, 200, bySet.Code, bySet.Body.String())
		assert.Equal(t, byYear.Header().Get("Content-Location"), bySet.Header().Get("Content-Location"))
		inline := call(t, s, "POST", "/v1/simulations", text(t, merged(withWeather(station(t), map[string]any{"text": twoYears(0, "")}), map[string]any{"calendar_year": 2020})))
		assert.Equal(t, inline.Header().Get("Content-Location"), bySet.Header().Get("Content-Location"))
	})
	t.Run("or it must be said which", func(t *testing.T) {
		for _, year := range []any{nil, 2021} {
			p := problemOf(t, simulate(out.ID, year), 422)
			require.Len(t, p.Faults, 1)
			assert.Equal(t, "/weather/id", p.Faults[0].Pointer)
			assert.Contains(t, p.Faults[0].Allowed, out.Years[0].ID)
		}
		p := problemOf(t, simulate(out.Years[0].ID, 2020), 422)
		assert.Equal(t, "/calendar_year", p.Faults[0].Pointer)
		assert.Contains(t, p.Faults[0].Allowed, "2019")
	})
	t.Run("a set is never broken", func(t *testing.T) {
		p := problemOf(t, call(t, s, "DELETE", "/v1/weather/"+out.Years[0].ID, nil), 409)
		assert.Contains(t, p.Detail, out.ID)
		assert.Equal(t, 204, call(t, s, "DELETE", "/v1/weather/"+out.ID, nil).Code)
		assert.Equal(t, 200, simulate(out.Years[0].ID, nil).Code, "its years stay")
		assert.Equal(t, 204, call(t, s, "DELETE", "/v1/weather/"+out.Years[0].ID, nil).Code)
	})
	t.Run("one year of the file", func(t *testing.T) {
		one := uploaded(t, s, "/v1/weather?calendar_year=2020", []byte(twoYears(0, "")), noType...)
		assert.Equal(t, out.Years[1].Hash, one.Years[0].Hash)
	})
	t.Run("all or nothing", func(t *testing.T) {
		s := storing(t, t.TempDir())
		problemOf(t, call(t, s, "POST", "/v1/weather", []byte(twoYears(15_000, "2020-09-15T00:00,much,5")), noType...), 422)
		list, err := s.content.disk.List("")
		require.NoError(t, err)
		assert.Empty(t, list)
		assert.Zero(t, s.content.disk.Used())
	})
}

// All faults of a file at once, each with its line and column.
func TestWeatherUpload_FaultsOfAFile(t *testing.T) {
	s := storing(t, t.TempDir())
	year, err := typicalYear()
	require.NoError(t, err)
	lines := strings.Split(year, "\n")
	fields := strings.Split(lines[99], ",")
	fields[4] = "bright" // GHI is the fifth column of TMY3
	lines[99] = strings.Join(fields, ",")
	lines[4999] = lines[4998]
	p := problemOf(t, call(t, s, "POST", "/v1/weather", []byte(strings.Join(lines, "\n")), noType...), 422)
	require.GreaterOrEqual(t, len(p.Faults), 2)
	assert.Equal(t, 100, p.Faults[0].Line)
	assert.Equal(t, 5, p.Faults[0].Column)
	assert.Equal(t, "bright", p.Faults[0].Value)
	assert.True(t, slices.ContainsFunc(p.Faults, func(f Fault) bool { return f.Line == 5000 }), p.Faults)
	for _, f := range p.Faults {
		assert.Empty(t, f.Pointer)
		assert.NotEmpty(t, f.Message)
	}
	// A table that does not say where it was measured needs the site beside it.
	table := "time,ghi_w_m2,ambient_c\n2021-01-01T00:00,0,5\n2021-01-01T01:00,0,5\n"
	p = problemOf(t, call(t, s, "POST", "/v1/weather", []byte(table), "Content-Type", "text/csv"), 422)
	assert.Equal(t, "site", p.Faults[0].Parameter)
	for name, body := range map[string]string{"nothing": "", "no text": "\x00\x01\x02", "words": "hello"} {
		problemOf(t, call(t, s, "POST", "/v1/weather", []byte(body), "Content-Type", "text/csv"), 422)
		assert.NotPanics(t, func() { call(t, s, "POST", "/v1/weather", []byte(body), noType...) }, name)
	}
	problemOf(t, call(t, s, "POST", "/v1/weather", []byte("PAR1 is not all"), "Content-Type", media.Parquet), 422)
}

// What a file does not say of itself is said in the query, and its faults come
// all at once, each with its parameter.
func TestWeatherUpload_Options(t *testing.T) {
	s := storing(t, t.TempDir())
	var csv strings.Builder
	csv.WriteString("Zeit;Sonne;Luft\n")
	for end := time.Date(2021, 1, 1, 0, 30, 0, 0, time.UTC); !end.After(time.Date(2022, 1, 1, 0, 0, 0, 0, time.UTC)); end = end.Add(30 * time.Minute) {
		fmt.Fprintf(&csv, "%s;0,%d;-4,5\n", end.Format("02/01/2006 15:04"), 10*max(0, 4-max(end.Hour()-12, 12-end.Hour())))
	}
	query := "?site.latitude_deg=44.5&site.longitude_deg=-73&site.elevation_m=100&site.utc_offset_h=-5&interval_label=end&date_order=dmy" +
		"&columns.time=Zeit&columns.ghi_w_m2=Sonne&columns.ambient_c=Luft&units.ghi_w_m2=kW%2Fm2&units.ambient_c=C&fill_gaps_up_to_h=0"
	out := uploaded(t, s, "/v1/weather"+query, []byte(csv.String()), "Content-Type", "text/csv")
	y := out.Years[0]
	assert.Equal(t, weather.Site{LatitudeDeg: 44.5, LongitudeDeg: -73, ElevationM: 100, UTCOffsetH: -5}, y.Site)
	assert.Equal(t, 2021, y.CalendarYear)
	assert.Equal(t, 1800, y.StepS)
	stored, err := s.content.year(out.ID)
	require.NoError(t, err)
	assert.Equal(t, 400.0, stored.Year.GHI[24], "the half hour that begins at 12:00, in W/m²")

	p := problemOf(t, call(t, s, "POST", "/v1/weather?site.latitude_deg=95&format=xls&fill_gaps_up_to_h=many&colour=red&units.ghi_w_m2=&date_order=dmy&date_order=mdy&a..b=1", []byte("x"), noType...), 400)
	var names []string
	for _, f := range p.Faults {
		names = append(names, f.Parameter)
		assert.Empty(t, f.Pointer)
	}
	slices.Sort(names)
	assert.Equal(t, []string{"a..b", "colour", "date_order", "fill_gaps_up_to_h", "format", "site.elevation_m", "site.latitude_deg", "site.longitude_deg", "site.utc_offset_h", "units.ghi_w_m2"}, names)
	p = problemOf(t, call(t, s, "POST", "/v1/weather?format=epw", []byte("{}")), 400)
	assert.Equal(t, "format", p.Faults[0].Parameter, "JSON says it itself")
}

// The bounds of the connection hold for a slow sender, and a client that goes
// away leaves nothing.
func TestWeatherUpload_OverHTTP(t *testing.T) {
	s := storing(t, t.TempDir())
	server := httptest.NewServer(s)
	defer server.Close()
	body := openFile(t, "burlington_vt_tmy3.csv.gz")
	r, err := http.Post(server.URL+"/v1/weather", "application/gzip", bytes.NewReader(body))
	require.NoError(t, err)
	require.NoError(t, r.Body.Close())
	assert.Equal(t, 201, r.StatusCode)
	location := r.Header.Get("Location")
	r, err = http.Get(server.URL + location)
	require.NoError(t, err)
	require.NoError(t, r.Body.Close())
	assert.Equal(t, 200, r.StatusCode)
	used := s.content.disk.Used()
	request, err := http.NewRequest("POST", server.URL+"/v1/weather", &goesAway{body})
	require.NoError(t, err)
	request.ContentLength = int64(len(body)) + 1000
	_, err = http.DefaultClient.Do(request)
	require.Error(t, err)
	require.Eventually(t, func() bool { return s.metrics.inFlight.Load() == 0 }, 10*time.Second, time.Millisecond)
	assert.Equal(t, used, s.content.disk.Used())
	assert.Zero(t, s.memory.used.Load())
}

// goesAway gives some bytes and fails.
type goesAway struct{ left []byte }

func (g *goesAway) Read(b []byte) (int, error) {
	if len(g.left) == 0 {
		return 0, http.ErrHandlerTimeout
	}
	n := copy(b, g.left)
	g.left = g.left[n:]
	return n, nil
}
