package api

import (
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/media"
	"bankyear/api/store"
)

// storing is a service that keeps its uploads in a directory.
func storing(t testing.TB, dir string) *Service {
	t.Helper()
	disk, err := store.Open(dir, 1<<30)
	require.NoError(t, err)
	return New(Config{Store: disk})
}

// uploaded stores weather and gives what is answered.
func uploaded(t testing.TB, s http.Handler, target string, body []byte, headers ...string) WeatherResource {
	t.Helper()
	w := call(t, s, "POST", target, body, headers...)
	require.Contains(t, []int{200, 201}, w.Code, w.Body.String())
	var out WeatherResource
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &out))
	return out
}

// openFile is an open weather file of testdata/weather as it is there.
func openFile(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "testdata", "weather", name))
	require.NoError(t, err)
	return data
}

// files are headers of a file of no stated type.
var noType = []string{"Content-Type", ""}

// A file by its id is the same as the file inline: the same hash and bytes, in
// any calendar year, with and without the request's site.
func TestContent_InlineAndByReference(t *testing.T) {
	s := storing(t, t.TempDir())
	year, err := typicalYear()
	require.NoError(t, err)
	columns := columnWeather(t)
	monthly := map[string]any{"monthly": map[string]any{
		"ghi_kwh_m2_d": []float64{1.8, 2.8, 3.9, 4.6, 5.5, 6.0, 6.0, 5.2, 4.1, 2.7, 1.7, 1.4},
		"ambient_c":    []float64{-8, -6, -1, 7, 14, 19, 21, 20, 15, 9, 3, -4}}}
	site := map[string]any{"latitude_deg": 44.467, "longitude_deg": -73.15, "elevation_m": 101, "utc_offset_h": -5}
	var dated strings.Builder
	dated.WriteString("# latitude_deg: 44.467\n# longitude_deg: -73.15\n# elevation_m: 101\n# utc_offset_h: -5\ntime,ghi_w_m2,ambient_c\n")
	for start := time.Date(2021, 1, 1, 0, 0, 0, 0, time.UTC); start.Year() == 2021; start = start.Add(time.Hour) {
		if start.YearDay() == 100 && start.Hour() == 3 {
			continue // a gap, which is filled
		}
		fmt.Fprintf(&dated, "%s,%d,5\n", start.Format("2006-01-02T15:04"), 20*max(0, 6-max(start.Hour()-12, 12-start.Hour())))
	}
	for name, c := range map[string]struct {
		inline  map[string]any
		id      string
		patches []string
	}{
		"typical year": {map[string]any{"text": year}, uploaded(t, s, "/v1/weather", []byte(year), noType...).ID,
			[]string{`{}`, `{"site":null}`, `{"calendar_year":null}`, `{"calendar_year":2023}`, `{"calendar_year":2024}`, `{"site":{"latitude_deg":45.5}}`}},
		"columns": {columns, uploaded(t, s, "/v1/weather", text(t, merged(columns, map[string]any{"site": site}))).ID,
			[]string{`{}`, `{"calendar_year":null}`, `{"calendar_year":2026}`}},
		"monthly means": {monthly, uploaded(t, s, "/v1/weather", text(t, merged(monthly, map[string]any{"site": site}))).ID,
			[]string{`{}`, `{"calendar_year":null}`}},
		"dated file with a gap": {map[string]any{"text": dated.String()}, uploaded(t, s, "/v1/weather", []byte(dated.String()), "Content-Type", "text/csv; charset=utf-8").ID,
			[]string{`{"calendar_year":null}`, `{"calendar_year":2021}`, `{"calendar_year":null,"site":null}`}},
	} {
		for _, patch := range c.patches {
			t.Run(name+" "+patch, func(t *testing.T) {
				request := with(t, station(t), patch)
				inline := call(t, s, "POST", "/v1/simulations?detail=months", text(t, withWeather(request, c.inline)))
				require.Equal(t, 200, inline.Code, inline.Body.String())
				s.answers.drop(strings.TrimPrefix(inline.Header().Get("Content-Location"), "/v1/simulations/")[:64]) // and it is computed anew
				reference := call(t, s, "POST", "/v1/simulations?detail=months", text(t, withWeather(request, map[string]any{"id": c.id})))
				require.Equal(t, 200, reference.Code, reference.Body.String())
				assert.Equal(t, inline.Body.String(), reference.Body.String())
				assert.Equal(t, inline.Header().Get("ETag"), reference.Header().Get("ETag"))
			})
		}
	}
}

// A load by its id is the same as the load inline, also with members beside it.
func TestContent_LoadByReference(t *testing.T) {
	s := storing(t, t.TempDir())
	series := make([]float64, 8760)
	for i := range series {
		series[i] = 200 + float64(i%24)*10
	}
	for name, load := range map[string]map[string]any{
		"appliances": station(t)["load"].(map[string]any),
		"by key":     {"key": "hut", "scale_to_kwh_per_day": 4.5},
		"series":     {"ac_essential_w": series, "dc_essential_w": series},
	} {
		w := call(t, s, "POST", "/v1/loads", text(t, load))
		require.Equal(t, 201, w.Code, w.Body.String())
		var stored StoredLoad
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), &stored))
		for _, beside := range []string{`{}`, `{"growth":{"per_year_fraction":0.02,"years":5}}`} {
			inline := withWeather(with(t, station(t), `{"load":null}`), columnWeather(t))
			inline["load"] = with(t, load, beside)
			reference := withWeather(with(t, station(t), `{"load":null}`), columnWeather(t))
			reference["load"] = with(t, map[string]any{"id": stored.ID}, beside)
			want := call(t, s, "POST", "/v1/simulations", text(t, inline))
			require.Equal(t, 200, want.Code, want.Body.String())
			s.answers.drop(strings.TrimPrefix(want.Header().Get("Content-Location"), "/v1/simulations/"))
			for range 2 { // built, and found
				got := call(t, s, "POST", "/v1/simulations", text(t, reference))
				assert.Equal(t, want.Body.String(), got.Body.String(), name)
			}
		}
	}
}

// Candidates of a comparison may name other stored weather and loads.
func TestContent_Comparison(t *testing.T) {
	s := storing(t, t.TempDir())
	id := uploaded(t, s, "/v1/weather", openFile(t, "burlington_vt_tmy3.csv.gz"), noType...).ID
	other := uploaded(t, s, "/v1/weather", openFile(t, "miami_fl_tmy3.csv.gz"), noType...).ID
	body := text(t, map[string]any{"base": with(t, withWeather(station(t), map[string]any{"id": id}), `{"site":null}`),
		"candidates": map[string]any{"here": map[string]any{}, "there": map[string]any{"weather": map[string]any{"id": other}}}})
	w := call(t, s, "POST", "/v1/comparisons", body)
	require.Equal(t, 200, w.Code, w.Body.String())
	missing := strings.Replace(string(body), other, "w-"+strings.Repeat("0", 32), 1)
	p := problemOf(t, call(t, s, "POST", "/v1/comparisons", []byte(missing)), 422)
	require.Len(t, p.Faults, 1)
	assert.Equal(t, "/candidates/there/weather/id", p.Faults[0].Pointer)
}

// What is stored is there after a restart.
func TestContent_SurvivesRestart(t *testing.T) {
	dir := t.TempDir()
	s := storing(t, dir)
	id := uploaded(t, s, "/v1/weather", openFile(t, "burlington_vt_tmy3.csv.gz"), noType...).ID
	request := text(t, withWeather(station(t), map[string]any{"id": id}))
	before := call(t, s, "POST", "/v1/simulations", request)
	require.Equal(t, 200, before.Code, before.Body.String())
	s = storing(t, dir)
	after := call(t, s, "POST", "/v1/simulations", request)
	assert.Equal(t, before.Body.String(), after.Body.String())
	assert.Equal(t, 200, call(t, s, "POST", "/v1/weather", openFile(t, "burlington_vt_tmy3.csv.gz"), noType...).Code, "known")
}

// Many upload the same at once: all get the same id, and it is stored once.
func TestContent_SameUploadsAtOnce(t *testing.T) {
	s := storing(t, t.TempDir())
	body := openFile(t, "burlington_vt_tmy3.csv.gz")
	var all sync.WaitGroup
	ids := make([]string, 8)
	created := make([]bool, 8)
	for i := range ids {
		all.Go(func() {
			w := call(t, s, "POST", "/v1/weather", body, noType...)
			var out WeatherResource
			assert.NoError(t, json.Unmarshal(w.Body.Bytes(), &out))
			ids[i], created[i] = out.ID, w.Code == http.StatusCreated
		})
	}
	all.Wait()
	times := 0
	for i := range ids {
		assert.Equal(t, ids[0], ids[i])
		if created[i] {
			times++
		}
	}
	assert.Equal(t, 1, times)
	list, err := s.content.disk.List("")
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, list[0].Bytes, s.content.disk.Used(), "nothing is left of the uploads")
}

// Weather that is deleted and uploaded again while requests use it: each request
// is answered as if alone, or told that it is not there.
func TestContent_DeletedWhileInUse(t *testing.T) {
	s := storing(t, t.TempDir())
	body := openFile(t, "burlington_vt_tmy3.csv.gz")
	id := uploaded(t, s, "/v1/weather", body, noType...).ID
	request := text(t, withWeather(station(t), map[string]any{"id": id}))
	want := call(t, s, "POST", "/v1/simulations", request).Body.String()
	done := make(chan bool)
	go func() {
		defer close(done)
		for range 10 {
			w := call(t, s, "DELETE", "/v1/weather/"+id, nil)
			assert.Equal(t, 204, w.Code, w.Body.String())
			uploaded(t, s, "/v1/weather", body, noType...)
		}
	}()
	answered := 0
	for ended := false; !ended || answered == 0; {
		select {
		case <-done:
			ended = true
		default:
		}
		switch w := call(t, s, "POST", "/v1/simulations", request); w.Code {
		case 200:
			answered++
			require.Equal(t, want, w.Body.String())
		default:
			p := problemOf(t, w, 422)
			require.Equal(t, "/weather/id", p.Faults[0].Pointer)
			require.Equal(t, "is not stored here", p.Faults[0].Message)
		}
	}
	require.Equal(t, 204, call(t, s, "DELETE", "/v1/weather/"+id, nil).Code)
	problemOf(t, call(t, s, "POST", "/v1/simulations", request), 422)
	problemOf(t, call(t, s, "GET", "/v1/weather/"+id, nil), 404)
	problemOf(t, call(t, s, "DELETE", "/v1/weather/"+id, nil), 404)
}

// A file of the store that was changed is said to be damaged, wherever it is
// asked for; the same upload repairs it.
func TestContent_Damaged(t *testing.T) {
	dir := t.TempDir()
	body := openFile(t, "burlington_vt_tmy3.csv.gz")
	id := uploaded(t, storing(t, dir), "/v1/weather", body, noType...).ID
	name := filepath.Join(dir, "content", id)
	whole, err := os.ReadFile(name)
	require.NoError(t, err)
	whole[len(whole)/2] ^= 1
	require.NoError(t, os.WriteFile(name, whole, 0o600))
	s := storing(t, dir)
	request := text(t, withWeather(station(t), map[string]any{"id": id}))
	p := problemOf(t, call(t, s, "POST", "/v1/simulations", request), 422)
	assert.Contains(t, p.Faults[0].Message, "damaged: upload it again")
	for _, accept := range []string{media.JSON, media.CSV, media.Parquet} {
		p = problemOf(t, call(t, s, "GET", "/v1/weather/"+id, nil, "Accept", accept), 500)
		assert.Equal(t, "/docs#problem-damaged-content", p.Type)
	}
	require.NoError(t, os.WriteFile(name, whole[:10], 0o600))
	var list WeatherList
	require.NoError(t, json.Unmarshal(call(t, s, "GET", "/v1/weather", nil).Body.Bytes(), &list))
	assert.Equal(t, []string{id}, list.Damaged)
	assert.Equal(t, 201, call(t, s, "POST", "/v1/weather", body, noType...).Code)
	assert.Equal(t, 200, call(t, s, "POST", "/v1/simulations", request).Code)
}

// Ids that lead nowhere, and places where an id cannot be used.
func TestContent_UnknownIDs(t *testing.T) {
	s := storing(t, t.TempDir())
	nothing := strings.Repeat("0", 32)
	for _, c := range []struct{ patch, pointer, message string }{
		{`{"weather":{"id":"w-` + nothing + `"}}`, "/weather/id", "is not stored here"},
		{`{"weather":{"id":"ws-` + nothing + `"}}`, "/weather/id", "is not stored here"},
		{`{"weather":{"id":"l-` + nothing + `"}}`, "/weather/id", "is not stored here"},
		{`{"weather":{"id":"../../etc/passwd"}}`, "/weather/id", "is not stored here"},
		{`{"weather":{"id":"w-1","text":"x"}}`, "/weather", "several ways: id and text"},
		{`{"weather":{"id":"w-1","seed":1}}`, "/weather/seed", "only goes with monthly"},
	} {
		p := problemOf(t, call(t, s, "POST", "/v1/simulations", text(t, with(t, station(t), c.patch))), 422)
		require.Len(t, p.Faults, 1, c.patch)
		assert.Equal(t, c.pointer, p.Faults[0].Pointer)
		assert.Contains(t, p.Faults[0].Message, c.message)
	}
	for _, id := range []string{"l-" + nothing, "w-" + nothing, "nobody's"} {
		p := problemOf(t, call(t, s, "POST", "/v1/simulations", text(t, merged(complete(t), map[string]any{"load": map[string]any{"id": id, "appliances": nil}}))), 422)
		require.Len(t, p.Faults, 1)
		assert.Equal(t, "/load/id", p.Faults[0].Pointer)
	}
	// On the command line nothing is stored.
	assert.Equal(t, []string{"/weather/id"}, pointers(text(t, withWeather(station(t), map[string]any{"id": "w-" + nothing}))))
	assert.Equal(t, []string{"/load/id"}, pointers(text(t, with(t, complete(t), `{"load":{"id":"l-`+nothing+`","appliances":null}}`))))
	assert.Equal(t, []string{"/load/id"}, pointers(text(t, with(t, complete(t), `{"load":{"id":7}}`))))
}

// A service without a directory says so, and simulates.
func TestContent_NoStore(t *testing.T) {
	s := New(Config{})
	for _, target := range []string{"/v1/weather", "/v1/loads"} {
		problemOf(t, call(t, s, "POST", target, []byte("{}")), 503)
		problemOf(t, call(t, s, "GET", target, nil), 503)
		problemOf(t, call(t, s, "GET", target+"/w-1", nil), 503)
		problemOf(t, call(t, s, "DELETE", target+"/w-1", nil), 503)
	}
}

func TestContent_Full(t *testing.T) {
	disk, err := store.Open(t.TempDir(), 200_000)
	require.NoError(t, err)
	s := New(Config{Store: disk})
	p := problemOf(t, call(t, s, "POST", "/v1/weather", openFile(t, "burlington_vt_tmy3.csv.gz"), noType...), 507)
	assert.Equal(t, "/docs#problem-store-full", p.Type)
	assert.Zero(t, disk.Used())
	for i := 0; ; i++ {
		columns := columnWeather(t)
		columns["wind_m_s"] = slices.Repeat([]float64{float64(i)}, 8760)
		w := call(t, s, "POST", "/v1/weather", text(t, merged(columns, map[string]any{"site": station(t)["site"]})))
		if w.Code == 201 {
			continue
		}
		assert.Equal(t, "/docs#problem-store-full", problemOf(t, w, 507).Type)
		break
	}
	assert.LessOrEqual(t, disk.Used(), int64(200_000))
	assert.Zero(t, s.memory.used.Load())
}

// What is used last is kept within the memory for it.
func TestContent_Memory(t *testing.T) {
	disk, err := store.Open(t.TempDir(), 1<<30)
	require.NoError(t, err)
	s := New(Config{Store: disk, MaxContentBytes: 3 << 20}) // an hourly year of five columns is 350 kB, its sun 560 kB
	var ids []string
	for _, name := range []string{"burlington_vt_tmy3.csv.gz", "miami_fl_tmy3.csv.gz", "tucson_az_tmy3.csv.gz"} {
		ids = append(ids, uploaded(t, s, "/v1/weather", openFile(t, name), noType...).ID)
	}
	for _, id := range append(ids, ids...) {
		w := call(t, s, "POST", "/v1/simulations", text(t, with(t, withWeather(station(t), map[string]any{"id": id}), `{"site":null}`)))
		require.Equal(t, 200, w.Code, w.Body.String())
		assert.LessOrEqual(t, s.content.years.weight, int64(3<<18))
		assert.LessOrEqual(t, s.content.skies.weight, int64(9<<17))
	}
	assert.Equal(t, 2, s.content.years.len())
	assert.Equal(t, 1, s.content.skies.len())
}
