package api

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/media"
	"bankyear/api/sitelog"
	"bankyear/profiles"
)

// loggedStation is sixty winter days of the simulated station, whose cells are
// 90 Ah and 30 mΩ a module instead of the stated 100 Ah and 25 mΩ, as a logger
// would have it: hourly means with 20 mV and 0.1 A of noise from a seeded PCG. They
// stand in a room of 10 °C: where cold blocks charge a logger sees the bus that the
// chargers hold, and not the cells.
func loggedStation(t testing.TB) (system map[string]any, log map[string]any) {
	t.Helper()
	stated := complete(t)
	truth := with(t, stated, `{"bank":{"module":{"capacity_ah":90,"resistance_ohm":0.03},"enclosure":{"kind":"fixed","fixed_c":10}}}`)
	c := read(t, truth)
	columns := map[string][]any{}
	h := hourColumns(c.Plan().Run(true).Hours, []string{"bank_v", "bank_a", "bank_c", "soc_fraction"})
	for _, column := range h.Columns {
		var values []any
		require.NoError(t, json.Unmarshal(text(t, column.Values), &values))
		columns[column.Name] = values
	}
	rng := rand.New(rand.NewPCG(11, 1))
	noisy := func(name string, sigma float64) []float64 {
		var out []float64
		for _, x := range columns[name][:60*24] {
			out = append(out, x.(float64)+sigma*rng.NormFloat64())
		}
		return out
	}
	return stated, map[string]any{"start": "2025-01-01T00:00", "step_s": 3600, "v": noisy("bank_v", 0.02), "a": noisy("bank_a", 0.1), "cell_c": noisy("bank_c", 0), "soc_fraction": noisy("soc_fraction", 0)}
}

func backtested(t testing.TB, s *Service, target string, body []byte, headers ...string) *BacktestAnswer {
	t.Helper()
	w := call(t, s, "POST", target, body, headers...)
	require.Equal(t, 200, w.Code, w.Body.String())
	var a BacktestAnswer
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &a))
	return &a
}

// The simulated year is another implementation of the bank than the one that is
// fitted: from its hourly means the true capacity is found within 3 % and the
// resistance within 10 %, inside the intervals.
func TestBacktest_OfASimulatedYear(t *testing.T) {
	system, log := loggedStation(t)
	s := New(Config{})
	a := backtested(t, s, "/v1/backtests", text(t, map[string]any{"name": "Station", "system": system, "log": log}))
	t.Logf("%+v\n%+v\n%+v\n%v\n%v", a.Values, a.Stated, a.Fitted, a.Patch, strings.Join(a.Findings, "\n"))
	assert.InEpsilon(t, 90, a.Values[0].Value, 0.03)
	assert.InEpsilon(t, 0.03, a.Values[1].Value, 0.1)
	assert.InDelta(t, 0, a.Values[2].Value, 0.1)
	assert.Less(t, a.Fitted[0].MedianAbs, a.Stated[0].MedianAbs, "the mean square is of the few hours near empty, where a hundredth of charge is volts")
	module := a.Patch["bank"].(map[string]any)["module"].(map[string]any)
	assert.InEpsilon(t, 90, module["capacity_ah"], 0.03)
	// The patched system is the true one; of a bank of a stated age it says what is
	// left.
	patched := read(t, merged(system, a.Patch))
	assert.InEpsilon(t, 90, patched.System.Bank.Module.CapacityAh, 0.03)
	old := backtested(t, s, "/v1/backtests", text(t, map[string]any{"system": with(t, system, `{"bank":{"age_years":1}}`), "log": log}))
	patched = read(t, merged(with(t, system, `{"bank":{"age_years":1}}`), old.Patch))
	assert.InEpsilon(t, 0.9, patched.System.Bank.AgedCapacityFraction(), 0.03)
	assert.InEpsilon(t, 1.2, patched.System.Bank.AgedResistanceFactor(), 0.1)
	// The same again gives the same bytes.
	body := text(t, map[string]any{"name": "Station", "system": system, "log": log})
	assert.Equal(t, call(t, s, "POST", "/v1/backtests", body).Body.Bytes(), call(t, s, "POST", "/v1/backtests", body).Body.Bytes())
}

// As a table of text with the system in the query it is the same answer.
func TestBacktest_Table(t *testing.T) {
	_, log := loggedStation(t)
	var table strings.Builder
	table.WriteString("# a logger's export\nStamp;Batt V;Batt I;T;remark\n")
	v, a, c := log["v"].([]float64), log["a"].([]float64), log["cell_c"].([]float64)
	columns := map[string]any{"v": v[:500], "a": a[:500], "cell_c": c[:500], "start": "2025-01-01T00:00", "step_s": 3600}
	for i := range 500 {
		at := sitelog.Show(1735689600 + float64(i)*3600)
		table.WriteString(strings.ReplaceAll(fmt.Sprintf("%s;%v;%v;%v;x\n", at, v[i], -a[i], c[i]), ".", ","))
	}
	s := New(Config{})
	const query = "/v1/backtests?system.bank.module.key=lfp_16s_100ah&system.bank.modules=4&system.bank.operation=data_linked&log.columns.time=Stamp&log.columns.v=Batt%20V&log.columns.a=Batt%20I&log.columns.cell_c=T&log.current_sign=discharge_positive"
	got := backtested(t, s, query, []byte(table.String()), "Content-Type", "text/csv")
	assert.Equal(t, []string{"remark"}, got.Ignored)
	want := backtested(t, s, "/v1/backtests", text(t, map[string]any{
		"system": map[string]any{"bank": map[string]any{"module": map[string]any{"key": "lfp_16s_100ah"}, "modules": 4, "operation": "data_linked"}}, "log": columns}))
	assert.Equal(t, want.Result, got.Result)
	zipped := backtested(t, s, query, media.Encode([]byte(table.String()), media.Gzip), "Content-Type", "application/gzip")
	assert.Equal(t, got.Result, zipped.Result)
}

// Every fault comes at once, at its member, line and value.
func TestBacktest_Faults(t *testing.T) {
	s := New(Config{})
	fault := func(target, body string, headers ...string) (list []string) {
		w := call(t, s, "POST", target, []byte(body), headers...)
		for _, f := range problemOf(t, w, w.Code).Faults {
			list = append(list, fmt.Sprintf("%s%s %d,%d %v", f.Pointer, f.Parameter, f.Line, f.Column, f.Value))
		}
		return append(list, fmt.Sprint(w.Code))
	}
	const system = `"system":{"bank":{"module":{"key":"lfp_16s_100ah"},"modules":2,"operation":"data_linked"}}`
	for body, want := range map[string][]string{
		`{`: {" 0,0 <nil>", "400"},
		`{` + system + `,"log":{"time":["2025-01-01T00:00","x","2025-01-01T00:00"],"v":[52,2000,51],"a":[1,2]}}`:                                                                     {"/log/v/1 0,0 2000", "422"},
		`{` + system + `,"log":{"time":["2025-01-01T00:00","x","2025-01-01T00:00"],"v":[52,52,51],"a":[1,2]}}`:                                                                       {"/log/time/1 0,0 x", "/log/a 0,0 2", "422"},
		`{` + system + `,"log":{"time":["2025-01-01T00:00","2025-01-01T01:00","2025-01-01T00:00"],"v":[52,52,51],"a":[1,2,3]}}`:                                                      {"/log/time/2 0,0 2025-01-01T00:00:00", "422"},
		`{` + system + `,"log":{"start":"2025-01-01T00:00","step_s":60,"v":[52,52,51],"a":[1,2,3]}}`:                                                                                 {"/log 0,0 3", "422"},
		`{` + system + `,"log":{"csv":"time,v,a\n2025-01-01T00:00,5x,1\n","v":[1],"columns":{"volt":"v"}}}`:                                                                          {"/log/v 0,0 <nil>", "/log/columns/volt 0,0 v", "/log/csv 2,2 5x", "422"},
		`{` + system + `,"log":{"csv":"time,v,a\n2025-01-01T00:00,5x,1\n","columns":{"volt":"v"}}}`:                                                                                  {"/log/columns/volt 0,0 v", "/log/csv 2,2 5x", "422"},
		`{"system":{"bank":{"module":{"key":"lfp_16s_100ah"},"modules":99,"operation":"linked"}},"log":{}}`:                                                                          {"/system/bank/modules 0,0 99", "/system/bank/operation 0,0 linked", "/log/time 0,0 <nil>", "/log/v 0,0 <nil>", "/log/a 0,0 <nil>", "422"},
		`{"system":{"bank":{"module":{"key":"lead_acid_vented_24s_800ah"},"modules":1,"operation":"voltage_only"}},"log":{"start":"2025-01-01T00:00","step_s":60,"v":[52],"a":[1]}}`: {"/system/bank/module/chemistry 0,0 lead_acid_vented", "422"},
		`{` + system + `,"log":{"start":"yesterday","v":[1,2],"a":[1,2]},"fit":["everything"],"extra":1}`:                                                                            {"/extra 0,0 <nil>", "/fit/0 0,0 everything", "/log/start 0,0 yesterday", "/log/step_s 0,0 <nil>", "422"},
	} {
		assert.Equal(t, want, fault("/v1/backtests", body), body)
	}
	// A table that is the body: at lines, and at parameters.
	const query = "/v1/backtests?system.bank.module.key=lfp_16s_100ah&system.bank.modules=2&system.bank.operation=data_linked"
	const table = "time,v,a\n2025-01-01T00:00,52,1\n2025-01-01T00:10,warm,1\n2025-01-01T00:00,52,1\n"
	for target, want := range map[string][]string{
		query:                                   {" 3,2 warm", "422"},
		query + "&log.samples=some":             {"log.samples 0,0 some", "422"},
		query + "&log.colour=1":                 {"log.colour 0,0 <nil>", "400"},
		"/v1/backtests?system.bank.modules=two": {"system.bank.modules 0,0 two", "400"},
		"/v1/backtests":                         {"system 0,0 <nil>", " 3,2 warm", "422"},
	} {
		assert.Equal(t, want, fault(target, table, "Content-Type", "text/csv"), target)
	}
	assert.Equal(t, []string{" 4,0 2025-01-01T00:00:00", "422"}, fault(query, strings.Replace(table, "warm", "52", 1), "Content-Type", "text/csv"))
	assert.Equal(t, []string{"415"}, fault(query, table, "Content-Type", "text/html"))
	assert.Equal(t, []string{"406"}, fault(query, table, "Content-Type", "text/csv", "Accept", "text/csv"))
}

// FuzzBacktest: a request is refused with faults, or answered with finite
// numbers.
func FuzzBacktest(f *testing.F) {
	f.Add([]byte(`{"system":{"bank":{"module":{"key":"lfp_16s_100ah"},"modules":2,"operation":"data_linked"}},"log":{"start":"2025-01-01T00:00","step_s":600,"v":[52,52,52,52,52,52,52,52,52,52,52,52,52,52,52,52,52,52,52,52,53],"a":[1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,-1]}}`))
	f.Add([]byte(`{"system":{"bank":{"module":{"key":"nmc_14s_100ah"},"modules":1,"operation":"voltage_only"}},"log":{"csv":"time,v,a,solar_w,load_w\n2025-01-01T00:00,52,1,100,50\n","columns":{"v":"v"}}}`))
	f.Add([]byte(`{"system":{},"log":{"time":[]},"fit":[]}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		if len(raw) > 4000 {
			return
		}
		w := call(t, New(Config{}), "POST", "/v1/backtests", raw)
		if w.Code != 200 && w.Code != 400 && w.Code != 422 {
			t.Fatal(w.Code, w.Body.String())
		}
	})
}

// The example is a charge of two modules of 92 Ah and 31 mΩ at 60 A to 55.6 V, from
// the catalogue's tables in steps of 5 s by a script of its own.
func TestBacktest_Example(t *testing.T) {
	e, _ := exampleOf("backtest")
	a := backtested(t, New(Config{}), "/v1/backtests", e.body(nil))
	for i, truth := range []float64{92, 0.031} {
		assert.InEpsilon(t, truth, a.Values[i].Value, 0.02)
		assert.Less(t, a.Values[i].Low, truth)
		assert.Greater(t, a.Values[i].High, truth)
	}
	assert.InDelta(t, 60, a.Charge.CeilingA, 0.01)
	assert.InDelta(t, 55.6, a.Charge.LimitV, 0.05)
	assert.True(t, a.Charge.EndedFull)
	assert.InDelta(t, 0.12, a.Charge.FromSoC, 0.02)
}

// Any module of the catalogue is held against a log, or refused with a reason.
func TestBacktest_Modules(t *testing.T) {
	s := New(Config{})
	list := func(x string) string { return "[" + strings.Repeat(x+",", 29) + x + "]" }
	for _, e := range profiles.List() {
		if e.Kind != "module" {
			continue
		}
		for _, operation := range []string{"data_linked", "voltage_only"} {
			w := call(t, s, "POST", "/v1/backtests", []byte(`{"system":{"bank":{"module":{"key":"`+e.Key+`"},"modules":1,"operation":"`+operation+`"}},"log":{"start":"2025-01-01T00:00","step_s":600,"v":`+list("26")+`,"a":`+list("3")+`}}`))
			assert.Contains(t, []int{200, 422}, w.Code, "%s: %s", e.Key, w.Body.String())
		}
	}
}
