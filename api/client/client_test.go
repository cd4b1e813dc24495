package client

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api"
	"bankyear/api/media"
	"bankyear/api/store"
)

const hut = `{"name":"Hut","weather":{"file":"burlington_vt_tmy3.csv.gz"},"load":{"appliances":{"lights":{"w":60,"hours":"05-08,16-23"}}},
 "array":{"planes":{"roof":{"rated_kw":2.4,"tilt_deg":60,"azimuth_deg":180,"charger":"south"}},"chargers":{"south":{"key":"solar_charger_120a"}}},
 "bank":{"module":{"key":"lfp_16s_100ah"},"modules":2,"operation":"voltage_only"},"inverter":{"key":"inverter_3kw"}}`

func openWeather(name string) (io.ReadCloser, error) {
	return os.Open("../../testdata/weather/" + name)
}

// serving starts a service that stores what is uploaded.
func serving(t testing.TB) *Client {
	t.Helper()
	disk, err := store.Open(t.TempDir(), 1<<30)
	require.NoError(t, err)
	server := httptest.NewServer(api.New(api.Config{Store: disk}))
	t.Cleanup(server.Close)
	c, err := New(server.URL, server.Client())
	require.NoError(t, err)
	return c
}

func TestClient(t *testing.T) {
	c, ctx := serving(t), t.Context()
	body, err := c.WithFiles(ctx, []byte(hut), openWeather)
	require.NoError(t, err)
	answer, err := c.Simulate(ctx, body, api.Months, api.Events)
	require.NoError(t, err)
	assert.Equal(t, "Hut", answer.Name)
	assert.Len(t, answer.Months, 12)
	again, err := c.Answer(ctx, answer.Hash, api.Months, api.Events)
	require.NoError(t, err)
	assert.Equal(t, answer, again)
	table, err := c.SimulateHours(ctx, body, media.CSV)
	require.NoError(t, err)
	assert.Equal(t, 8761, bytes.Count(table, []byte("\n")))
	file, err := c.SimulateHours(ctx, body, media.Parquet)
	require.NoError(t, err)
	assert.Equal(t, "PAR1", string(file[:4]))

	raw, err := os.ReadFile("../../testdata/weather/burlington_vt_tmy3.csv.gz")
	require.NoError(t, err)
	stored, err := c.UploadWeather(ctx, raw, nil)
	require.NoError(t, err)
	byID, err := c.Simulate(ctx, []byte(strings.Replace(hut, `"file":"burlington_vt_tmy3.csv.gz"`, `"id":"`+stored.ID+`"`, 1)))
	require.NoError(t, err)
	assert.Equal(t, answer.Hash, byID.Hash)
	load, err := c.UploadLoad(ctx, []byte(`{"appliances":{"lamp":{"w":10}}}`), media.JSON, nil)
	require.NoError(t, err)
	assert.InDelta(t, 0.24, load.KWhPerDay, 1e-9)

	compared, err := c.WithFiles(ctx, []byte(`{"base":`+hut+`,"candidates":{"three":{"bank":{"modules":3}},"same":{"weather":{"file":"burlington_vt_tmy3.csv.gz"}}}}`), openWeather)
	require.NoError(t, err)
	comparison, err := c.Compare(ctx, compared)
	require.NoError(t, err)
	require.Len(t, comparison.Candidates, 3)
	assert.Equal(t, answer.Hash, comparison.Candidates[0].Answer.Hash)
	assert.Equal(t, answer.Hash, comparison.Candidates[1].Answer.Hash, "the same file in a candidate")

	entries, err := c.Catalogue(ctx, "inverter")
	require.NoError(t, err)
	assert.NotEmpty(t, entries.Entries)
	backtest, err := c.Backtest(ctx, []byte(`{"system":{"bank":{"module":{"key":"lfp_16s_100ah"},"modules":1,"operation":"data_linked"}},"log":{"start":"2025-01-01T00:00","step_s":60,"v":[`+strings.Repeat("52,", 29)+`52],"a":[`+strings.Repeat("1,", 29)+`1]}}`))
	require.NoError(t, err)
	assert.Equal(t, 30, backtest.Rows)
	history, err := c.History(ctx, []byte(`{"module":{"key":"lfp_16s_100ah"},"log":{"time":["2025-01-01T00:00"],"soh_fraction":[0.9]}}`))
	require.NoError(t, err)
	assert.InDelta(t, 0.9, *history.Modules[0].LastSoH, 0)
}

// A large file goes the way of an upload, and gives the same.
func TestClient_WithFiles(t *testing.T) {
	c, ctx := serving(t), t.Context()
	parquet := func(string) (io.ReadCloser, error) { return openWeather("tucson_az_tmy3.epw.gz") }
	body, err := c.WithFiles(ctx, []byte(`{"weather":{"file":"x"}}`), parquet)
	require.NoError(t, err)
	assert.Contains(t, string(body), `"text":"LOCATION`)
	padded := func(string) (io.ReadCloser, error) {
		f, err := openWeather("burlington_vt_tmy3.csv.gz")
		if err != nil {
			return nil, err
		}
		defer f.Close()
		raw, err := io.ReadAll(f)
		text, ok := asText(raw)
		assert.True(t, ok)
		return io.NopCloser(strings.NewReader(text + strings.Repeat("\n", mostInline))), err
	}
	body, err = c.WithFiles(ctx, []byte(hut), padded)
	require.NoError(t, err)
	assert.Regexp(t, `"id":"w-[0-9a-f]{32}"`, string(body))
	_, err = c.Simulate(ctx, body)
	require.NoError(t, err)
	for _, as := range []string{`{`, `{"weather":{"file":1}}`, `{"weather":{"text":"x"}}`, `{"weather":{"file":"x"},"weather":{}}`, `[]`} {
		body, err := c.WithFiles(ctx, []byte(as), openWeather)
		require.NoError(t, err)
		assert.Equal(t, as, string(body))
	}
	_, err = c.WithFiles(ctx, []byte(`{"weather":{"file":"nowhere"}}`), openWeather)
	require.ErrorIs(t, err, os.ErrNotExist)
}

func TestClient_Problems(t *testing.T) {
	c := serving(t)
	_, err := c.Simulate(t.Context(), []byte(`{"bank":{"modules":99}}`))
	var p *Problem
	require.ErrorAs(t, err, &p)
	assert.Equal(t, 422, p.Status)
	assert.Contains(t, err.Error(), "\n/bank/modules: is outside the allowed range, got 99, allowed 1 to 64")
	_, err = c.Answer(t.Context(), strings.Repeat("0", 64))
	require.ErrorAs(t, err, &p)
	assert.Equal(t, 404, p.Status)
	for _, base := range []string{"", "nowhere", "ftp://a", "http://", "http://a?x=1", ":"} {
		_, err := New(base, nil)
		require.Error(t, err, base)
	}
}

// A service that is busy is asked again when it says, not for ever; what is not
// of the service is an error that says so.
func TestClient_Busy(t *testing.T) {
	asked, refuse := 0, 2
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		asked++
		body, _ := io.ReadAll(r.Body)
		switch {
		case r.URL.Path == "/behind/v1/catalogue" && asked <= refuse:
			w.Header().Set("Retry-After", "7")
			w.WriteHeader(http.StatusTooManyRequests)
			_, _ = w.Write([]byte(`{"title":"Too many","status":429,"faults":[]}`))
		case r.URL.Path == "/behind/v1/catalogue":
			_, _ = w.Write([]byte(`{"entries":[]}`))
		case r.Header.Get("Content-Encoding") == media.Gzip && len(body) < 1000:
			_, _ = w.Write([]byte("<html>"))
		default:
			w.WriteHeader(http.StatusBadGateway)
		}
	}))
	defer server.Close()
	c, err := New(server.URL+"/behind", nil)
	require.NoError(t, err)
	var waited time.Duration
	c.wait = func(_ context.Context, d time.Duration) error { waited += d; return nil }
	_, err = c.Catalogue(t.Context(), "")
	require.NoError(t, err)
	assert.Equal(t, 14*time.Second, waited)
	asked, refuse = 0, 100
	var p *Problem
	_, err = c.Catalogue(t.Context(), "")
	require.ErrorAs(t, err, &p)
	assert.Equal(t, mostTries, asked)
	c.wait = func(context.Context, time.Duration) error { return context.Canceled }
	_, err = c.Catalogue(t.Context(), "")
	require.ErrorIs(t, err, context.Canceled)
	_, err = c.Simulate(t.Context(), []byte("{}"))
	require.Error(t, err)
	assert.False(t, errors.As(err, new(*Problem)))
	assert.Contains(t, err.Error(), "502")
	_, err = c.Simulate(t.Context(), bytes.Repeat([]byte(" "), compressFrom))
	require.Error(t, err)
	assert.Contains(t, err.Error(), "cannot be read")
}
