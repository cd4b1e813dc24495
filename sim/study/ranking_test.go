package study_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/study"
)

// inputs are axes x1, x2, … from −π to π.
func inputs(n int) []study.Axis {
	var list []study.Axis
	for i := range n {
		list = append(list, study.Axis{Path: "x" + string(rune('1'+i)), Range: &study.Range{Start: -math.Pi, End: math.Pi}})
	}
	return list
}

func rankingOf(samples int, axes ...study.Axis) study.Spec {
	s := sweepOf(axes...)
	s.Kind, s.Samples = "ranking", samples
	return s
}

// value is the number that a candidate gives to a path, or its preset.
func value(list []study.Assignment, path string, preset float64) float64 {
	for _, a := range list {
		if a.Path == path {
			x, _ := a.Value.Number()
			return x
		}
	}
	return preset
}

// ishigami with a = 7, b = 0.1.
func ishigami(list []study.Assignment) float64 {
	x1, x2, x3 := value(list, "x1", 0), value(list, "x2", 0), value(list, "x3", 0)
	return math.Sin(x1) + 7*math.Pow(math.Sin(x2), 2) + .1*math.Pow(x3, 4)*math.Sin(x1)
}

// The test function of Ishigami & Homma 1990 on the cube (−π, π)³: first-order
// indices 0.3139, 0.4424, 0; total 0.5576, 0.4424, 0.2437 (Saltelli et al. 2008,
// Global Sensitivity Analysis: The Primer, from memory; they follow from
// V = a²/8 + bπ⁴/5 + b²π⁸/18 + ½ as well).
func TestIndicesOfIshigami(t *testing.T) {
	first := map[string]float64{"x1": .3139, "x2": .4424, "x3": 0}
	total := map[string]float64{"x1": .5576, "x2": .4424, "x3": .2437}
	p := planOf(t, rankingOf(1<<13, inputs(3)...))
	require.Equal(t, 1+6+5<<13, p.Candidates())
	list := p.Sensitivities(func(c int) float64 { return ishigami(p.Candidate(c)) })
	require.Len(t, list, 3)
	assert.Equal(t, []string{"x1", "x2", "x3"}, []string{list[0].Path, list[1].Path, list[2].Path}, "by total index")
	for _, s := range list {
		assert.InDelta(t, first[s.Path], s.First, .005, s.Path)
		assert.InDelta(t, total[s.Path], s.Total, .005, s.Path)
		assert.LessOrEqual(t, s.FirstLow, first[s.Path], s.Path)
		assert.GreaterOrEqual(t, s.FirstHigh, first[s.Path], s.Path)
		assert.LessOrEqual(t, s.TotalLow, total[s.Path], s.Path)
		assert.GreaterOrEqual(t, s.TotalHigh, total[s.Path], s.Path)
		assert.Less(t, s.FirstHigh-s.FirstLow, .1, s.Path)
	}
}

// The estimators by themselves, from plain random points: within four standard
// errors of the same values.
func TestEstimatorsFromRandomPoints(t *testing.T) {
	const n, k = 50000, 3
	draw := rand.New(rand.NewPCG(5, 6))
	f := make([]float64, 0, n*(k+2))
	var a, b [k]float64
	at := func(x [k]float64) float64 {
		return math.Sin(x[0]) + 7*math.Pow(math.Sin(x[1]), 2) + .1*math.Pow(x[2], 4)*math.Sin(x[0])
	}
	for range n {
		for i := range k {
			a[i], b[i] = math.Pi*(2*draw.Float64()-1), math.Pi*(2*draw.Float64()-1)
		}
		f = append(f, at(a), at(b))
		for i := range k {
			mixed := a
			mixed[i] = b[i]
			f = append(f, at(mixed))
		}
	}
	list := study.Indices(f, k, .9, 1)
	for i, want := range [][2]float64{{.3139, .5576}, {.4424, .4424}, {0, .2437}} {
		assert.InDelta(t, want[0], list[i].First, .03)
		assert.InDelta(t, want[1], list[i].Total, .03)
	}
}

// An additive function: the indices are the shares of the variances, first equals
// total; a function that does not vary has none.
func TestIndicesOfASum(t *testing.T) {
	p := planOf(t, rankingOf(1<<10, inputs(4)...))
	list := p.Sensitivities(func(c int) float64 {
		a := p.Candidate(c)
		return 1e6 + 1*value(a, "x1", 0) - 2*value(a, "x2", 0) + 4*value(a, "x4", 0)
	})
	for i, want := range []struct {
		path  string
		share float64
	}{{"x4", 16. / 21}, {"x2", 4. / 21}, {"x1", 1. / 21}, {"x3", 0}} {
		assert.Equal(t, want.path, list[i].Path)
		assert.InDelta(t, want.share, list[i].First, .002)
		assert.InDelta(t, want.share, list[i].Total, .002)
	}
	for _, s := range p.Sensitivities(func(int) float64 { return 37 }) {
		assert.Equal(t, study.Sensitivity{Path: s.Path}, s)
	}
}

// Saltelli et al. 2010: A, B, and A with one input at a time from B.
func TestDesignOfARanking(t *testing.T) {
	axes := append(inputs(2), study.Axis{Path: "op", Choices: []string{"a", "b", "c"}})
	p := planOf(t, rankingOf(16, axes...))
	require.Equal(t, 1+2+2+3+16*5, p.Candidates())
	assert.Empty(t, p.Candidate(0), "the base")
	for c, want := range map[int]string{1: "x1=-3.14159265", 2: "x1=3.14159265", 3: "x2=-3.14159265", 4: "x2=3.14159265", 5: "op=a", 6: "op=b", 7: "op=c"} {
		got := write(p.Candidate(c))
		assert.True(t, strings.HasPrefix(got, want), "%s, want %s", got, want)
	}
	for j := range 16 {
		row := p.Candidates() - 16*5 + j*5
		a, b := p.Candidate(row), p.Candidate(row+1)
		for i := range axes {
			want := append([]study.Assignment{}, a...)
			want[i] = b[i]
			assert.Equal(t, want, p.Candidate(row+2+i))
		}
	}
}

func TestSwings(t *testing.T) {
	s := rankingOf(0, modules(2, 4, 8), study.Axis{Path: "kw", Range: &study.Range{Start: 1, End: 3, Step: 1}}, study.Axis{Path: "same", Choices: []string{"a", "b"}})
	p := planOf(t, s)
	assert.Nil(t, p.Sensitivities(func(int) float64 { return 0 }))
	swings := p.Swings(func(c int) float64 { // 100 at the base of 5 modules and 2 kW
		a := p.Candidate(c)
		return 125 - 5*value(a, "bank.modules", 5) + 20*math.Abs(value(a, "kw", 2)-2)
	}, written)
	assert.Equal(t, []study.Swing{
		{Path: "bank.modules", Lowest: 85, LowestAt: 8., Highest: 115, HighestAt: 2., Swing: 30},
		{Path: "kw", Lowest: 100, Highest: 120, HighestAt: 1., Swing: 20},
		{Path: "same", Lowest: 100, Highest: 100},
	}, swings)
}

func TestMeanOfMembers(t *testing.T) {
	s := sweepOf(modules(2, 4))
	s.Years = &study.Axis{Path: "w", Choices: []string{"a", "b", "c", "d"}}
	p := planOf(t, s)
	assert.Equal(t, 5.5, p.MeanOfMembers(1, func(run int) float64 { return float64(run) }))
	// A plain sum of these loses the ones (Neumaier 1974).
	assert.Equal(t, .5, p.MeanOfMembers(0, func(run int) float64 { return []float64{1, 1e100, 1, -1e100}[run] }))
	assert.Panics(t, func() { p.Swings(nil, nil) })
	assert.Panics(t, func() { p.Sensitivities(nil) })
	assert.Panics(t, func() { p.Sizer() })
}
