package api

import (
	"encoding/json"
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
