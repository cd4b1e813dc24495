package api

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/media"
)

// stored is the answer to the upload of a load.
func storedLoadOf(t testing.TB, s *Service, target string, body []byte, headers ...string) StoredLoad {
	t.Helper()
	w := call(t, s, "POST", target, body, headers...)
	require.Contains(t, []int{200, 201}, w.Code, w.Body.String())
	var out StoredLoad
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &out))
	return out
}

// meterYear is a year of half-hourly readings in kWh, 0.2 by night and 0.5 by
// day, without those of one morning.
func meterYear() string {
	var out strings.Builder
	out.WriteString("Zeit;Verbrauch kWh\n")
	for start := time.Date(2023, 1, 1, 0, 0, 0, 0, time.UTC); start.Year() == 2023; start = start.Add(30 * time.Minute) {
		kWh := "0,2"
		if h := start.Hour(); h >= 8 && h < 20 {
			kWh = "0,5"
		}
		if start.YearDay() == 40 && start.Hour() == 9 {
			continue
		}
		fmt.Fprintf(&out, "%s;%s\n", start.Format("02.01.2006 15:04"), kWh)
	}
	return out.String()
}

// A table of metered data is stored with what was found in it, and serves as the
// same load inline.
func TestLoadUpload_Meter(t *testing.T) {
	s := storing(t, t.TempDir())
	const query = "/v1/loads?unit=kwh&label=start&clock=standard"
	got := storedLoadOf(t, s, query, []byte(meterYear()), "Content-Type", "text/csv")
	assert.Regexp(t, "^l-[0-9a-f]{32}$", got.ID)
	require.NotNil(t, got.Meter)
	assert.Equal(t, 1800, got.Meter.StepS)
	assert.Equal(t, 2, got.Meter.Missing)
	assert.Equal(t, 2, got.Meter.Bridged)
	// 24 half hours of 0.5 kWh and 24 of 0.2 a day.
	assert.InDelta(t, 16.8, got.KWhPerDay, 1e-9)
	assert.InDelta(t, 1000, got.HighestW, 1e-9)
	assert.Equal(t, got.ID, storedLoadOf(t, s, query, media.Encode([]byte(meterYear()), media.Gzip), "Content-Type", "application/gzip").ID)

	inline := with(t, complete(t), `{"load":null}`)
	inline["load"] = map[string]any{"meter": map[string]any{"csv": meterYear(), "unit": "kwh", "label": "start", "clock": "standard"}}
	reference := with(t, complete(t), `{"load":null}`)
	reference["load"] = map[string]any{"id": got.ID}
	want := call(t, s, "POST", "/v1/simulations", text(t, inline))
	require.Equal(t, 200, want.Code, want.Body.String())
	assert.Equal(t, want.Body.String(), call(t, s, "POST", "/v1/simulations", text(t, reference)).Body.String())

	t.Run("back, listed, deleted", func(t *testing.T) {
		var back StoredLoad
		require.NoError(t, json.Unmarshal(call(t, s, "GET", "/v1/loads/"+got.ID, nil).Body.Bytes(), &back))
		assert.Equal(t, got.ID, storedLoadOf(t, s, "/v1/loads", back.Load).ID, "what comes back can be uploaded again")
		var list LoadList
		require.NoError(t, json.Unmarshal(call(t, s, "GET", "/v1/loads", nil).Body.Bytes(), &list))
		require.Len(t, list.Loads, 1)
		assert.Nil(t, list.Loads[0].Load)
		assert.NotEmpty(t, list.Loads[0].Stored)
		assert.Equal(t, got.Meter, list.Loads[0].Meter)
		assert.Equal(t, 204, call(t, s, "DELETE", "/v1/loads/"+got.ID, nil).Code)
		problemOf(t, call(t, s, "GET", "/v1/loads/"+got.ID, nil), 404)
		p := problemOf(t, call(t, s, "POST", "/v1/simulations", text(t, reference)), 422)
		assert.Equal(t, "/load/id", p.Faults[0].Pointer)
	})
}

// A load that runs by the air temperature has no energy of its own.
func TestLoadUpload_Summary(t *testing.T) {
	s := storing(t, t.TempDir())
	got := storedLoadOf(t, s, "/v1/loads", []byte(`{"appliances":{"lights":{"w":60,"hours":"18-22"},"pump":{"w":750,"hours":"09-11","tier":"flexible"}}}`))
	assert.Equal(t, []string{"lights", "pump"}, got.Appliances)
	assert.InDelta(t, 1.74, got.KWhPerDay, 1e-9) // 60 W × 4 h + 750 W × 2 h
	assert.Equal(t, 750.0, got.HighestW)
	assert.NotEmpty(t, got.Assumed)
	warm := storedLoadOf(t, s, "/v1/loads", []byte(`{"appliances":{"heater":{"w":900,"duty_fraction":0,"temperature":{"heat_w_per_c":30}}}}`))
	assert.Zero(t, warm.KWhPerDay)
	assert.Zero(t, warm.HighestW)
	assert.Equal(t, "hut", storedLoadOf(t, s, "/v1/loads", []byte(`{"key":"hut"}`)).Key)
	for _, rows := range []int{8760, 8784, 17520, 4 * 8784} {
		series := storedLoadOf(t, s, "/v1/loads", text(t, map[string]any{"dc_flexible_w": slices.Repeat([]float64{100}, rows)}))
		assert.Equal(t, rows, series.Rows)
		assert.Equal(t, []string{"dc_flexible_w"}, series.Series)
		assert.InDelta(t, 2.4, series.KWhPerDay, 1e-9)
	}
}

// Faults come all at once: of JSON at their pointers, of a table at its lines, of
// the query at its parameters.
func TestLoadUpload_Faults(t *testing.T) {
	s := storing(t, t.TempDir())
	for body, want := range map[string][]string{
		`{}`:                                   {""},
		`{"id":"l-1"}`:                         {"/id"},
		`{"key":"castle"}`:                     {"/key"},
		`{"ac_essential_w":[1,2]}`:             {"/ac_essential_w"},
		`{"appliances":{"Big Lamp":{"w":-1}}}`: {"/appliances/Big Lamp"},
		`{"meter":{"csv":"x","unit":"tons"}}`:  {"/meter/csv", "/meter/unit"},
		`{"appliances":{"a":{"w":1e9,"hours":"noon"},"b":{}},"x":1}`: {"/appliances/a/hours", "/appliances/a/w", "/appliances/b/w", "/x"},
		`[]`: {""},
	} {
		p := problemOf(t, call(t, s, "POST", "/v1/loads", []byte(body)), 422)
		var got []string
		for _, f := range p.Faults {
			got = append(got, f.Pointer)
		}
		slices.Sort(got)
		assert.Equal(t, want, got, body)
	}
	problemOf(t, call(t, s, "POST", "/v1/loads", []byte("{")), 400)
	table := strings.Replace(meterYear(), "01.02.2023 00:00;0,2", "01.02.2023 00:00;lots", 1)
	p := problemOf(t, call(t, s, "POST", "/v1/loads?unit=kwh", []byte(table), "Content-Type", "text/csv"), 422)
	require.Len(t, p.Faults, 1)
	assert.Empty(t, p.Faults[0].Pointer)
	assert.Equal(t, "lots", p.Faults[0].Value)
	assert.Contains(t, p.Faults[0].Message, "line 1490:") // 31 days of 48, the heading before
	p = problemOf(t, call(t, s, "POST", "/v1/loads", []byte("x"), "Content-Type", "text/csv"), 422)
	assert.True(t, slices.ContainsFunc(p.Faults, func(f Fault) bool { return f.Parameter == "unit" && f.Message == "is missing" }), p.Faults)
	p = problemOf(t, call(t, s, "POST", "/v1/loads?unit=tons&csv=1&label=end&label=start", []byte("x"), "Content-Type", "text/csv"), 400)
	assert.Equal(t, "csv", p.Faults[0].Parameter)
	p = problemOf(t, call(t, s, "POST", "/v1/loads?clock=sun&colour=red&utc_offset_h=x", []byte("x"), "Content-Type", "text/csv"), 400)
	assert.Equal(t, []string{"colour", "utc_offset_h"}, []string{p.Faults[0].Parameter, p.Faults[1].Parameter})
	problemOf(t, call(t, s, "POST", "/v1/loads?unit=kwh", []byte("\xff\xfe"), "Content-Type", "text/csv"), 422)
	problemOf(t, call(t, s, "POST", "/v1/loads?unit=kwh", []byte("x"), "Content-Type", media.Parquet), 415)
	problemOf(t, call(t, s, "POST", "/v1/loads?unit=kwh", []byte(`{"key":"hut"}`)), 400)
	assert.Zero(t, s.content.disk.Used())
	assert.Zero(t, s.memory.used.Load())
}
