package study_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bankyear/sim/study"
)

func write(list []study.Assignment) string {
	var words []string
	for _, a := range list {
		words = append(words, a.Path+"="+a.Value.String())
	}
	return strings.Join(words, " ")
}

func planOf(t require.TestingT, s study.Spec) *study.Plan {
	p, faults := s.Plan()
	require.Empty(t, faults)
	return p
}

func runs(p *study.Plan) []string {
	list := make([]string, p.Runs())
	for i := range list {
		list[i] = write(p.Run(i).Assignments)
	}
	return list
}

func TestRunsOfAGrid(t *testing.T) {
	s := sweepOf(modules(2, 4), study.Axis{Path: "op", Choices: []string{"a", "b"}})
	s.Years = &study.Axis{Path: "w", Choices: []string{"x", "y"}}
	s.Chance = &study.Chance{SeedPaths: []string{"s", "t"}, PerYear: 2, FirstSeed: 7}
	p := planOf(t, s)
	assert.Equal(t, []string{"bank.modules", "op"}, p.Paths())
	var want []string
	for _, candidate := range []string{"bank.modules=2 op=a", "bank.modules=2 op=b", "bank.modules=4 op=a", "bank.modules=4 op=b"} {
		for m, member := range []string{"w=x s=7 t=7", "w=x s=8 t=8", "w=y s=9 t=9", "w=y s=10 t=10"} {
			want = append(want, candidate+" "+member)
			assert.Equal(t, m, p.Run(len(want)-1).Member)
			assert.Equal(t, m/2, p.Run(len(want)-1).Year)
			assert.Equal(t, m%2, p.Run(len(want)-1).Draw)
		}
	}
	assert.Equal(t, want, runs(p))
	assert.Panics(t, func() { p.Run(16) })
	assert.Panics(t, func() { p.Run(-1) })
}

func TestRunsOfListedPoints(t *testing.T) {
	s := sweepOf(modules(2, 4, 6), study.Axis{Path: "kw", Range: &study.Range{Start: 1, End: 3, Step: 1}})
	s.Points = "listed"
	assert.Equal(t, []string{"bank.modules=2 kw=1", "bank.modules=4 kw=2", "bank.modules=6 kw=3"}, runs(planOf(t, s)))
}

func TestEnsembleOfTheBaseAlone(t *testing.T) {
	s := study.Spec{Kind: "ensemble", Points: "grid", Precision: precise, Years: &study.Axis{Path: "w", Choices: []string{"x", "y"}}}
	assert.Equal(t, []string{"w=x", "w=y"}, runs(planOf(t, s)))
}

// Samples fall into the levels of an axis evenly, and between the ends of one
// without steps; with even ratios, half of them below the geometric mean.
func TestRunsOfSamples(t *testing.T) {
	for _, points := range []string{"sobol", "latin_hypercube"} {
		s := sweepOf(modules(2, 4, 6, 8),
			study.Axis{Path: "op", Choices: []string{"a", "b"}},
			study.Axis{Path: "kw", Range: &study.Range{Start: -1, End: 3}},
			study.Axis{Path: "ohm", LogRange: &study.LogRange{Start: .01, End: 1}})
		s.Points, s.Samples = points, 256
		p := planOf(t, s)
		require.Equal(t, 256, p.Runs())
		count := map[string]int{}
		for i := range p.Runs() {
			a := p.Run(i).Assignments
			count[a[0].Value.String()]++
			count[a[1].Value.String()]++
			kw, _ := a[2].Value.Number()
			ohm, _ := a[3].Value.Number()
			require.GreaterOrEqual(t, kw, -1.)
			require.LessOrEqual(t, kw, 3.)
			require.GreaterOrEqual(t, ohm, .01)
			require.LessOrEqual(t, ohm, 1.)
			if kw < 1 {
				count["kw below"]++
			}
			if ohm < .1 {
				count["ohm below"]++
			}
		}
		assert.Equal(t, map[string]int{"2": 64, "4": 64, "6": 64, "8": 64, "a": 128, "b": 128, "kw below": 128, "ohm below": 128}, count, points)
		assert.Equal(t, runs(p), runs(planOf(t, s)), "the same seed, the same samples")
		s.Seed++
		assert.NotEqual(t, runs(p), runs(planOf(t, s)), "another seed")
	}
}

// What is drawn belongs to the member: every candidate meets the same, each
// draw once, evenly over its range.
func TestCandidatesMeetTheSameMembers(t *testing.T) {
	s := sweepOf(modules(2, 4, 6))
	s.Years = &study.Axis{Path: "w", Range: &study.Range{Start: 1, End: 5, Step: 1}}
	s.Chance = &study.Chance{SeedPaths: []string{"s"}, PerYear: 4, FirstSeed: 1, Draws: []study.Axis{{Path: "offset", Range: &study.Range{Start: 0, End: 20}}}}
	p := planOf(t, s)
	seen := map[int]bool{}
	for m := range p.Members() {
		for c := range p.Candidates() {
			run := p.Run(c*p.Members() + m)
			require.Equal(t, c, run.Candidate)
			require.Equal(t, write(p.Member(m)), write(run.Assignments[1:]))
		}
		x, _ := p.Member(m)[2].Value.Number()
		seen[int(x)] = true
	}
	assert.Len(t, seen, 20)
}

// A grid holds every combination exactly once, also in the order of a sizing.
func TestGridProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var axes []study.Axis
		points := 1
		for i := range rapid.IntRange(1, 4).Draw(t, "axes") {
			n := rapid.IntRange(1, 7).Draw(t, "levels")
			axes = append(axes, study.Axis{Path: fmt.Sprintf("a%d", i), Range: &study.Range{Start: 1, End: float64(n), Step: 1}})
			points *= n
		}
		s := sweepOf(axes...)
		if rapid.Bool().Draw(t, "sizing") {
			s = sizingOf(axes...)
		}
		all := runs(planOf(t, s))
		require.Len(t, all, points)
		slices.Sort(all)
		require.Len(t, slices.Compact(all), points)
	})
}

// A bisection between the first and the last of nine asks for them, the middle,
// the quarters, the rest.
func TestSizingGoesFromCoarseToFine(t *testing.T) {
	p := planOf(t, sizingOf(study.Axis{Path: "x", Range: &study.Range{Start: 0, End: 8, Step: 1}}))
	assert.Equal(t, []string{"x=0", "x=8", "x=4", "x=2", "x=6", "x=1", "x=3", "x=5", "x=7"}, runs(p))

	p = planOf(t, sizingOf(study.Axis{Path: "x", Range: &study.Range{Start: 0, End: 2, Step: 1}}, study.Axis{Path: "y", Range: &study.Range{Start: 0, End: 2, Step: 1}}))
	assert.Equal(t, []string{"x=0 y=0", "x=0 y=2", "x=2 y=0", "x=2 y=2", "x=0 y=1", "x=1 y=0", "x=1 y=2", "x=2 y=1", "x=1 y=1"}, runs(p))
}
