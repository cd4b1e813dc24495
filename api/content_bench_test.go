package api

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bankyear/api/media"
)

// BenchmarkReferenceOverHTTP is a request by reference over a loopback
// connection: another bank each time, so that each is computed, and the same one
// again; the run alone and compiling with it stand beside it.
//
// Least times on two cores of an AMD EPYC that others used at the same time,
// linux/amd64, Go 1.26: another 8.4 ms, of which the run is 6.4 ms and compiling
// 0.9 ms; again 0.7 ms. Inline (below) 10.8 ms.
func BenchmarkReferenceOverHTTP(b *testing.B) {
	s := storing(b, b.TempDir())
	server := httptest.NewServer(s)
	defer server.Close()
	id := uploaded(b, s, "/v1/weather", openFile(b, "burlington_vt_tmy3.csv.gz"), noType...).ID
	var load StoredLoad
	require.NoError(b, json.Unmarshal(call(b, s, "POST", "/v1/loads", text(b, station(b)["load"])).Body.Bytes(), &load))
	request := withWeather(with(b, station(b), `{"load":null}`), map[string]any{"id": id})
	request["load"] = map[string]any{"id": load.ID}
	send := func(b *testing.B, body []byte) {
		r, err := http.Post(server.URL+"/v1/simulations", media.JSON, bytes.NewReader(body))
		require.NoError(b, err)
		_, err = io.Copy(io.Discard, r.Body)
		require.NoError(b, err)
		require.NoError(b, r.Body.Close())
		require.Equal(b, 200, r.StatusCode)
	}
	// Cable resistances that differ a little: other hashes, the same work.
	other := func(i int) []byte {
		return text(b, with(b, request, fmt.Sprintf(`{"bank":{"cable_ohm":%g}}`, 0.002+float64(i)*1e-9)))
	}
	i := 0
	b.Run("another", func(b *testing.B) {
		medianOf(b, func() func() { i++; body := other(i); return func() { send(b, body) } })
	})
	b.Run("again", func(b *testing.B) {
		body := other(0)
		send(b, body)
		medianOf(b, func() func() { return func() { send(b, body) } })
	})
	c := read(b, complete(b))
	plan := c.Plan()
	b.Run("run alone", func(b *testing.B) { medianOf(b, func() func() { return func() { plan.Run(false) } }) })
	b.Run("compile and run", func(b *testing.B) { medianOf(b, func() func() { return func() { c.Plan().Run(false) } }) })
}

// medianOf reports the median time of what prepare gives, and the least: what it
// takes where nobody else uses the machine.
func medianOf(b *testing.B, prepare func() func()) {
	b.Helper()
	var all []time.Duration
	for b.Loop() {
		run := prepare()
		begin := time.Now()
		run()
		all = append(all, time.Since(begin))
	}
	slices.Sort(all)
	b.ReportMetric(float64(all[len(all)/2].Microseconds()), "µs/median")
	b.ReportMetric(float64(all[0].Microseconds()), "µs/least")
}

// BenchmarkInlineOverHTTP is a request with 8760 rows of weather inline over a
// loopback connection: another bank each time, and another year each time.
func BenchmarkInlineOverHTTP(b *testing.B) {
	s := New(Config{})
	server := httptest.NewServer(s)
	defer server.Close()
	base := complete(b)
	i := 0
	for name, patch := range map[string]string{"another bank": `{"bank":{"cable_ohm":%g}}`, "another year": `{"site":{"elevation_m":%g}}`} {
		b.Run(name, func(b *testing.B) {
			medianOf(b, func() func() {
				i++
				body := text(b, with(b, base, fmt.Sprintf(patch, 0.002+float64(i)*1e-9)))
				return func() {
					r, err := http.Post(server.URL+"/v1/simulations", media.JSON, bytes.NewReader(body))
					require.NoError(b, err)
					_, err = io.Copy(io.Discard, r.Body)
					require.NoError(b, err)
					require.NoError(b, r.Body.Close())
					require.Equal(b, 200, r.StatusCode)
				}
			})
		})
	}
}

// BenchmarkUpload stores a typical year: read, checked, written.
func BenchmarkUpload(b *testing.B) {
	s := storing(b, b.TempDir())
	body := openFile(b, "burlington_vt_tmy3.csv.gz")
	for b.Loop() {
		uploaded(b, s, "/v1/weather", body, noType...)
	}
}

// BenchmarkFirstUse reads a stored year from the disk.
func BenchmarkFirstUse(b *testing.B) {
	s := storing(b, b.TempDir())
	id := uploaded(b, s, "/v1/weather", openFile(b, "burlington_vt_tmy3.csv.gz"), noType...).ID
	for b.Loop() {
		s.content.forget(id)
		_, err := s.content.year(id)
		require.NoError(b, err)
	}
}

// BenchmarkCompareOverHTTP is two candidates by reference over a loopback
// connection, another pair each time, so that each is computed: bands, people and
// endurance, and with detail what they cost.
func BenchmarkCompareOverHTTP(b *testing.B) {
	s := storing(b, b.TempDir())
	server := httptest.NewServer(s)
	defer server.Close()
	id := uploaded(b, s, "/v1/weather", openFile(b, "burlington_vt_tmy3.csv.gz"), noType...).ID
	var load StoredLoad
	require.NoError(b, json.Unmarshal(call(b, s, "POST", "/v1/loads", text(b, station(b)["load"])).Body.Bytes(), &load))
	base := withWeather(with(b, station(b), `{"load":null,"bank":{"modules":4,"operation":"data_linked"},"array":{"planes":{"roof":{"rated_kw":4}}},
	  "generators":{"main":{"key":"diesel_8kw","start_soc_fraction":0.25,"stop_soc_fraction":0.8,"no_start_hours":"20-08"}}}`), map[string]any{"id": id})
	base["load"] = map[string]any{"id": load.ID}
	i := 0
	for _, query := range []string{"", "?detail=headroom", "?detail=reliefs"} {
		b.Run("two"+query, func(b *testing.B) {
			medianOf(b, func() func() {
				i++
				body := text(b, map[string]any{"base": with(b, base, fmt.Sprintf(`{"bank":{"cable_ohm":%g}}`, 0.002+float64(i)*1e-9)),
					"candidates": map[string]any{"two": map[string]any{"bank": map[string]any{"modules": 2}}, "four": map[string]any{}}})
				return func() {
					r, err := http.Post(server.URL+"/v1/comparisons"+query, media.JSON, bytes.NewReader(body))
					require.NoError(b, err)
					_, err = io.Copy(io.Discard, r.Body)
					require.NoError(b, err)
					require.NoError(b, r.Body.Close())
					require.Equal(b, 200, r.StatusCode)
				}
			})
		})
	}
}
