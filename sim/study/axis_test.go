package study_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bankyear/sim/study"
)

// texts are the values that the one axis of a sweep takes.
func texts(t require.TestingT, a study.Axis) []string {
	s := study.Spec{Kind: "sweep", Points: "grid", Axes: []study.Axis{a}, Precision: precise}
	p, faults := s.Plan()
	require.Empty(t, faults)
	list := make([]string, p.Candidates())
	for c := range list {
		list[c] = p.Candidate(c)[0].Value.String()
	}
	return list
}

var precise = study.Precision{ConfidenceFraction: .9, RelativeFraction: .1, Absolute: 1}

func TestAxisValues(t *testing.T) {
	for name, c := range map[string]struct {
		axis study.Axis
		want []string
	}{
		"numbers":              {study.Axis{Numbers: []float64{4, 2.5, 1e-7}}, []string{"4", "2.5", "1e-07"}},
		"large numbers":        {study.Axis{Numbers: []float64{1e6, 1200060, 1200060.5, 123456789, 1e20, 1e21}}, []string{"1000000", "1200060", "1200060.5", "123456789", "100000000000000000000", "1e+21"}},
		"texts":                {study.Axis{Choices: []string{"data_linked", "null", `{"key":"x"}`}}, []string{"data_linked", "null", `{"key":"x"}`}},
		"range":                {study.Axis{Range: &study.Range{Start: 2, End: 10, Step: 2}}, []string{"2", "4", "6", "8", "10"}},
		"end between steps":    {study.Axis{Range: &study.Range{Start: 2, End: 9.9, Step: 2}}, []string{"2", "4", "6", "8"}},
		"decimal steps":        {study.Axis{Range: &study.Range{Start: 0, End: .5, Step: .1}}, []string{"0", "0.1", "0.2", "0.3", "0.4", "0.5"}},
		"through zero":         {study.Axis{Range: &study.Range{Start: -.2, End: .1, Step: .1}}, []string{"-0.2", "-0.1", "0", "0.1"}},
		"one value":            {study.Axis{Range: &study.Range{Start: 3, End: 3, Step: 1}}, []string{"3"}},
		"even ratios":          {study.Axis{LogRange: &study.LogRange{Start: 1, End: 1000, Count: 4}}, []string{"1", "10", "100", "1000"}},
		"even ratios, falling": {study.Axis{LogRange: &study.LogRange{Start: .01, End: .02, Count: 3}}, []string{"0.01", "0.0141421356", "0.02"}},
	} {
		c.axis.Path = "bank.x"
		assert.Equal(t, c.want, texts(t, c.axis), name)
	}
}

// A range holds its start, ascends by its step and does not pass its end.
func TestRangeProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		step := float64(rapid.IntRange(1, 5000).Draw(t, "step")) / 1000
		start := float64(rapid.IntRange(-5000, 5000).Draw(t, "start")) / 1000
		n := rapid.IntRange(0, 200).Draw(t, "n")
		extra := rapid.Float64Range(0, .99).Draw(t, "extra")
		a := study.Axis{Path: "x", Range: &study.Range{Start: start, End: start + (float64(n)+extra)*step, Step: step}}
		s := study.Spec{Kind: "sweep", Points: "grid", Axes: []study.Axis{a}, Precision: precise}
		p, faults := s.Plan()
		require.Empty(t, faults)
		require.Equal(t, n+1, p.Candidates())
		for c := range p.Candidates() {
			x, ok := p.Candidate(c)[0].Value.Number()
			require.True(t, ok)
			require.InDelta(t, start+float64(c)*step, x, 1e-9)
			require.LessOrEqual(t, len(p.Candidate(c)[0].Value.String()), 8, "thousandths stay thousandths")
		}
	})
}
