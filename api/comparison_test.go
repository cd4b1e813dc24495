package api

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

func comparisonOf(t testing.TB, candidates string) []byte {
	t.Helper()
	var patches map[string]any
	require.NoError(t, json.Unmarshal([]byte(candidates), &patches))
	return text(t, map[string]any{"name": "Two or four", "base": complete(t), "candidates": patches})
}

func TestService_Compare(t *testing.T) {
	s := New(Config{})
	raw := comparisonOf(t, `{"one":{"bank":{"modules":1}},"asis":{},"three":{"bank":{"modules":3}}}`)
	w := call(t, s, "POST", "/v1/comparisons", raw)
	require.Equal(t, 200, w.Code, w.Body.String())
	var c Comparison
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &c))
	assert.Equal(t, "Two or four", c.Name)
	assert.Equal(t, "asis", c.Reference, "the candidate that changes nothing")
	var names []string
	for _, x := range c.Candidates {
		names = append(names, x.Candidate)
		single := with(t, complete(t), `{}`)
		if x.Candidate == "one" {
			single = with(t, single, `{"bank":{"modules":1}}`)
		}
		if x.Candidate == "three" {
			single = with(t, single, `{"bank":{"modules":3}}`)
		}
		assert.Equal(t, read(t, single).Hash, x.Answer.Hash, "as if it were simulated alone")
	}
	assert.Equal(t, []string{"asis", "one", "three"}, names)
	rows := map[string]FigureRow{}
	for _, r := range c.Figures {
		rows[r.Figure] = r
	}
	r := rows["lowest_cell_c"]
	assert.Equal(t, "°C", r.Unit)
	assert.Equal(t, c.Candidates[1].Answer.Figures.LowestCellC, r.Values["one"])
	assert.Equal(t, c.Candidates[1].Answer.Figures.LowestCellC-c.Candidates[0].Answer.Figures.LowestCellC, r.Differences["one"])
	assert.NotContains(t, r.Differences, "asis")
	assert.NotEmpty(t, rows["downtime_h"].Words["one"])
	assert.NotEmpty(t, c.Cautions)

	again := call(t, s, "POST", "/v1/comparisons", reversed(t, raw))
	assert.Equal(t, w.Body.String(), again.Body.String(), "members in another order")
	t.Run("each is kept", func(t *testing.T) {
		for _, x := range c.Candidates {
			assert.Equal(t, 200, call(t, s, "GET", "/v1/simulations/"+x.Answer.Hash, nil).Code)
		}
	})
}

// What other runs tell of every candidate stands among the figures, with its difference,
// as far as it is told; a time that no candidate has is no row.
func TestCompare_FiguresOfOtherRuns(t *testing.T) {
	raw := comparisonOf(t, `{"asis":{},"three":{"bank":{"modules":3}}}`)
	rows := func(details ...Detail) map[string]FigureRow {
		var cases Cases
		c, faults := cases.Compare(raw, details...)
		require.Empty(t, faults)
		out := map[string]FigureRow{}
		for _, r := range c.Figures {
			out[r.Figure] = r
		}
		for _, x := range c.Candidates {
			assert.Equal(t, *x.Answer.Endurance.AutonomyH, out["autonomy_h"].Values[x.Candidate])
			if x.Answer.Headroom != nil {
				assert.Equal(t, x.Answer.Headroom.Fraction, out["load_headroom_fraction"].Values[x.Candidate])
			}
		}
		return out
	}
	plain := rows()
	a := plain["autonomy_h"]
	assert.Equal(t, "h", a.Unit)
	assert.InDelta(t, 1.5, a.Values["three"].(float64)/a.Values["asis"].(float64), .1, "three modules for two")
	assert.Equal(t, a.Values["three"].(float64)-a.Values["asis"].(float64), a.Differences["three"])
	assert.Regexp(t, `^\+[\d.]+ h$`, a.Words["three"])
	assert.NotEmpty(t, a.Shown["asis"])
	assert.Contains(t, plain, "recharge_by_sun_h")
	assert.NotContains(t, plain, "recharge_by_generator_h", "no generator")
	assert.NotContains(t, plain, "load_headroom_fraction", "not asked for")
	assert.Contains(t, rows(WithHeadroom)["load_headroom_fraction"].Differences, "three")
}

// Without a candidate that is the base, the base is compared too.
func TestCompare_Base(t *testing.T) {
	var cases Cases
	c, faults := cases.Compare(comparisonOf(t, `{"one":{"bank":{"modules":1}}}`))
	require.Empty(t, faults)
	assert.Equal(t, "base", c.Reference)
	require.Len(t, c.Candidates, 2)
	assert.Len(t, c.Notes, len(notes))

	raw := text(t, map[string]any{"base": with(t, complete(t), `{"bank":{"modules":null}}`),
		"candidates": map[string]any{"b": map[string]any{"bank": map[string]any{"modules": 1}}, "a": map[string]any{"bank": map[string]any{"modules": 2}}}})
	c, faults = cases.Compare(raw)
	require.Empty(t, faults)
	assert.Equal(t, "a", c.Reference, "the base alone is no complete system")
	assert.Contains(t, c.Notes[0], "The base alone")
}

func TestCompare_Faults(t *testing.T) {
	for name, c := range map[string]struct {
		raw      string
		pointers []string
	}{
		"of the base, once":     {`{"base":{"bank":{"modules":99}},"candidates":{"a":{},"b":{"name":"x"}}}`, []string{"/base/bank/modules", "/base/site"}},
		"of a patch":            {`{"base":{"bank":{"modules":2}},"candidates":{"a":{},"b":{"bank":{"modules":99}}}}`, []string{"/candidates/b/bank/modules"}},
		"unknown in a patch":    {`{"base":{},"candidates":{"b":{"bnak":{}}}}`, []string{"/candidates/b/bnak"}},
		"a patch that is text":  {`{"base":{},"candidates":{"b":"two"}}`, []string{"/candidates/b"}},
		"removed by a patch":    {`{"base":{"site":{}},"candidates":{"b":{"site":null}}}`, []string{"/candidates/b/site"}},
		"brought by a key":      {`{"base":` + string(text(t, complete(t))) + `,"candidates":{"a":{},"b":{"bank":{"module":{"key":"lfp_8s_100ah"}}}}}`, []string{"/candidates/b/bank/settings/absorb_v"}},
		"duplicate in the text": {`{"base":{},"candidates":{"b":{},"b":{}}}`, []string{"/candidates/b"}},
		"no candidates":         {`{"base":{},"candidates":{}}`, []string{"/candidates"}},
		"missing":               {`{}`, []string{"/base", "/candidates"}},
		"unknown":               {`{"base":{},"candidates":{"a":{}},"candidate":1}`, []string{"/candidate"}},
		"a name":                {`{"base":{},"candidates":{"Two":{}}}`, []string{"/candidates/Two"}},
		"base is the base":      {`{"base":{},"candidates":{"base":{"bank":{}}}}`, []string{"/candidates/base"}},
	} {
		t.Run(name, func(t *testing.T) {
			var cases Cases
			_, faults := cases.Compare([]byte(c.raw))
			seen := map[string]int{}
			for _, f := range faults {
				seen[f.Pointer]++
			}
			for _, p := range c.pointers {
				assert.Equal(t, 1, seen[p], "%s in %s", p, faults)
			}
		})
	}
}

func TestSigned(t *testing.T) {
	for _, c := range []struct {
		d          float64
		unit, want string
	}{
		{0, "h", "±0 h"}, {37.24, "h", "+37.2 h"}, {-0.034, "", "−0.034"}, {-1234.5, "kWh", "−1234 kWh"}, {0.0001, "l", "±0 l"}, {1, "", "+1"}, {-12, "", "−12"},
	} {
		assert.Equal(t, c.want, signed(c.d, c.unit))
	}
}

func TestFiguresOf(t *testing.T) {
	f := sim.Figures{DowntimeH: 3, DowntimeByCauseH: map[string]float64{"empty": 2, "inrush": 1}, Trips: 4, TripsByKind: map[string]int{"charge_cold": 4}}
	by := map[string]Figure{}
	for _, x := range FiguresOf(&f) {
		by[x.Name] = x
	}
	assert.Equal(t, 3.0, by["downtime_h"].Value)
	assert.Equal(t, 2.0, by["downtime_by_cause_h.empty"].Value)
	assert.Equal(t, "h", by["downtime_by_cause_h.empty"].Unit)
	assert.Equal(t, 4.0, by["trips_by_kind.charge_cold"].Value)
	assert.NotEmpty(t, by["downtime_h"].Doc)
}

// A brief comparison has the same figures and nothing that takes other runs,
// whatever was asked for before.
func TestService_BriefComparison(t *testing.T) {
	s := New(Config{})
	body := comparisonOf(t, `{"two": {"bank": {"modules": 2}}, "four": {}}`)
	ask := func(query string) (c Comparison) {
		w := call(t, s, "POST", "/v1/comparisons"+query, body)
		require.Equal(t, 200, w.Code, w.Body.String())
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), &c))
		return c
	}
	whole, brief := ask(""), ask("?verdict=false&detail=reliefs")
	require.NotNil(t, whole.Verdict)
	assert.Nil(t, brief.Verdict)
	for i, c := range brief.Candidates {
		assert.Equal(t, whole.Candidates[i].Answer.Figures, c.Answer.Figures)
		assert.Nil(t, c.Answer.People)
		assert.Nil(t, c.Answer.Bands)
		assert.Nil(t, c.Answer.Reliefs)
	}
	assert.Equal(t, 400, call(t, s, "POST", "/v1/comparisons?verdict=perhaps", body).Code)
}
