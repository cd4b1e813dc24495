package study_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/fault"
	"bankyear/sim/study"
)

func pointers(faults fault.Faults) []string {
	var list []string
	for _, f := range faults {
		list = append(list, f.Pointer)
	}
	return list
}

func modules(values ...float64) study.Axis {
	return study.Axis{Path: "bank.modules", Numbers: values}
}

// upTo is 0, 1, … n − 1.
func upTo(n int) []float64 {
	list := make([]float64, n)
	for i := range list {
		list[i] = float64(i)
	}
	return list
}

func sweepOf(axes ...study.Axis) study.Spec {
	return study.Spec{Kind: "sweep", Points: "grid", Seed: 1, Axes: axes, Precision: precise}
}

func number(x float64) *float64 { return &x }

func sizingOf(axes ...study.Axis) study.Spec {
	s := sweepOf(axes...)
	s.Kind = "sizing"
	s.Sizing = &study.Sizing{Limits: []study.Limit{{Figure: "downtime_h", AtMost: number(4)}}, MetInFraction: .9}
	return s
}

func TestCheckRefuses(t *testing.T) {
	operation := study.Axis{Path: "bank.operation", Choices: []string{"data_linked", "voltage_only"}}
	between := study.Axis{Path: "array.planes.roof.rated_kw", Range: &study.Range{Start: 2, End: 8}}
	for name, c := range map[string]struct {
		spoil func(s *study.Spec)
		want  []string
	}{
		"unknown kind":                 {func(s *study.Spec) { s.Kind = "search" }, []string{"/kind"}},
		"unknown points":               {func(s *study.Spec) { s.Points = "random" }, []string{"/points"}},
		"no axis":                      {func(s *study.Spec) { s.Axes = nil }, []string{"/axes"}},
		"a path that is none":          {func(s *study.Spec) { s.Axes[0].Path = "bank..modules" }, []string{"/axes/0/path"}},
		"an empty path":                {func(s *study.Spec) { s.Axes[0].Path = "" }, []string{"/axes/0/path"}},
		"a path twice":                 {func(s *study.Spec) { s.Axes = append(s.Axes, modules(9)) }, []string{"/axes/1/path"}},
		"a path below another":         {func(s *study.Spec) { s.Axes = append(s.Axes, study.Axis{Path: "bank", Choices: []string{"{}"}}) }, []string{"/axes/1/path"}},
		"years on an axis":             {func(s *study.Spec) { s.Years = &study.Axis{Path: "bank.modules", Choices: []string{"a"}} }, []string{"/years/path"}},
		"no values":                    {func(s *study.Spec) { s.Axes[0].Numbers = nil }, []string{"/axes/0"}},
		"two ways of values":           {func(s *study.Spec) { s.Axes[0].Choices = []string{"a"} }, []string{"/axes/0"}},
		"a value twice":                {func(s *study.Spec) { s.Axes[0].Numbers = []float64{1, 2, 1} }, []string{"/axes/0/numbers/2"}},
		"not a number":                 {func(s *study.Spec) { s.Axes[0].Numbers[0] = math.NaN() }, []string{"/axes/0/numbers/0"}},
		"an endless list":              {func(s *study.Spec) { s.Axes[0].Numbers = upTo(10001) }, []string{"/axes/0/numbers"}},
		"a grid without step":          {func(s *study.Spec) { s.Axes[0] = between }, []string{"/axes/0/range/step"}},
		"samples missing":              {func(s *study.Spec) { s.Points = "sobol" }, []string{"/samples"}},
		"samples for a grid":           {func(s *study.Spec) { s.Samples = 3 }, []string{"/samples"}},
		"too many samples":             {func(s *study.Spec) { s.Points, s.Samples = "sobol", 100001 }, []string{"/samples"}},
		"listed points of two lengths": {func(s *study.Spec) { s.Points, s.Axes = "listed", append(s.Axes, operation) }, []string{"/axes/1"}},
		"limits outside a sizing":      {func(s *study.Spec) { s.Sizing = sizingOf().Sizing }, []string{"/sizing"}},
		"a sizing without limits":      {func(s *study.Spec) { s.Kind = "sizing" }, []string{"/sizing"}},
		"a sizing over samples":        {func(s *study.Spec) { *s = sizingOf(modules(1, 2)); s.Points = "listed" }, []string{"/points"}},
		"an ensemble of one":           {func(s *study.Spec) { s.Kind = "ensemble" }, []string{""}},
		"chance without a cause":       {func(s *study.Spec) { s.Chance = &study.Chance{PerYear: 2} }, []string{"/chance"}},
		"no draw in a year":            {func(s *study.Spec) { s.Chance = &study.Chance{SeedPaths: []string{"a.seed"}} }, []string{"/chance/per_year"}},
		"a seed twice":                 {func(s *study.Spec) { s.Chance = &study.Chance{PerYear: 1, SeedPaths: []string{"a", "a"}} }, []string{"/chance/seed_paths/1"}},
		"a draw on an axis":            {func(s *study.Spec) { s.Chance = &study.Chance{PerYear: 1, Draws: []study.Axis{modules(3)}} }, []string{"/chance/draws/0/path"}},
		"an unknown figure":            {func(s *study.Spec) { *s = sizingOf(modules(1)); s.Sizing.Limits[0].Figure = "downtime" }, []string{"/sizing/limits/0/figure"}},
		"a limit without bound":        {func(s *study.Spec) { *s = sizingOf(modules(1)); s.Sizing.Limits[0].AtMost = nil }, []string{"/sizing/limits/0"}},
		"met in no year":               {func(s *study.Spec) { *s = sizingOf(modules(1)); s.Sizing.MetInFraction = 0 }, []string{"/sizing/met_in_fraction"}},
		"nothing to be small":          {func(s *study.Spec) { *s = sizingOf(operation) }, []string{"/sizing/minimise"}},
		"the smallest of texts":        {func(s *study.Spec) { *s = sizingOf(operation); s.Sizing.Minimise = []string{"bank.operation"} }, []string{"/sizing/minimise/0"}},
		"a price that is not given":    {func(s *study.Spec) { *s = sizingOf(modules(1)); s.Sizing.Minimise = []string{"price"} }, []string{"/sizing/minimise/0"}},
		"a price of texts": {func(s *study.Spec) {
			*s = sizingOf(modules(1), operation)
			s.Sizing.Prices = map[string]float64{"bank.operation": 9}
		}, []string{"/sizing/prices/bank.operation"}},
		"something twice to be small": {func(s *study.Spec) { *s = sizingOf(modules(1)); s.Sizing.Minimise = []string{"fuel_l", "fuel_l"} }, []string{"/sizing/minimise/1"}},
		"all at once":                 {func(s *study.Spec) { s.Points, s.Axes[0].Path, s.Axes[0].Numbers[1] = "sobol", "", math.Inf(1) }, []string{"/axes/0/numbers/1", "/samples", "/axes/0/path"}},
		"more runs than anybody waits for": {func(s *study.Spec) {
			s.Years, s.Chance = &study.Axis{Path: "weather.member", Range: &study.Range{End: 9999, Step: 1}}, &study.Chance{PerYear: 100000, SeedPaths: []string{"a"}}
		}, []string{""}},
	} {
		s := sweepOf(modules(2, 4, 6))
		c.spoil(&s)
		p, faults := s.Plan()
		assert.Nil(t, p, name)
		assert.Equal(t, c.want, pointers(faults), name)
		for _, f := range faults {
			assert.NotEmpty(t, f.Message, name)
		}
	}
}

// The shape of a study as it is sent.
func TestSpecInJSON(t *testing.T) {
	var s study.Spec
	require.NoError(t, json.Unmarshal([]byte(`{
		"kind": "sizing", "points": "grid", "seed": 7,
		"axes": [
			{"path": "bank.modules", "range": {"start": 2, "end": 8, "step": 1}},
			{"path": "array.planes.roof.rated_kw", "log_range": {"start": 2, "end": 16, "count": 7}}],
		"years": {"path": "weather.id", "choices": ["w-1", "w-2", "w-3"]},
		"chance": {"seed_paths": ["bank.link_faults.seed"], "per_year": 4, "first_seed": 11,
			"draws": [{"path": "bank.estimate.offset_a", "range": {"start": -0.05, "end": 0.05}}]},
		"sizing": {"limits": [{"figure": "downtime_h", "at_most": 4}, {"figure": "generator_h", "at_most": 200}],
			"met_in_fraction": 0.9, "minimise": ["bank.modules", "price"], "prices": {"bank.modules": 1500}},
		"precision": {"confidence_fraction": 0.95, "relative_fraction": 0.05, "absolute": 2}}`), &s))
	p, faults := s.Plan()
	require.Empty(t, faults)
	assert.Equal(t, 7*7, p.Candidates())
	assert.Equal(t, 3*4, p.Members())
	assert.Equal(t, 7*7*3*4, p.Runs())
}
