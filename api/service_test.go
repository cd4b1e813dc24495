package api

import (
	"bytes"
	"encoding/json"
	"html/template"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/media"
	"bankyear/sim"
)

// call sends a request; headers are name, value, name, value.
func call(t testing.TB, h http.Handler, method, target string, body []byte, headers ...string) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest(method, target, bytes.NewReader(body))
	if body != nil {
		r.Header.Set("Content-Type", media.JSON)
	}
	for i := 0; i < len(headers); i += 2 {
		if headers[i+1] == "" {
			r.Header.Del(headers[i])
		} else {
			r.Header.Set(headers[i], headers[i+1])
		}
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

// problemOf reads a problem and checks what every problem must have (RFC 9457).
func problemOf(t testing.TB, w *httptest.ResponseRecorder, status int) *Problem {
	t.Helper()
	assert.Equal(t, status, w.Code, w.Body.String())
	assert.Equal(t, media.Problem, w.Header().Get("Content-Type"))
	assert.Empty(t, w.Header().Get("Content-Encoding"))
	assert.Equal(t, "no-store", w.Header().Get("Cache-Control"))
	var p Problem
	d := json.NewDecoder(w.Body)
	d.DisallowUnknownFields()
	require.NoError(t, d.Decode(&p))
	assert.Equal(t, status, p.Status)
	assert.NotEmpty(t, p.Title)
	assert.True(t, strings.HasPrefix(p.Type, "/docs#problem-"), p.Type)
	return &p
}

func TestService_Simulate(t *testing.T) {
	s := New(Config{})
	raw := text(t, complete(t))
	w := call(t, s, "POST", "/v1/simulations", raw)
	require.Equal(t, 200, w.Code, w.Body.String())
	var a Answer
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &a))
	assert.Equal(t, Engine(), a.Engine)
	assert.Equal(t, "Hut on a ridge", a.Name)
	assert.Equal(t, read(t, complete(t)).Hash, a.Hash)
	assert.Positive(t, a.Books.SolarAvailableKWh)
	assert.Nil(t, a.Months)
	assert.Equal(t, "/v1/simulations/"+a.Hash, w.Header().Get("Content-Location"))
	assert.Equal(t, "Accept, Accept-Encoding", w.Header().Get("Vary"))

	t.Run("again", func(t *testing.T) {
		again := call(t, s, "POST", "/v1/simulations", raw)
		assert.Equal(t, w.Body.String(), again.Body.String())
		assert.Equal(t, w.Header().Get("ETag"), again.Header().Get("ETag"))
	})
	t.Run("by hash", func(t *testing.T) {
		got := call(t, s, "GET", w.Header().Get("Content-Location"), nil)
		assert.Equal(t, w.Body.String(), got.Body.String())
		assert.Equal(t, w.Header().Get("ETag"), got.Header().Get("ETag"))
	})
	t.Run("by hash in another detail and type", func(t *testing.T) {
		for _, c := range []struct{ query, accept string }{{"?detail=days", media.JSON}, {"", media.CSV}, {"", media.Parquet}} {
			posted := call(t, s, "POST", "/v1/simulations"+c.query, raw, "Accept", c.accept)
			got := call(t, s, "GET", "/v1/simulations/"+a.Hash+c.query, nil, "Accept", c.accept)
			assert.Equal(t, 200, got.Code)
			assert.Equal(t, posted.Body.Bytes(), got.Body.Bytes())
			assert.Equal(t, "/v1/simulations/"+a.Hash+c.query, posted.Header().Get("Content-Location"))
		}
	})
	t.Run("unknown hash", func(t *testing.T) {
		problemOf(t, call(t, s, "GET", "/v1/simulations/"+strings.Repeat("0", 64), nil), 404)
	})
}

// The books close in the answer, by what it says itself (design: to 1e-9 of
// throughput).
func TestService_BooksClose(t *testing.T) {
	w := call(t, New(Config{}), "POST", "/v1/simulations?detail=months", text(t, complete(t)))
	var a Answer
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &a))
	b := a.Books
	assert.InEpsilon(t, b.SolarAvailableKWh, b.SolarToLoadKWh+b.SolarToBankKWh+b.SolarLossKWh+b.CurtailedKWh, 1e-9)
	assert.InEpsilon(t, b.LoadKWh, b.LoadFromSolarKWh+b.LoadFromBankKWh+b.LoadFromGeneratorKWh+b.UnservedKWh, 1e-9)
	sum := 0.0
	for _, h := range a.Figures.DowntimeByCauseH {
		sum += h
	}
	assert.InDelta(t, a.Figures.DowntimeH, sum, 1e-6)
	require.Len(t, a.Months, 12)
	sum = 0
	for _, m := range a.Months {
		sum += m.Books.SolarAvailableKWh
	}
	assert.InEpsilon(t, b.SolarAvailableKWh, sum, 1e-9)
}

func TestService_Detail(t *testing.T) {
	s := New(Config{})
	raw := text(t, complete(t))
	tell := func(detail string) Answer {
		w := call(t, s, "POST", "/v1/simulations?detail="+detail, raw)
		require.Equal(t, 200, w.Code)
		var a Answer
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), &a))
		return a
	}
	days := tell("days")
	require.Len(t, days.Days, 365)
	assert.Equal(t, "2025-01-01", days.Days[0].Date)
	assert.Equal(t, "2025-12-31", days.Days[364].Date)
	load, dark := 0.0, 0.0
	for _, d := range days.Days {
		load += d.LoadKWh
		dark += d.DowntimeH
		assert.LessOrEqual(t, d.LowestSoC, d.HighestSoC)
	}
	// The hours are float32.
	assert.InEpsilon(t, days.Books.LoadKWh, load, 1e-6)
	assert.InEpsilon(t, days.Figures.DowntimeH, dark, 1e-5)
	w := call(t, s, "POST", "/v1/simulations?detail=events", raw)
	var events struct {
		Figures sim.Figures
		Events  []map[string]any
	}
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &events))
	assert.Len(t, events.Events, events.Figures.Outages+events.Figures.ShortOutages)
	for _, e := range events.Events {
		assert.Contains(t, events.Figures.DowntimeByCauseH, e["cause"])
	}
	hours := tell("hours")
	require.Len(t, hours.Hours.Columns, len(Columns()))
	assert.Equal(t, -5*3600, hours.Hours.UTCOffsetS)
	for _, c := range hours.Hours.Columns {
		assert.Len(t, c.Values, 8760, c.Name)
	}
	assert.Equal(t, "2025-01-01T00:00:00", hours.Hours.Columns[0].Values.([]any)[0])
}

func TestService_Negotiation(t *testing.T) {
	s := New(Config{})
	raw := text(t, complete(t))
	for _, c := range []struct {
		accept, want string
		status       int
	}{
		{"", "application/json", 200},
		{"*/*", "application/json", 200},
		{"application/json", "application/json", 200},
		{"application/*", "application/json", 200},
		{"text/*", "text/csv; charset=utf-8; header=present", 200},
		{"text/csv", "text/csv; charset=utf-8; header=present", 200},
		{"application/vnd.apache.parquet", "application/vnd.apache.parquet", 200},
		{"application/x-parquet", "application/x-parquet", 200},
		{"application/json;q=0.4, text/csv;q=0.5", "text/csv; charset=utf-8; header=present", 200},
		{"application/json;q=0, */*", "text/csv; charset=utf-8; header=present", 200},
		{"text/html, application/xml;q=0.9, */*;q=0.8", "application/json", 200},
		{"TEXT/CSV", "text/csv; charset=utf-8; header=present", 200},
		{"text/html", "", 406},
		{"application/json;q=0", "", 406},
		{"*/*;q=0", "", 406},
	} {
		w := call(t, s, "POST", "/v1/simulations", raw, "Accept", c.accept)
		if c.status != 200 {
			problemOf(t, w, c.status)
			continue
		}
		assert.Equal(t, 200, w.Code, c.accept)
		assert.Equal(t, c.want, w.Header().Get("Content-Type"), c.accept)
	}
}

func TestService_Problems(t *testing.T) {
	s := New(Config{})
	for _, c := range []struct {
		name, method, target, body string
		headers                    []string
		status                     int
	}{
		{"unknown path", "GET", "/v2/simulations", "", nil, 404},
		{"unknown path with a body", "POST", "/v1/simulation", "{}", nil, 404},
		{"double slash", "GET", "//docs", "", nil, 404},
		{"slash at the end", "GET", "/docs/", "", nil, 404},
		{"not JSON", "POST", "/v1/simulations", "{", nil, 400},
		{"empty", "POST", "/v1/simulations", "", []string{"Content-Type", media.JSON}, 400},
		{"faults", "POST", "/v1/simulations", "{}", nil, 422},
		{"no number, twice", "POST", "/v1/simulations", `{"":00,"":000`, nil, 400},
		{"form", "POST", "/v1/simulations", "a=b", []string{"Content-Type", "application/x-www-form-urlencoded"}, 415},
		{"no type is JSON", "POST", "/v1/simulations", "{}", []string{"Content-Type", ""}, 422},
		{"charset", "POST", "/v1/simulations", "{}", []string{"Content-Type", "application/json; charset=utf-8"}, 422},
		{"detail", "POST", "/v1/simulations?detail=weeks", "{}", nil, 400},
		{"unknown parameter", "POST", "/v1/simulations?details=months", "{}", nil, 400},
		{"repeated parameter", "POST", "/v1/simulations?detail=months&detail=days", "{}", nil, 400},
		{"parameter of another resource", "GET", "/v1/catalogue?detail=months", "", nil, 400},
		{"comparison as CSV", "POST", "/v1/comparisons", "{}", []string{"Accept", "text/csv"}, 406},
		{"page as JSON", "GET", "/docs", "", []string{"Accept", "application/json"}, 406},
		{"catalogue kind", "GET", "/v1/catalogue?kind=boat", "", nil, 400},
	} {
		t.Run(c.name, func(t *testing.T) {
			var body []byte
			if c.body != "" {
				body = []byte(c.body)
			}
			problemOf(t, call(t, s, c.method, c.target, body, c.headers...), c.status)
		})
	}
	t.Run("parameter is named", func(t *testing.T) {
		p := problemOf(t, call(t, s, "POST", "/v1/simulations?detail=weeks&x=1", []byte("{}")), 400)
		require.Len(t, p.Faults, 2)
		named := []string{p.Faults[0].Parameter, p.Faults[1].Parameter}
		assert.ElementsMatch(t, []string{"detail", "x"}, named)
	})
	t.Run("all faults, each with its pointer", func(t *testing.T) {
		p := problemOf(t, call(t, s, "POST", "/v1/simulations", text(t, with(t, complete(t), `{"bank":{"modules":99},"site":{"latitude_deg":100},"x":1}`))), 422)
		require.Len(t, p.Faults, 3)
		assert.Equal(t, "3 faults, each with its JSON Pointer, value and what is allowed.", p.Detail)
	})
}

// Every path answers another method with 405 and says which it takes.
func TestService_Methods(t *testing.T) {
	s := New(Config{})
	taken := map[string][]string{}
	for _, o := range s.operations() {
		taken[o.path] = append(taken[o.path], o.method)
	}
	for path, methods := range taken {
		target := strings.NewReplacer("{hash}", "0", "{id}", "0").Replace(path)
		for _, method := range []string{"GET", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE"} {
			if slices.Contains(methods, method) {
				continue
			}
			w := call(t, s, method, target, nil)
			problemOf(t, w, 405)
			for _, m := range methods {
				assert.Contains(t, w.Header().Get("Allow"), m)
			}
		}
	}
}

func TestService_Head(t *testing.T) {
	server := httptest.NewServer(New(Config{}))
	defer server.Close()
	got, err := http.Get(server.URL + "/v1/catalogue")
	require.NoError(t, err)
	defer got.Body.Close()
	r, err := http.NewRequest("HEAD", server.URL+"/v1/catalogue", nil)
	require.NoError(t, err)
	r.Header.Set("Accept-Encoding", "gzip") // as the client above sends by itself
	head, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	defer head.Body.Close()
	assert.Equal(t, 200, head.StatusCode)
	body, err := io.ReadAll(head.Body)
	require.NoError(t, err)
	assert.Empty(t, body)
	assert.Equal(t, got.Header.Get("ETag"), head.Header.Get("ETag"))
}

func TestService_Pages(t *testing.T) {
	s := New(Config{})
	for _, target := range []string{"/", "/docs"} {
		w := call(t, s, "GET", target, nil, "Accept", "text/html,application/xhtml+xml,*/*;q=0.8")
		assert.Equal(t, "text/html; charset=utf-8", w.Header().Get("Content-Type"))
		assert.Contains(t, w.Header().Get("Content-Security-Policy"), "default-src 'none'")
		body := w.Body.String()
		for _, c := range Cautions {
			assert.True(t, strings.Contains(body, template.HTMLEscapeString(c)), c)
		}
		assert.False(t, strings.Contains(body, "https://"), "nothing from another host")
	}
	docs := call(t, s, "GET", "/docs", nil).Body.String()
	for _, in := range Inputs() {
		assert.True(t, strings.Contains(docs, "<code>"+in.Path+"</code>"), in.Path)
	}
	for _, k := range kindsOfProblem {
		assert.True(t, strings.Contains(docs, `id="problem-`+k.name+`"`), k.name)
	}
}

func TestService_Small(t *testing.T) {
	s := New(Config{})
	assert.Equal(t, 200, call(t, s, "GET", "/healthz", nil).Code)
	assert.Equal(t, 200, call(t, s, "GET", "/readyz", nil).Code)
	s.Close()
	assert.Equal(t, 503, call(t, s, "GET", "/readyz", nil).Code)
	assert.Equal(t, 200, call(t, s, "GET", "/healthz", nil).Code)
	metrics := call(t, s, "GET", "/metrics", nil).Body.String()
	assert.Contains(t, metrics, `bankyear_request_duration_seconds_count{route="/readyz",method="GET",status="503"} 1`)
	assert.Contains(t, metrics, "# TYPE bankyear_request_duration_seconds histogram")
	assert.Contains(t, metrics, "bankyear_held_bytes 0\n")
	assert.Contains(t, metrics, "bankyear_stored_bytes 0\n")
}

// A mistake of the program answers a problem, and does not end the service.
func TestService_Panic(t *testing.T) {
	s := New(Config{})
	h := s.serve("/x", func(http.ResponseWriter, *http.Request) (*reply, *Problem) { panic("a mistake") })
	problemOf(t, call(t, h, "GET", "/x", nil), 500)
}
