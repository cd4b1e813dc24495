package api

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/sitelog"
	"bankyear/profiles"
)

func historyAnswer(t testing.TB, s *Service, target string, body []byte, headers ...string) *HistoryAnswer {
	t.Helper()
	w := call(t, s, "POST", target, body, headers...)
	require.Equal(t, 200, w.Code, w.Body.String())
	var a HistoryAnswer
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &a))
	return &a
}

// The simulated year, logged as a battery-management system would, is the
// simulated year again: cycles, windows and the age after one such year.
func TestHistory_BesideItsOwnYear(t *testing.T) {
	request := complete(t)
	c := read(t, request)
	year := c.Plan().Run(true)
	soh := 1 - year.Figures.CalendarFade - 0.2*year.Figures.CycleWearFraction
	var table strings.Builder
	table.WriteString("time,pack,soc,soh_fraction,cell_max_c,state\n")
	columns := map[string][]any{}
	for _, col := range hourColumns(year.Hours, []string{"soc_fraction", "bank_c"}).Columns {
		var values []any
		require.NoError(t, json.Unmarshal(text(t, col.Values), &values))
		columns[col.Name] = values
	}
	for i := range columns["bank_c"] {
		state := "RUN"
		if i%1000 == 500 {
			state = "ALM 7"
		}
		fmt.Fprintf(&table, "%s,first,%v,%v,%v,%s\n", sitelog.Show(1735689600+float64(i)*3600), columns["soc_fraction"][i], soh, columns["bank_c"][i], state)
	}
	body := text(t, map[string]any{"system": request, "installed": "2025-01-01T00:00", "log": map[string]any{"csv": table.String(),
		"columns": map[string]string{"module": "pack", "soc_fraction": "soc", "status": "state"}, "statuses": map[string]string{"ALM 7": "tripped", "RUN": "ok"}}})
	a := historyAnswer(t, New(Config{}), "/v1/histories", body)
	x, f := a.Modules[0], year.Figures
	assert.Equal(t, "first", x.Module)
	assert.Equal(t, 9, x.Trips)
	assert.InEpsilon(t, f.EquivalentCycles, *x.FullCycles, 0.06, "self-discharge and the BMS are in the fall of the state of charge")
	for name, hours := range f.CellHByWindow {
		assert.InDelta(t, hours, x.WindowH[name], 0.02*8760, name)
	}
	assert.InEpsilon(t, 1, *a.Age.ByLog, 0.03)
	assert.InEpsilon(t, 1, *a.Age.BySimulate, 0.001)
	assert.InEpsilon(t, 1-soh, a.Age.Loss, 1e-9)
	assert.InEpsilon(t, 1-soh, *a.Age.LawLoss, 0.03)
	// The patch gives a system that age and that capacity.
	bank := a.Patch["bank"].(map[string]any)
	assert.InDelta(t, soh, bank["aged_capacity_fraction"], 1e-4)
	assert.InDelta(t, 1, bank["age_years"], 0.01)
	aged := read(t, merged(request, a.Patch))
	assert.InDelta(t, soh, aged.System.Bank.AgedCapacityFraction(), 1e-4)
	require.NotNil(t, a.Simulated)
	assert.Equal(t, c.Hash, a.Simulated.Hash)
	assert.Equal(t, f.CellHByWindow, a.Simulated.WindowH)
	assert.NotEmpty(t, a.Findings)
}

func TestHistory_Faults(t *testing.T) {
	s := New(Config{})
	fault := func(target, body string, headers ...string) (list []string) {
		w := call(t, s, "POST", target, []byte(body), headers...)
		for _, f := range problemOf(t, w, w.Code).Faults {
			list = append(list, fmt.Sprintf("%s%s %d,%d %v", f.Pointer, f.Parameter, f.Line, f.Column, f.Value))
		}
		return append(list, fmt.Sprint(w.Code))
	}
	const module = `"module":{"key":"lfp_16s_100ah"}`
	for body, want := range map[string][]string{
		`{"log":{"time":[],"soc_fraction":[]}}`:                                                                             {"/module 0,0 <nil>", "/log 0,0 <nil>", "422"},
		`{` + module + `,"system":{},"log":{"time":["2025-01-01T00:00"]}}`:                                                  {"/system/array 0,0 <nil>", "/system/bank 0,0 <nil>", "/system/inverter 0,0 <nil>", "/system/load 0,0 <nil>", "/system/site 0,0 <nil>", "/system/weather 0,0 <nil>", "422"},
		`{` + module + `,"installed":"once","log":{"time":["2025-01-01T00:00"],"module":["a","b"],"soc_fraction":[2]}}`:     {"/log/soc_fraction/0 0,0 2", "/installed 0,0 once", "422"},
		`{` + module + `,"log":{"time":["2025-01-01T00:00","2025-01-01T00:00","2025-01-01T00:00"],"module":["a","b","a"]}}`: {"/log/time/2 0,0 2025-01-01T00:00:00", "422"},
		`{` + module + `,"log":{"csv":"time,soh_fraction\n2025-01-01T00:00,98\n","statuses":{"x":"broken"}}}`:               {"/log/statuses/x 0,0 broken", "422"},
		`{` + module + `,"log":{"csv":"time,soh_fraction\n2025-01-01T00:00,98\n"}}`:                                         {"/log/csv 2,2 98", "422"},
	} {
		got := fault("/v1/histories", body)
		if strings.Contains(body, `"system":{}`) {
			assert.ElementsMatch(t, want, got, body)
			continue
		}
		assert.Equal(t, want, got, body)
	}
	assert.Equal(t, []string{" 2,2 98", "422"}, fault("/v1/histories?module.key=lfp_16s_100ah", "time,soh_fraction\n2025-01-01T00:00,98\n", "Content-Type", "text/csv"))
	assert.Equal(t, []string{"module.key 0,0 lfp", "422"}, fault("/v1/histories?module.key=lfp", "time,soh_fraction\n2025-01-01T00:00,0.98\n", "Content-Type", "text/csv"))
}

// As a table with the module in the query.
func TestHistory_Table(t *testing.T) {
	a := historyAnswer(t, New(Config{}), "/v1/histories?module.key=lfp_16s_100ah&log.columns.soh_fraction=SOH",
		[]byte("time;SOH;cell_min_v;cell_max_v\n2025-01-01 00:00;0,98;3,30;3,31\n2025-02-05 00:00;0,97;3,30;3,33\n"), "Content-Type", "text/csv")
	assert.InDelta(t, 0.98, *a.Modules[0].FirstSoH, 0)
	assert.InDelta(t, 0.97, *a.Modules[0].LastSoH, 0)
	assert.Nil(t, a.Modules[0].Fade, "two points are no line with an interval")
	assert.Nil(t, a.Age)
	assert.False(t, math.IsNaN(a.Years))
}

// Any module of the catalogue can have a history.
func TestHistory_Modules(t *testing.T) {
	s := New(Config{})
	for _, e := range profiles.List() {
		if e.Kind == "module" {
			historyAnswer(t, s, "/v1/histories?module.key="+e.Key, []byte("time,soc_fraction,soh_fraction,cell_min_c\n2025-01-01T00:00,0.5,1,-5\n2025-01-02T00:00,0.6,0.9,30\n2025-01-03T00:00,0.4,0.9,60\n"), "Content-Type", "text/csv")
		}
	}
}

// FuzzHistory: a request is refused with faults, or answered with finite numbers.
func FuzzHistory(f *testing.F) {
	f.Add([]byte(`{"module":{"key":"lfp_16s_100ah"},"log":{"time":["2025-01-01T00:00","2025-01-01T01:00"],"module":["a","b"],"soc_fraction":[0.5,0.6],"soh_fraction":[1,0.9],"cell_min_c":[1,2],"trips":[1,2]}}`))
	f.Add([]byte(`{"module":{"key":"lfp_16s_100ah"},"installed":"2020-01-01","log":{"csv":"time,status\n2025-01-01T00:00,x\n","statuses":{"x":"ok"}}}`))
	f.Add([]byte(`{"system":{"bank":{}},"log":{"start":"2025-01-01T00:00","step_s":3600,"soc_fraction":[1,0,1,0]}}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		if len(raw) > 4000 {
			return
		}
		w := call(t, New(Config{}), "POST", "/v1/histories", raw)
		if w.Code != 200 && w.Code != 400 && w.Code != 422 {
			t.Fatal(w.Code, w.Body.String())
		}
	})
}
