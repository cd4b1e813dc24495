package api

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"reflect"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/document"
	"bankyear/api/media"
	"bankyear/sim"
	"bankyear/sim/fault"
)

// sheet is a service with the system hut in it.
func sheet(t testing.TB) (*Service, map[string]any) {
	t.Helper()
	s := storing(t, t.TempDir())
	system := hut(t, s)
	putHut(t, s, "hut", system)
	return s, system
}

// figuresByJSON are the figures of a request, through the other way in.
func figuresByJSON(t testing.TB, s http.Handler, request map[string]any) map[string]any {
	t.Helper()
	w := call(t, s, "POST", "/v1/simulations", text(t, request))
	require.Equal(t, 200, w.Code, w.Body.String())
	var answer struct{ Figures map[string]any }
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &answer))
	return answer.Figures
}

// lookup finds a dotted figure; one that JSON leaves out is nil.
func lookup(figures map[string]any, name string) any {
	outer, inner, dotted := strings.Cut(name, ".")
	if !dotted {
		return figures[name]
	}
	by, ok := figures[outer].(map[string]any)
	if !ok {
		return nil
	}
	if by[inner] == nil {
		return 0.0
	}
	return by[inner]
}

// Every figure can be asked for by its name, and is the number that a simulation
// of the same system has.
func TestCells_EveryFigure(t *testing.T) {
	s, system := sheet(t)
	want := figuresByJSON(t, s, with(t, system, `{"bank":{"modules":1}}`))
	names := figureNames()
	for i := range reflect.TypeFor[sim.Figures]().NumField() {
		name := memberName(reflect.TypeFor[sim.Figures]().Field(i))
		assert.True(t, strings.Contains(strings.Join(names, "\n"), name), name)
	}
	numbers := 0
	for _, name := range names {
		w := call(t, s, "GET", "/v1/systems/hut/figures/"+name+"?bank.modules=1", nil)
		if lookup(want, name) == nil { // it does not apply, or is 0, or an empty text
			assert.Contains(t, []int{200, 404}, w.Code, name)
			if w.Code == 200 {
				assert.Contains(t, []string{"", "0"}, w.Body.String(), name)
			} else {
				assert.Contains(t, w.Body.String(), "The answer leaves "+name+" out", name)
			}
			continue
		}
		require.Equal(t, 200, w.Code, "%s: %s", name, w.Body.String())
		assert.Equal(t, "text/plain; charset=utf-8", w.Header().Get("Content-Type"))
		unit := w.Header().Get("Figure-Unit")
		outer, _, _ := strings.Cut(name, ".")
		assert.Equal(t, asciiUnit(fault.UnitOf(outer)), unit, name)
		assert.Equal(t, -1, strings.IndexFunc(unit, func(r rune) bool { return r > 126 || r < 32 }), unit)
		if x, isNumber := lookup(want, name).(float64); isNumber {
			got, err := strconv.ParseFloat(w.Body.String(), 64)
			require.NoError(t, err, name)
			assert.Equal(t, x, got, name)
			numbers++
		} else {
			assert.Equal(t, lookup(want, name), w.Body.String(), name)
		}
	}
	assert.Greater(t, numbers, 50)
	assert.Equal(t, int64(2), s.metrics.runs.Load(), "all from the run of the simulation, which took another with somebody on site")
}

// Values of a query are read by the type of their member, change the system and
// nothing else, and the same question in another order is the same.
func TestCells_Changes(t *testing.T) {
	s, system := sheet(t)
	for query, patch := range map[string]string{
		"": `{}`,
		"bank.modules=4&bank.operation=data_linked":                  `{"bank":{"modules":4,"operation":"data_linked"}}`,
		"array.planes.roof.tilt_deg=35.5&bank.modules=1":             `{"array":{"planes":{"roof":{"tilt_deg":35.5}}},"bank":{"modules":1}}`,
		"load.appliances.workshop=null":                              `{"load":{"appliances":{"workshop":null}}}`,
		"bank.module.key=lfp_16s_200ah":                              `{"bank":{"module":{"key":"lfp_16s_200ah"}}}`,
		"load.appliances.lights.hours=" + url.QueryEscape("16-23"):   `{"load":{"appliances":{"lights":{"hours":"16-23"}}}}`,
		`bank.module.protection=` + url.QueryEscape(`{"over_v":58}`): `{"bank":{"module":{"protection":{"over_v":58}}}}`,
	} {
		t.Run(query, func(t *testing.T) {
			want := figuresByJSON(t, s, with(t, system, patch))
			w := call(t, s, "GET", "/v1/systems/hut/figures/downtime_h?"+query, nil)
			require.Equal(t, 200, w.Code, w.Body.String())
			assert.Equal(t, number(want["downtime_h"]), w.Body.String())
			again := call(t, s, "HEAD", "/v1/systems/hut/figures/downtime_h?"+query, nil, "If-None-Match", w.Header().Get("ETag"))
			assert.Equal(t, 304, again.Code)
		})
	}
	runs := s.metrics.runs.Load()
	one := call(t, s, "GET", "/v1/systems/hut/figures/downtime_h?bank.operation=data_linked&bank.modules=4", nil)
	assert.Equal(t, 200, one.Code)
	assert.Equal(t, runs, s.metrics.runs.Load(), "another order is the same question")
}

// An old quote reproduces: a version answers what it did when it was the latest.
func TestCells_Versions(t *testing.T) {
	s, system := sheet(t)
	old := call(t, s, "GET", "/v1/systems/hut/figures/solar_fraction_of_nothing", nil)
	require.Equal(t, 404, old.Code)
	ask := func(query string) string {
		w := call(t, s, "GET", "/v1/systems/hut/figures/downtime_h"+query, nil)
		require.Equal(t, 200, w.Code, w.Body.String())
		return w.Header().Get("System-Version") + " " + w.Header().Get("Simulation-Hash") + " " + w.Body.String()
	}
	first := ask("")
	v := putHut(t, s, "hut", with(t, system, `{"bank":{"modules":1}}`))
	second := ask("")
	assert.NotEqual(t, first, second)
	assert.Contains(t, second, "2 "+v.Hash)
	assert.Equal(t, first, ask("?version=1"))
	assert.Equal(t, second, ask("?version=2"))
	assert.Equal(t, strings.Fields(first)[2], strings.Fields(ask("?bank.modules=2"))[2])
	require.Equal(t, 204, call(t, s, "DELETE", "/v1/systems/hut", nil).Code)
	assert.Equal(t, 404, call(t, s, "GET", "/v1/systems/hut/figures/downtime_h?version=1", nil).Code, "and nothing of a removed one")
	assert.Equal(t, 404, call(t, s, "GET", "/v1/systems/hut/figures/downtime_h", nil).Code)
}

// What is wrong can be read in the cell, and by a program.
func TestCells_Errors(t *testing.T) {
	s, _ := sheet(t)
	for target, want := range map[string]struct {
		status int
		line   string
	}{
		"/v1/systems/hut/figures/downtime_h?bank.modules=99":                      {422, "error: bank.modules: is outside the allowed range, got 99, allowed 1 to 64"},
		"/v1/systems/hut/figures/downtime_h?bank.modules=":                        {400, "error: bank.modules: is empty; null removes the member, allowed a whole number"},
		"/v1/systems/hut/figures/downtime_h?bank.modules=many":                    {400, "error: bank.modules: is not a whole number, got many, allowed a whole number"},
		"/v1/systems/hut/figures/downtime_h?bank.module=6":                        {400, "error: bank.module: is a number, not an object, got 6, allowed an object"},
		"/v1/systems/hut/figures/downtime_h?bank.modles=6":                        {400, "did you mean modules?"},
		"/v1/systems/hut/figures/downtime_h?bank.modules=2&bank.modules=3":        {400, "error: bank.modules: is given more than once"},
		"/v1/systems/hut/figures/downtime_h?bank=null":                            {422, "error: bank: is missing"},
		"/v1/systems/hut/figures/downtme_h":                                       {404, "error: There is no figure \"downtme_h\"; did you mean downtime_h?"},
		"/v1/systems/hut/figures/downtime_h?version=7":                            {404, "error: No version 7 of a system \"hut\" is stored here."},
		"/v1/systems/hut/figures/downtime_h?version=0":                            {400, "error: version: is outside the allowed range, got 0, allowed at least 1"},
		"/v1/systems/hat/figures/downtime_h":                                      {404, "error: No system \"hat\" is stored here."},
		"/v1/systems/hut/figures?bank.modules=99":                                 {422, "error: bank.modules: is outside the allowed range, got 99, allowed 1 to 64"},
		"/v1/systems/hut/figures.csv?vary=bank.modules:98..99":                    {422, "error: bank.modules: is outside the allowed range, got 98, allowed 1 to 64"},
		"/v1/systems/hut/figures.csv?vary=bank.modules":                           {400, "error: vary: \"bank.modules\" is not an axis"},
		"/v1/systems/hut/figures.csv?vary=bank.modules:a,b":                       {400, "error: vary: bank.modules is not a whole number, got a"},
		"/v1/systems/hut/figures.csv?vary=bank.modules:1,2&figures=downtme":       {400, "error: figures: is not a figure"},
		"/v1/systems/hut/figures.csv?vary=bank.modules:1,2&bank.modules=3":        {400, "error: vary: bank.modules is also given as a parameter of its own"},
		"/v1/systems/hut/figures.csv?vary=bank.modules:1,2&vary=bank.modules:3,4": {400, "error: vary: is also varied by"},
		"/v1/systems/hut/figures.csv?vary=bank.cable_ohm:0.001..0.1/0.00001":      {400, "error: vary: makes too many rows; a study takes more, got 9901 rows, allowed at most 1000 rows"},
	} {
		t.Run(target, func(t *testing.T) {
			w := call(t, s, "GET", target, nil)
			assert.Equal(t, want.status, w.Code)
			assert.Equal(t, "text/plain; charset=utf-8", w.Header().Get("Content-Type"))
			assert.Contains(t, w.Body.String(), want.line)
			assert.NotContains(t, w.Body.String(), "\n")
			assert.True(t, strings.HasPrefix(w.Body.String(), "error: "))
			problemOf(t, call(t, s, "GET", target, nil, "Accept", "application/problem+json, text/csv;q=0.9, text/plain;q=0.9, application/json;q=0.8"), want.status)
			separator := "&"
			if !strings.Contains(target, "?") {
				separator = "?"
			}
			shown := call(t, s, "GET", target+separator+"errors=as_text", nil)
			assert.Equal(t, 200, shown.Code)
			assert.Equal(t, w.Body.String(), shown.Body.String())
			assert.Equal(t, "no-store", shown.Header().Get("Cache-Control"))
		})
	}
	problemOf(t, call(t, s, "GET", "/v1/systems/hut/figures/downtime_h", nil, "Accept", "application/json"), 406)
	several := call(t, s, "GET", "/v1/systems/hut/figures/downtime_h?bank.modules=99&bank.cable_ohm=-1&array.planes.roof.tilt_deg=999&inverter.key=none&version=x", nil)
	assert.Contains(t, several.Body.String(), "version")
	lots := call(t, s, "GET", "/v1/systems/hut/figures/downtime_h?bank.modules=99&bank.cable_ohm=-1&array.planes.roof.tilt_deg=999&array.planes.roof.rated_kw=-1&load.appliances.lights.w=-5", nil)
	assert.Regexp(t, "; and [2-9] more faults$", lots.Body.String())
}

func TestCells_TwoColumns(t *testing.T) {
	s, system := sheet(t)
	w := call(t, s, "GET", "/v1/systems/hut/figures?bank.modules=1", nil)
	require.Equal(t, 200, w.Code, w.Body.String())
	rows, err := csv.NewReader(w.Body).ReadAll()
	require.NoError(t, err)
	assert.Equal(t, []string{"figure", "value"}, rows[0])
	want := figuresByJSON(t, s, with(t, system, `{"bank":{"modules":1}}`))
	got := map[string]string{}
	for _, row := range rows[1:] {
		got[row[0]] = row[1]
	}
	for _, name := range figureNames() {
		if x := lookup(want, name); x != nil {
			assert.Equal(t, number(x), got[name], name)
		}
	}
	assert.Equal(t, w.Header().Get("Simulation-Hash"), got["hash"])
	assert.Equal(t, "1", got["system_version"])
	assert.Equal(t, Engine(), got["engine"])

	asJSON := call(t, s, "GET", "/v1/systems/hut/figures?bank.modules=1", nil, "Accept", media.JSON)
	posted := call(t, s, "POST", "/v1/simulations", text(t, with(t, system, `{"bank":{"modules":1}}`)))
	assert.Equal(t, posted.Body.String(), asJSON.Body.String(), "as JSON it is the answer of a simulation")
}

// A table has a row for every combination, each as by itself.
func TestCells_Table(t *testing.T) {
	s, system := sheet(t)
	w := call(t, s, "GET", "/v1/systems/hut/figures.csv?vary=bank.modules:1..3/2&vary=bank.operation:data_linked,voltage_only&figures=downtime_h,lowest_soc_at,downtime_by_cause_h.empty&bank.cable_ohm=0.004", nil)
	require.Equal(t, 200, w.Code, w.Body.String())
	assert.Equal(t, "text/csv; charset=utf-8; header=present", w.Header().Get("Content-Type"))
	rows, err := csv.NewReader(bytes.NewReader(w.Body.Bytes())).ReadAll()
	require.NoError(t, err)
	assert.Equal(t, []string{"bank.modules", "bank.operation", "downtime_h", "lowest_soc_at", "downtime_by_cause_h.empty"}, rows[0])
	require.Len(t, rows, 5)
	i := 1
	for _, modules := range []string{"1", "3"} {
		for _, operation := range []string{"data_linked", "voltage_only"} {
			want := figuresByJSON(t, s, with(t, system, fmt.Sprintf(`{"bank":{"modules":%s,"operation":%q,"cable_ohm":0.004}}`, modules, operation)))
			assert.Equal(t, []string{modules, operation, number(want["downtime_h"]), want["lowest_soc_at"].(string), number(lookup(want, "downtime_by_cause_h.empty"))}, rows[i])
			i++
		}
	}
	t.Run("large values have all of their digits", func(t *testing.T) {
		rows, err := csv.NewReader(call(t, s, "GET", "/v1/systems/hut/figures.csv?vary=bank.link_faults.seed:1200060,20000001&vary=bank.link_faults.mean_hours_between:1000000&figures=outages", nil).Body).ReadAll()
		require.NoError(t, err)
		require.Len(t, rows, 3)
		assert.Equal(t, []string{"1200060", "1000000"}, rows[1][:2])
		assert.Equal(t, []string{"20000001", "1000000"}, rows[2][:2])
	})
	t.Run("all figures, nothing varied", func(t *testing.T) {
		rows, err := csv.NewReader(call(t, s, "GET", "/v1/systems/hut/figures.csv", nil).Body).ReadAll()
		require.NoError(t, err)
		assert.Equal(t, figureNames(), rows[0])
		assert.Len(t, rows, 2)
	})
	t.Run("one combination does not go together", func(t *testing.T) {
		rows, err := csv.NewReader(call(t, s, "GET", "/v1/systems/hut/figures.csv?vary=bank.modules:2,65&figures=outages", nil).Body).ReadAll()
		require.NoError(t, err)
		assert.Equal(t, []string{"bank.modules", "outages", "error"}, rows[0])
		assert.Equal(t, []string{"65", "", "error: bank.modules: is outside the allowed range, got 65, allowed 1 to 64"}, rows[2])
		assert.NotEmpty(t, rows[1][1])
		assert.Empty(t, rows[1][2])
	})
}

// A hundred cells at once are all answered, each computed once.
func TestCells_AtOnce(t *testing.T) {
	disk := storing(t, t.TempDir())
	s := New(Config{Store: disk.content.disk, MaxRunning: 2, MaxWaiting: 1})
	putHut(t, s, "hut", hut(t, s))
	server := httptest.NewServer(s)
	defer server.Close()
	var all sync.WaitGroup
	for n := range 100 {
		all.Go(func() {
			figure := []string{"downtime_h", "curtailed_kwh"}[n%2]
			r, err := http.Get(fmt.Sprintf("%s/v1/systems/hut/figures/%s?bank.modules=%d", server.URL, figure, 1+n%7))
			if assert.NoError(t, err) {
				assert.Equal(t, 200, r.StatusCode)
				assert.NoError(t, r.Body.Close())
			}
		})
	}
	all.Wait()
	assert.Equal(t, int64(7), s.metrics.runs.Load())
	assert.Empty(t, s.slots.running)
	assert.Empty(t, s.cellSlots.waiting)
}

// A figure that is split has all of its parts, whatever happened in a year: its
// names are known before it is simulated.
func TestFigureKeys(t *testing.T) {
	for _, f := range reflect.VisibleFields(reflect.TypeFor[sim.Figures]()) {
		if f.Type.Kind() == reflect.Map {
			assert.Contains(t, figureKeys, memberName(f), "add the keys of %s to figureKeys", f.Name)
		}
	}
}

// FuzzTable: a query of a table is read, or refused with what is wrong with it;
// every row of one that is read is a question that can be asked.
func FuzzTable(f *testing.F) {
	for _, query := range []string{
		"", "vary=bank.modules:2..10/2&vary=bank.operation:data_linked,voltage_only&figures=downtime_h,generator_h", "bank.modules=6&version=1&errors=as_text",
		"vary=bank.modules:1..1e300/1e-300", "vary=array.planes.roof.rated_kw:1..16*5&bank.cable_ohm=null", "vary=bank.module:{},null", "vary=:&vary=a..b:&figures=,",
		"vary=bank.modules:1,2&bank.modules=3", "version=-1&version=2", "bank.module.protection=%7B%22over_v%22:58%7D", "%zz=1", "vary=weather.text:a,b", "money.x=1;y",
	} {
		f.Add(query)
	}
	s, _ := sheet(f)
	f.Fuzz(func(t *testing.T, text string) {
		query, err := url.ParseQuery(text)
		if err != nil {
			return // net/http reads what it can of it
		}
		x, p := s.readTable("hut", query)
		if p != nil {
			if p.Status < 400 || p.Status > 499 || p.line() == "error: " {
				t.Fatalf("%d %q", p.Status, p.line())
			}
			return
		}
		asked, values := x.rows()
		if len(asked) == 0 || len(asked) != len(values) || len(asked) > mostRows {
			t.Fatalf("%d rows, %d values", len(asked), len(values))
		}
		for _, q := range asked {
			if _, err := document.Encode(q.patch); err != nil {
				t.Fatal(err)
			}
		}
	})
}

// No reserved parameter hides a member of a request.
func TestCells_Reserved(t *testing.T) {
	members := map[string]bool{}
	for _, f := range reflect.VisibleFields(requestType) {
		members[memberName(f)] = true
	}
	for _, q := range []any{cellParameter{}, tableParameter{}} {
		for _, f := range reflect.VisibleFields(reflect.TypeOf(q)) {
			assert.False(t, members[memberName(f)], memberName(f))
		}
	}
}

// BenchmarkCell is a cell that was asked for before, and one that was not.
func BenchmarkCell(b *testing.B) {
	s, _ := sheet(b)
	b.Run("known", func(b *testing.B) {
		for b.Loop() {
			require.Equal(b, 200, call(b, s, "GET", "/v1/systems/hut/figures/downtime_h?bank.modules=3&bank.operation=data_linked", nil).Code)
		}
	})
	b.Run("new", func(b *testing.B) {
		n := 0
		for b.Loop() {
			n++
			require.Equal(b, 200, call(b, s, "GET", fmt.Sprintf("/v1/systems/hut/figures/downtime_h?bank.cable_ohm=%g", 0.001+float64(n)*1e-7), nil).Code)
		}
	})
	b.Run("table of 18", func(b *testing.B) {
		n := 0
		for b.Loop() {
			n++
			target := fmt.Sprintf("/v1/systems/hut/figures.csv?vary=bank.modules:2..10&vary=bank.operation:data_linked,voltage_only&figures=downtime_h,generator_h&bank.cable_ohm=%g", 0.002+float64(n)*1e-7)
			require.Equal(b, 200, call(b, s, "GET", target, nil).Code)
		}
	})
}

// With prices, the numbers of the bill are figures too, in the caller's currency;
// without, they are left out.
func TestCells_Money(t *testing.T) {
	s, system := sheet(t)
	const prices = `{"prices":{"currency":"coins","module_each":1500,"fuel_per_l":1.9}}`
	w := call(t, s, "GET", "/v1/systems/hut/figures/money.present_value", nil)
	assert.Equal(t, 404, w.Code)
	assert.Contains(t, w.Body.String(), "leaves money.present_value out")
	putHut(t, s, "hut", with(t, system, prices))
	posted := call(t, s, "POST", "/v1/simulations", text(t, with(t, system, `{"prices":{"currency":"coins","module_each":1500,"fuel_per_l":1.9},"bank":{"modules":3}}`)))
	var answer struct{ Money map[string]any }
	require.NoError(t, json.Unmarshal(posted.Body.Bytes(), &answer))
	for name, unit := range map[string]string{"present_value": "coins", "cost_per_kwh": "coins", "capital": "coins", "horizon_y": "y", "served_kwh": "kWh", "annuity_factor": ""} {
		w := call(t, s, "GET", "/v1/systems/hut/figures/money."+name+"?bank.modules=3", nil)
		require.Equal(t, 200, w.Code, w.Body.String())
		assert.Equal(t, number(answer.Money[name]), w.Body.String(), name)
		assert.Equal(t, unit, w.Header().Get("Figure-Unit"), name)
	}
	assert.Equal(t, 4500.0, answer.Money["capital"])
	rows, err := csv.NewReader(call(t, s, "GET", "/v1/systems/hut/figures.csv?vary=bank.modules:2,3&figures=money.capital", nil).Body).ReadAll()
	require.NoError(t, err)
	assert.Equal(t, [][]string{{"bank.modules", "money.capital"}, {"2", "3000"}, {"3", "4500"}}, rows)
	dearer := call(t, s, "GET", "/v1/systems/hut/figures/money.capital?prices.module_each=2000", nil)
	assert.Equal(t, "4000", dearer.Body.String())
}
