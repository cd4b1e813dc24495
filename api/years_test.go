package api

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/study"
)

// monthly is the site's climate in twelve means, of testdata's station
// (daily means that a wet temperate climate could have; made up).
const monthlyMeans = `{"weather":{"monthly":{"ghi_kwh_m2_d":[1.8,2.7,3.7,4.5,5.4,5.9,6.0,5.1,3.9,2.5,1.6,1.4],"ambient_c":[-7,-6,0,7,13,18,21,20,16,9,3,-3]}}}`

// Each further year is what a simulation of it alone says, in the order given,
// and the percentiles are those of the years.
func TestCompare_Years(t *testing.T) {
	base := with(t, station(t), monthlyMeans)
	var years []any
	for member := range 3 {
		years = append(years, map[string]any{"weather": map[string]any{"member": member}})
	}
	years = append(years, map[string]any{"calendar_year": 2026})
	raw := text(t, map[string]any{"base": base, "years": years, "candidates": map[string]any{"four": map[string]any{"bank": map[string]any{"modules": 4}}}})
	var cases Cases
	c, faults := cases.Compare(raw)
	require.Empty(t, faults)
	m := c.ManyYears
	require.NotNil(t, m)
	require.Len(t, m.Years, 4)
	assert.Equal(t, 2026, m.Years[3].CalendarYear)
	for i, y := range m.Years {
		alone := with(t, with(t, base, string(text(t, years[i]))), `{"bank":{"modules":4}}`)
		assert.Equal(t, read(t, alone).Hash, y.Hashes["four"], i)
		assert.Equal(t, glance(figuresAlone(t, alone)), y.Figures["four"], i)
	}
	row := m.row("downtime_h")
	require.Len(t, row.Values["four"], 4)
	dark := slices.Sorted(slices.Values(row.Values["base"]))
	p50 := row.Summaries["base"].Percentiles[1]
	assert.Equal(t, 50, p50.Percent)
	assert.InDelta(t, (dark[1]+dark[2])/2, p50.Value, 1e-9, "the median of four")
	assert.InDelta(t, row.Values["four"][2]-row.Values["base"][2], minus(row.Values["four"], row.Values["base"])[2], 1e-12)
	assert.Equal(t, len(study.Figures()), len(m.Figures))
	assert.Contains(t, strings.Join(m.Words, " "), "of 4 years")
	assert.Contains(t, m.Words[0], "base: ")
	assert.Equal(t, 4, c.Verdict.Years)
	assert.Contains(t, strings.Join(c.Verdict.Words, "\n"), "of 4 years", "the verdict is of the years")

	t.Run("over HTTP", func(t *testing.T) {
		w := call(t, New(Config{}), "POST", "/v1/comparisons", raw)
		require.Equal(t, 200, w.Code, w.Body.String())
		var told Comparison
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), &told))
		assert.Equal(t, m.Years, told.ManyYears.Years)
	})
}

// What is wrong with a year is said at the year, once.
func TestCompare_YearFaults(t *testing.T) {
	base := with(t, station(t), monthlyMeans)
	at := func(years string, candidates map[string]any) (list []string) {
		var y []any
		require.NoError(t, json.Unmarshal([]byte(years), &y))
		var cases Cases
		_, faults := cases.Compare(text(t, map[string]any{"base": base, "years": y, "candidates": candidates}))
		for _, f := range faults {
			list = append(list, f.Pointer)
		}
		return list
	}
	two := map[string]any{"a": map[string]any{}, "b": map[string]any{"bank": map[string]any{"modules": 3}}}
	assert.Equal(t, []string{"/years/0/bank"}, at(`[{"bank":{"modules":3}}]`, two))
	assert.Equal(t, []string{"/years/0", "/years/1"}, at(`[3,{}]`, two))
	assert.Equal(t, []string{"/years/1/calendar_year"}, at(`[{"weather":{"member":1}},{"calendar_year":3000}]`, two))
	assert.Equal(t, []string{"/years/0/weather/seed"}, at(`[{"weather":{"seed":"x"}}]`, two))
	assert.Equal(t, []string{"/years"}, at("["+strings.Repeat(`{"weather":{"member":1}},`, 64)+`{"weather":{"member":1}}]`, two))
	many := map[string]any{}
	for i := range 20 {
		many[fmt.Sprint("c", i)] = map[string]any{}
	}
	assert.Equal(t, []string{"/years"}, at("["+strings.Repeat(`{"weather":{"member":1}},`, 39)+`{"weather":{"member":1}}]`, many))
}
