package api

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// compared runs a comparison and tells the hash of each candidate.
func compared(t testing.TB, s *Service, candidates string) map[string]string {
	t.Helper()
	w := call(t, s, "POST", "/v1/comparisons", comparisonOf(t, candidates))
	require.Equal(t, 200, w.Code, w.Body.String())
	var c Comparison
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &c))
	hashes := map[string]string{}
	for _, x := range c.Candidates {
		hashes[x.Candidate] = x.Answer.Hash
	}
	return hashes
}

// The outages are all there whatever was asked for before: an answer with the
// same hash and detail has the same bytes.
func TestService_EventsOfAComparison(t *testing.T) {
	s := New(Config{})
	hashes := compared(t, s, `{"one": {"bank": {"modules": 1}, "generators": null}}`)
	target := "/v1/simulations/" + hashes["one"] + "?detail=events"
	first := call(t, s, "GET", target, nil)
	var a struct {
		Figures sim.Figures
		Events  []map[string]any
	}
	require.NoError(t, json.Unmarshal(first.Body.Bytes(), &a))
	require.Positive(t, a.Figures.Outages)
	assert.Len(t, a.Events, a.Figures.Outages+a.Figures.ShortOutages)
	assert.Equal(t, first.Body.String(), call(t, s, "GET", target, nil).Body.String())
}

// Named columns of the hours are told, with the values they have among all.
func TestService_ColumnsOfHours(t *testing.T) {
	s := New(Config{})
	target := "/v1/simulations/" + compared(t, s, `{"four": {}}`)["four"] + "?detail=hours"
	tell := func(target string) []HourColumn {
		w := call(t, s, "GET", target, nil)
		require.Equal(t, 200, w.Code, w.Body.String())
		assert.Equal(t, target, w.Header().Get("Content-Location"))
		var a Answer
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), &a))
		return a.Hours.Columns
	}
	all := map[string]HourColumn{}
	for _, c := range tell(target) {
		all[c.Name] = c
	}
	two := tell(target + "&columns=soc_fraction,downtime_cause")
	require.Len(t, two, 2)
	for _, c := range two {
		assert.Equal(t, all[c.Name], c)
	}
	p := problemOf(t, call(t, s, "GET", target+"&columns=soc_fraction,soc", nil), 400)
	require.Len(t, p.Faults, 1)
	assert.Equal(t, "columns", p.Faults[0].Parameter)
	assert.Equal(t, "soc", p.Faults[0].Value)
	assert.Contains(t, p.Faults[0].Allowed, "bank_v")
}

// A comparison tells in detail what each simulation tells, in one answer.
func TestService_CompareInDetail(t *testing.T) {
	s := New(Config{})
	const query = "?detail=months,events,hours&columns=soc_fraction,downtime_fraction"
	w := call(t, s, "POST", "/v1/comparisons"+query, comparisonOf(t, `{"one": {"bank": {"modules": 1}, "generators": null}, "four": {}}`))
	require.Equal(t, 200, w.Code, w.Body.String())
	var c struct {
		Candidates []struct {
			Candidate string
			Answer    struct {
				Hash   string
				Months []any
				Hours  HourColumns
			}
		}
	}
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &c))
	require.Len(t, c.Candidates, 2)
	for _, x := range c.Candidates {
		assert.Len(t, x.Answer.Months, 12)
		assert.Len(t, x.Answer.Hours.Columns, 2)
		alone := call(t, s, "GET", "/v1/simulations/"+x.Answer.Hash+strings.Replace(query, "detail=", "detail=bands,endurance,", 1), nil)
		require.Equal(t, 200, alone.Code)
		assert.Contains(t, w.Body.String(), strings.TrimSpace(alone.Body.String()), "%s: the same bytes", x.Candidate)
	}
	p := problemOf(t, call(t, s, "POST", "/v1/comparisons?detail=months,weeks&columns=soc&x=1", []byte("{}")), 400)
	var named []string
	for _, f := range p.Faults {
		named = append(named, f.Parameter)
	}
	assert.ElementsMatch(t, []string{"detail", "columns", "x"}, named)
}
