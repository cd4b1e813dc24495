package study_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bankyear/sim/study"
)

// Pareto's definition, pair by pair.
func TestFrontierProperty(t *testing.T) {
	assert.Empty(t, study.Frontier(nil))
	rapid.Check(t, func(t *rapid.T) {
		n, d := rapid.IntRange(1, 40).Draw(t, "points"), rapid.IntRange(1, 3).Draw(t, "goals")
		points := make([][]float64, n)
		for i := range points {
			for range d {
				points[i] = append(points[i], float64(rapid.IntRange(0, 6).Draw(t, "x")))
			}
		}
		var want []int
		for i, a := range points {
			beaten := slices.ContainsFunc(points, func(b []float64) bool {
				no, less := false, false
				for k := range a {
					no = no || b[k] > a[k]
					less = less || b[k] < a[k]
				}
				return !no && less
			})
			if !beaten {
				want = append(want, i)
			}
		}
		require.Equal(t, want, study.Frontier(points))
	})
}

// site is a sizing over modules 1…6 and array 2, 4…12 kW in ten years. The
// harder a year, the more of both it takes: the product of the two must reach
// 20 + year.
func site(t require.TestingT, met float64) (*study.Plan, func(run int) []float64) {
	s := sizingOf(study.Axis{Path: "bank.modules", Range: &study.Range{Start: 1, End: 6, Step: 1}},
		study.Axis{Path: "kw", Range: &study.Range{Start: 2, End: 12, Step: 2}})
	s.Years = &study.Axis{Path: "weather.member", Range: &study.Range{Start: 0, End: 9, Step: 1}}
	s.Sizing.MetInFraction = met
	s.Sizing.Prices = map[string]float64{"bank.modules": 3, "kw": 1}
	p := planOf(t, s)
	return p, func(run int) []float64 {
		r := p.Run(run)
		row := make([]float64, len(study.Figures()))
		n, kw := value(r.Assignments, "bank.modules", 0), value(r.Assignments, "kw", 0)
		row[study.Column("downtime_h")] = max(0, 20+float64(r.Year)-n*kw) + 4
		row[study.Column("fuel_l")] = 100 / n
		return row
	}
}

// written is a value as a number, or as a text.
func written(a study.Assignment) any {
	if x, ok := a.Value.Number(); ok {
		return x
	}
	return a.Value.String()
}

func plain(list []any) (out []string) {
	for _, v := range list {
		out = append(out, fmt.Sprint(v))
	}
	return out
}

func values(list []study.Candidate) [][]string {
	var out [][]string
	for _, c := range list {
		out = append(out, plain(c.Values))
	}
	slices.SortFunc(out, slices.Compare)
	return out
}

func TestSizingFindsTheFrontier(t *testing.T) {
	for met, c := range map[float64]struct {
		frontier [][]string
		cheapest []string
	}{
		// Every year: the product must reach 29; nine of ten: 28; one of ten: 20.
		1:  {[][]string{{"3", "10"}, {"4", "8"}, {"5", "6"}}, []string{"3", "10"}},
		.9: {[][]string{{"3", "10"}, {"4", "8"}, {"5", "6"}}, []string{"3", "10"}},
		.1: {[][]string{{"2", "10"}, {"3", "8"}, {"4", "6"}, {"5", "4"}}, []string{"2", "10"}},
	} {
		p, figures := site(t, met)
		z := p.Sizer()
		order := rand.New(rand.NewPCG(1, 1)).Perm(p.Runs())
		for _, run := range order {
			z.Add(run, figures(run))
		}
		a := z.Answer(written)
		assert.Equal(t, 36, a.Judged)
		assert.Equal(t, 36, a.Of)
		assert.Equal(t, []string{"bank.modules", "kw"}, a.Goals)
		assert.Equal(t, c.frontier, values(a.Frontier), "met in %g", met)
		require.NotNil(t, a.Cheapest)
		cheapest := z.Candidate(*a.Cheapest, written)
		assert.Equal(t, c.cheapest, plain(cheapest.Values))
		assert.True(t, cheapest.Passes)
		assert.Equal(t, 10, cheapest.YearsJudged)
		assert.GreaterOrEqual(t, float64(cheapest.YearsMet), 10*met)
		n, _ := p.Candidate(*a.Cheapest)[0].Value.Number()
		kw, _ := p.Candidate(*a.Cheapest)[1].Value.Number()
		assert.InDelta(t, 3*n+kw, *cheapest.Price, 1e-12)
		for _, b := range a.Border {
			assert.False(t, b.Against, "more is never worse here")
			assert.True(t, z.Candidate(b.Passes, written).Passes)
			assert.False(t, z.Candidate(b.Fails, written).Passes)
		}
	}
}

// The whole border is there: whichever neighbours differ.
func TestSizingShowsTheWholeBorder(t *testing.T) {
	p, figures := site(t, 1)
	z := p.Sizer()
	passes := map[[2]float64]bool{}
	for run := range p.Runs() {
		z.Add(run, figures(run))
		n, kw := value(p.Run(run).Assignments, "bank.modules", 0), value(p.Run(run).Assignments, "kw", 0)
		passes[[2]float64{n, kw}] = n*kw >= 29
	}
	want := 0
	for at, ok := range passes {
		for _, next := range [][2]float64{{at[0] + 1, at[1]}, {at[0], at[1] + 2}} {
			if other, there := passes[next]; there && other != ok {
				want++
			}
		}
	}
	assert.Len(t, z.Answer(written).Border, want)
}

// A larger bank that fails where a smaller one passes is judged like any other,
// and named.
func TestSizingDoesNotTrustInMonotony(t *testing.T) {
	p := planOf(t, sizingOf(modules(1, 2, 3, 4, 5)))
	z := p.Sizer()
	for run := range p.Runs() {
		n := value(p.Run(run).Assignments, "bank.modules", 0)
		row := make([]float64, len(study.Figures()))
		row[study.Column("downtime_h")] = []float64{99, 3, 5, 4, 0}[int(n)-1]
		z.Add(run, row)
	}
	a := z.Answer(written)
	assert.Equal(t, [][]string{{"2"}}, values(a.Frontier))
	against := map[string]bool{}
	for _, b := range a.Border {
		against[fmt.Sprintf("%v passes, %v fails", z.Candidate(b.Passes, written).Values[0], z.Candidate(b.Fails, written).Values[0])] = b.Against
	}
	assert.Equal(t, map[string]bool{"2 passes, 1 fails": false, "2 passes, 3 fails": true, "4 passes, 3 fails": false}, against)
}

// While runs are missing, a candidate is neither good nor bad.
func TestSizingHalfway(t *testing.T) {
	p, figures := site(t, 1)
	z := p.Sizer()
	a := z.Answer(written)
	assert.Zero(t, a.Judged)
	assert.NotNil(t, a.Frontier)
	assert.Empty(t, a.Border)
	for run := range p.Members() * 4 {
		z.Add(run, figures(run))
	}
	z.Add(p.Members()*4, figures(p.Members()*4))
	a = z.Answer(written)
	assert.Equal(t, 4, a.Judged)
	assert.Equal(t, [][]string{{"6", "12"}}, values(a.Frontier), "of the four corners, the largest passes")
	assert.Equal(t, 1, z.Candidate(4, written).YearsJudged)
	assert.Panics(t, func() { z.Add(0, figures(0)) }, "twice")
}

// What is to be small may be figures and the price; a limit may be a least.
func TestSizingByFigures(t *testing.T) {
	s := sizingOf(modules(1, 2, 4))
	s.Sizing.Limits = []study.Limit{{Figure: "years_to_80_pct", AtLeast: number(10)}}
	s.Sizing.Minimise = []string{"fuel_l", "price"}
	s.Sizing.Prices = map[string]float64{"bank.modules": 100}
	s.Years = &study.Axis{Path: "w", Choices: []string{"a", "b"}}
	p := planOf(t, s)
	z := p.Sizer()
	for run := range p.Runs() {
		r := p.Run(run)
		n := value(r.Assignments, "bank.modules", 0)
		row := make([]float64, len(study.Figures()))
		row[study.Column("years_to_80_pct")] = 7 * n
		row[study.Column("fuel_l")] = math.Abs(n-2) + float64(r.Year)
		z.Add(run, row)
	}
	a := z.Answer(written)
	assert.Equal(t, [][]string{{"2"}}, values(a.Frontier), "one fails, four burns more and costs more")
	assert.Equal(t, []float64{.5, 200}, a.Frontier[0].Goals)
}
