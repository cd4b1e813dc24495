package study_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/study"
)

// Definition 7 of Hyndman & Fan 1996, as spreadsheets and R have it by default:
// the 0.3-quantile of 1, 2, 3, 4 is 1.9 (the example of spreadsheet manuals, from
// memory), the quartiles of 1…6 are 2.25, 3.5, 4.75.
func TestQuantile(t *testing.T) {
	assert.InDelta(t, 1.9, study.Quantile([]float64{1, 2, 3, 4}, .3), 1e-12)
	for p, want := range map[float64]float64{0: 1, .25: 2.25, .5: 3.5, .75: 4.75, 1: 6} {
		assert.InDelta(t, want, study.Quantile([]float64{1, 2, 3, 4, 5, 6}, p), 1e-12)
	}
	assert.Equal(t, 7., study.Quantile([]float64{7}, .99))
}

// Clopper & Pearson 1934: 95 % intervals of small counts, from memory; none of n
// leaves 1 − 0.025^(1/n).
func TestShareIntervals(t *testing.T) {
	for _, c := range []struct {
		count, of int
		low, high float64
	}{{5, 10, .1871, .8129}, {1, 10, .0025, .4450}, {0, 10, 0, .3085}, {10, 10, .6915, 1}, {0, 20, 0, .1684}, {10, 20, .2720, .7280}} {
		s := study.NewShare(c.count, c.of, 1, .95)
		assert.InDelta(t, c.low, s.Low, 5e-5, "%d of %d", c.count, c.of)
		assert.InDelta(t, c.high, s.High, 5e-5, "%d of %d", c.count, c.of)
	}
}

func TestShareInWords(t *testing.T) {
	for want, values := range map[string][]float64{
		"no dark hour in 2 of 3 years":   {0, 4, 0},
		"no dark hour in any of 3 years": {0, 0, 0},
		"dark hours in each of 3 years":  {1, 4, .1},
	} {
		assert.Equal(t, want, study.Summarise(values, 1, precise).None.DarkFree())
	}
}

// Draws that never differ within a weather year leave the interval of the
// weather years alone.
func TestShareOfYearsThatAgree(t *testing.T) {
	var years, draws []float64
	for y := range 20 {
		x := float64(max(y-13, 0))
		years = append(years, x)
		draws = append(draws, x, x, x)
	}
	a, b := study.Summarise(years, 1, precise).None, study.Summarise(draws, 3, precise).None
	assert.Equal(t, []int{14, 20}, []int{a.Count, a.Of})
	assert.Equal(t, []int{42, 60}, []int{b.Count, b.Of})
	assert.InDelta(t, a.Low, b.Low, 1e-9)
	assert.InDelta(t, a.High, b.High, 1e-9)
}

func TestSummary(t *testing.T) {
	values := make([]float64, 101)
	for i := range values {
		values[i] = float64(i)
	}
	rand.New(rand.NewPCG(1, 1)).Shuffle(len(values), func(i, j int) { values[i], values[j] = values[j], values[i] })
	given := slices.Clone(values)
	s := study.Summarise(values, 1, study.Precision{ConfidenceFraction: .9, RelativeFraction: .1, Absolute: 1})
	assert.Equal(t, given, values, "the values stay as they are")
	assert.Equal(t, []int{101, 101}, []int{s.Members, s.Years})
	assert.InDelta(t, 50, s.Mean, 1e-9)
	assert.Equal(t, []float64{0, 100}, []float64{s.Lowest, s.Highest})
	assert.Equal(t, study.Share{Count: 1, Of: 101, Low: s.None.Low, High: s.None.High}, s.None)
	require.Len(t, s.Percentiles, 4)
	for i, want := range []float64{10, 50, 90, 99} {
		assert.InDelta(t, want, s.Percentiles[i].Value, 1e-9)
	}
	// Ranks 5 and 16, 42 and 60, 86 and 97 by the binomial distribution.
	assert.Equal(t, []float64{4, 15}, []float64{*s.Percentiles[0].Low, *s.Percentiles[0].High})
	assert.False(t, s.Percentiles[0].Converged, "half of 11 is more than a tenth of 10")
	assert.Equal(t, 3056, s.Percentiles[0].Needed, "an interval narrows as 1/√n: 101·(5.5/1)²")
	assert.Equal(t, []float64{41, 59}, []float64{*s.Percentiles[1].Low, *s.Percentiles[1].High})
	assert.False(t, s.Percentiles[1].Converged)
	assert.Equal(t, []float64{85, 96}, []float64{*s.Percentiles[2].Low, *s.Percentiles[2].High})
	assert.True(t, s.Percentiles[2].Converged, "5.5 is within a tenth of 90")
	assert.Zero(t, s.Percentiles[2].Needed)
	assert.Nil(t, s.Percentiles[3].High, "P99 of 101 years has no upper end with 95 %")
	assert.Equal(t, 299, s.Percentiles[3].Needed)
	assert.False(t, s.Converged)
}

// A year without any dark hour in all members is as sure as it gets, and one
// member says nothing.
func TestSummaryOfTheSameYears(t *testing.T) {
	s := study.Summarise(make([]float64, 60), 1, precise)
	assert.True(t, s.Converged)
	s = study.Summarise([]float64{37}, 1, precise)
	assert.False(t, s.Converged)
	assert.Equal(t, 37., s.Mean)
	for _, p := range s.Percentiles {
		assert.Equal(t, 37., p.Value)
		assert.Nil(t, p.High)
		assert.Equal(t, p.Percent == 99, p.Low != nil, "a year is below P99 with 99 %%")
		assert.Positive(t, p.Needed)
	}
}
