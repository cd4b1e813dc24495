package api

import (
	"encoding/json"
	"maps"
	"os"
	"strings"
	"sync"
	"testing"

	"github.com/klauspost/compress/gzip"
	"github.com/stretchr/testify/require"

	"bankyear/api/document"
	"bankyear/weather"
)

// station is the request of the tests, without weather.
func station(t testing.TB) map[string]any {
	t.Helper()
	raw, err := os.ReadFile("testdata/station.json")
	require.NoError(t, err)
	var request map[string]any
	require.NoError(t, json.Unmarshal(raw, &request))
	return request
}

// typicalYear is an open weather file of a cold site as text (testdata/SOURCES.md).
var typicalYear = sync.OnceValues(func() (string, error) {
	f, err := os.Open("../testdata/weather/burlington_vt_tmy3.csv.gz")
	if err != nil {
		return "", err
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		return "", err
	}
	var text strings.Builder
	_, err = z.WriteTo(&text)
	return text.String(), err
})

// textWeather gives the file as text.
func textWeather(t testing.TB) map[string]any {
	t.Helper()
	text, err := typicalYear()
	require.NoError(t, err)
	return map[string]any{"text": text}
}

// columnWeather gives the same year as columns.
func columnWeather(t testing.TB) map[string]any {
	t.Helper()
	text, err := typicalYear()
	require.NoError(t, err)
	reading, err := weather.Read(strings.NewReader(text), weather.ReadOptions{})
	require.NoError(t, err)
	y := reading.Year
	columns := map[string]any{"ghi_w_m2": y.GHI, "dni_w_m2": y.DNI, "dhi_w_m2": y.DHI, "ambient_c": y.AmbientC}
	if y.WindMS != nil {
		columns["wind_m_s"] = y.WindMS
	}
	return columns
}

// with is a request with a merge patch (RFC 7396) applied.
func with(t testing.TB, request map[string]any, patch string) map[string]any {
	t.Helper()
	var p map[string]any
	require.NoError(t, json.Unmarshal([]byte(patch), &p), patch)
	return merged(request, p)
}

func merged(base, patch map[string]any) map[string]any {
	out := maps.Clone(base)
	for name, v := range patch {
		inner, isObject := v.(map[string]any)
		switch {
		case v == nil:
			delete(out, name)
		case isObject:
			old, _ := out[name].(map[string]any)
			if old == nil {
				old = map[string]any{}
			}
			out[name] = merged(old, inner)
		default:
			out[name] = v
		}
	}
	return out
}

// withWeather adds weather.
func withWeather(request, w map[string]any) map[string]any {
	return merged(request, map[string]any{"weather": w})
}

func text(t testing.TB, v any) []byte {
	t.Helper()
	out, err := json.Marshal(v)
	require.NoError(t, err)
	return out
}

// read takes a request that has no faults.
func read(t testing.TB, request map[string]any) *Case {
	t.Helper()
	var cases Cases
	c, faults, isJSON := cases.Read(text(t, request))
	require.True(t, isJSON)
	require.Empty(t, faults)
	return c
}

// complete is the request of the tests with its weather.
func complete(t testing.TB) map[string]any {
	t.Helper()
	return withWeather(station(t), columnWeather(t))
}

// pointers lists where faults are.
func pointers(raw []byte) (list []string) {
	var cases Cases
	_, faults, _ := cases.Read(raw)
	for _, f := range faults {
		list = append(list, f.Pointer)
	}
	return list
}

// reversed writes JSON with the members of every object in reverse order.
func reversed(t testing.TB, raw []byte) []byte {
	t.Helper()
	tree, faults := document.Parse(raw)
	require.Empty(t, faults)
	return writeReversed(nil, t, tree)
}

func writeReversed(out []byte, t testing.TB, n *document.Node) []byte {
	switch n.Kind() {
	case document.Object:
		out = append(out, '{')
		members := n.Members()
		for i := len(members) - 1; i >= 0; i-- {
			out = append(append(out, text(t, members[i].Name)...), ':')
			out = writeReversed(out, t, members[i].Value)
			if i > 0 {
				out = append(out, ',')
			}
		}
		return append(out, '}')
	case document.Array:
		out = append(out, '[')
		for i := range n.Len() {
			if i > 0 {
				out = append(out, ',')
			}
			out = writeReversed(out, t, n.Item(i))
		}
		return append(out, ']')
	}
	encoded, err := document.Encode(n)
	require.NoError(t, err)
	return append(out, encoded...)
}
