package api

import (
	"errors"
	"io"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/weather"
)

// The members that say how to read a file are those of the reader, word for
// word, so that ranges and descriptions cannot drift apart.
func TestWeather_SaysWhatTheReaderTakes(t *testing.T) {
	ours := reflect.TypeFor[Weather]()
	for _, theirs := range reflect.VisibleFields(reflect.TypeFor[weather.ReadOptions]()) {
		if theirs.Name == "Site" || theirs.Name == "CalendarYear" {
			continue // members of the request itself
		}
		f, ok := ours.FieldByName(theirs.Name)
		require.True(t, ok, theirs.Name)
		assert.Equal(t, theirs.Tag.Get("json"), f.Tag.Get("json"))
		assert.Equal(t, theirs.Tag.Get("enum"), f.Tag.Get("enum"))
		assert.Equal(t, theirs.Type, f.Type)
	}
}

func TestWeather_SiteFromFile(t *testing.T) {
	request := with(t, withWeather(station(t), textWeather(t)), `{"site":null}`)
	c := read(t, request)
	// The file's own first line (TMY3): 44.467, -73.150, 101 m, UTC −5.
	assert.Equal(t, weather.Site{LatitudeDeg: 44.467, LongitudeDeg: -73.15, ElevationM: 101, UTCOffsetH: -5}, c.System.Site)
	assert.Equal(t, c.System.Site, c.Weather.Site)
	listed := false
	for _, a := range c.Assumed {
		listed = listed || a.Pointer == "/site"
	}
	assert.True(t, listed)
	assert.Empty(t, c.Notes)
	stated := read(t, withWeather(station(t), textWeather(t)))
	assert.Equal(t, stated.Hash, c.Hash, "the site is the same, stated or not")
}

func TestWeather_SiteOfRequestWins(t *testing.T) {
	c := read(t, with(t, withWeather(station(t), textWeather(t)), `{"site":{"latitude_deg":45.467}}`))
	assert.Equal(t, 45.467, c.Weather.Site.LatitudeDeg)
	require.Len(t, c.Notes, 1)
	assert.Contains(t, c.Notes[0], "latitude 44.467°")
}

// Columns carry no site: it must be given.
func TestWeather_SiteMissing(t *testing.T) {
	assert.Equal(t, []string{"/site"}, pointers(text(t, with(t, complete(t), `{"site":null}`))))
}

// A typical year has no date of its own and takes the request's default.
func TestWeather_CalendarYear(t *testing.T) {
	request := with(t, withWeather(station(t), textWeather(t)), `{"calendar_year":null}`)
	c := read(t, request)
	assert.Equal(t, 2025, c.System.CalendarYear)
	assert.Equal(t, 2025, c.Weather.CalendarYear)
	times := 0
	for _, a := range c.Assumed {
		if a.Pointer == "/calendar_year" {
			times++
		}
	}
	assert.Equal(t, 1, times)
	leap := read(t, with(t, request, `{"calendar_year":2024}`))
	assert.Equal(t, 8784, leap.Weather.Len())
	assert.Equal(t, 2024, leap.System.CalendarYear)
}

func TestWeather_File(t *testing.T) {
	raw := text(t, withWeather(station(t), map[string]any{"file": "a/year.csv"}))
	t.Run("read", func(t *testing.T) {
		year, err := typicalYear()
		require.NoError(t, err)
		cases := Cases{Open: func(name string) (io.ReadCloser, error) {
			assert.Equal(t, "a/year.csv", name)
			return io.NopCloser(strings.NewReader(year)), nil
		}}
		c, faults, _ := cases.Read(raw)
		require.Empty(t, faults)
		assert.Equal(t, read(t, withWeather(station(t), textWeather(t))).Hash, c.Hash)
	})
	t.Run("cannot be opened", func(t *testing.T) {
		cases := Cases{Open: func(string) (io.ReadCloser, error) { return nil, errors.New("no such file") }}
		_, faults, _ := cases.Read(raw)
		assert.Contains(t, find(t, faults, "/weather/file").Message, "no such file")
	})
	t.Run("faults name the line", func(t *testing.T) {
		year, err := typicalYear()
		require.NoError(t, err)
		lines := strings.SplitAfter(year, "\n")
		lines[100] = strings.Replace(lines[100], ",", ",,", 4)
		_, faults, _ := (&Cases{}).Read(text(t, withWeather(station(t), map[string]any{"text": strings.Join(lines, "")})))
		assert.Contains(t, find(t, faults, "/weather/text").Message, "line 101")
	})
}

// Candidates of a comparison share the weather and the load: read once.
func TestCases_ReadOnce(t *testing.T) {
	opened := 0
	year, err := typicalYear()
	require.NoError(t, err)
	cases := Cases{Open: func(string) (io.ReadCloser, error) {
		opened++
		return io.NopCloser(strings.NewReader(year)), nil
	}}
	base := withWeather(station(t), map[string]any{"file": "year.csv"})
	raw := text(t, map[string]any{"base": base, "candidates": map[string]any{"one": map[string]any{"bank": map[string]any{"modules": 1}}, "two": map[string]any{}}})
	x, faults, _ := cases.readComparison(raw)
	require.Empty(t, faults)
	assert.Equal(t, 1, opened)
	assert.Same(t, x.candidates[0].c.Weather, x.candidates[1].c.Weather)
	assert.Same(t, x.candidates[0].c.Load, x.candidates[1].c.Load)
}

func TestWeather_Options(t *testing.T) {
	hours := 5.0
	w := Weather{Format: "epw", IntervalLabel: "end", TimeZone: "utc", DateOrder: "dmy", Columns: map[string]string{"time": "Zeit"}, Units: map[string]string{"ghi_w_m2": "kW/m2"}, FillGapsUpToH: &hours}
	o := w.options(place{})
	for _, f := range reflect.VisibleFields(reflect.TypeOf(o)) {
		if f.Name != "Site" && f.Name != "CalendarYear" {
			assert.False(t, reflect.ValueOf(o).FieldByIndex(f.Index).IsZero(), f.Name)
		}
	}
	assert.Equal(t, "dmy", o.DateOrder)
}

// A file with dates keeps its own year unless the request states one, and the
// answer lists which.
func TestWeather_DatedFile(t *testing.T) {
	var csv strings.Builder
	csv.WriteString("time,ghi_w_m2,ambient_c\n")
	for start := time.Date(2021, 1, 1, 0, 0, 0, 0, time.UTC); start.Year() == 2021; start = start.Add(time.Hour) {
		csv.WriteString(start.Format("2006-01-02T15:04") + ",0,5\n")
	}
	request := with(t, withWeather(station(t), map[string]any{"text": csv.String()}), `{"calendar_year":null}`)
	c := read(t, request)
	assert.Equal(t, 2021, c.System.CalendarYear)
	assert.Equal(t, 2021, c.Weather.CalendarYear)
	for _, a := range c.Assumed {
		if a.Pointer == "/calendar_year" {
			assert.Equal(t, 2021, a.Value)
			assert.Equal(t, "as the weather file says", a.Basis)
		}
	}
	assert.Equal(t, c.Hash, read(t, with(t, request, `{"calendar_year":2021}`)).Hash)
}

// Weather without wind cools the array by an assumed one, which is listed, and is
// other weather than that with this wind stated.
func TestWeather_NoWind(t *testing.T) {
	for _, patch := range []string{`{"weather":{"wind_m_s":null}}`, `{"weather":{"wind_m_s":null,"dni_w_m2":null,"dhi_w_m2":null}}`} {
		calm := read(t, with(t, complete(t), patch))
		assert.Len(t, calm.Weather.WindMS, 8760)
		assert.Positive(t, calm.Plan().Run(false).Books.SolarAvailableKWh)
		listed := false
		for _, a := range calm.Assumed {
			if a.Pointer == "/weather/wind_m_s" {
				listed = true
				assert.Equal(t, 1.0, a.Value)
				assert.Equal(t, "m/s", a.Unit)
			}
		}
		assert.True(t, listed)
	}
}
