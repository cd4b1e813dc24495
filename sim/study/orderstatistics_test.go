package study_test

import (
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bankyear/sim/study"
)

// Ranks around the median that hold it with at least 95 %, and the probability
// with which they do: the table of the sign test's interval (Conover 1999,
// Practical Nonparametric Statistics), from memory; the probabilities are those
// of a fair coin, exact to the digits given.
func TestMedianIntervals(t *testing.T) {
	for n, want := range map[int]struct {
		l, u     int
		coverage float64
	}{
		6: {1, 6, .96875}, 10: {2, 9, .978516}, 15: {4, 12, .964844}, 20: {6, 15, .958611}, 25: {8, 18, .956715},
	} {
		l, u := study.OrderInterval(n, 1, .5, .025)
		assert.Equal(t, []int{want.l, want.u}, []int{l, u}, "n %d", n)
		assert.InDelta(t, want.coverage, study.Coverage(l, u, n, 1, .5), 1e-6, "n %d", n)
	}
	l, u := study.OrderInterval(5, 1, .5, .025)
	assert.Equal(t, []int{0, 0}, []int{l, u}, "five values hold the median with 93.75 % at most")
}

// Wilks 1941, Annals of Mathematical Statistics 12, 91: how many values until
// the largest exceeds a percentile with a given confidence; the classic pairs.
func TestWilks(t *testing.T) {
	for _, c := range []struct{ p, confidence, n float64 }{{.95, .95, 59}, {.9, .95, 29}, {.9, .9, 22}, {.99, .95, 299}, {.05, .95, 59}} {
		assert.Equal(t, c.n, study.LeastMembers(c.p, 1-c.confidence), "%v", c)
	}
	for n, reached := range map[int]bool{58: false, 59: true} {
		_, u := study.OrderInterval(n, 1, .95, .05)
		assert.Equal(t, reached, u != 0, "n %d", n)
	}
}

// exactBelow is P(at least u of n fall below the p-quantile), p = num/64, in
// whole numbers: the binomial distribution itself.
func exactBelow(u, n, num int) float64 {
	sum := new(big.Int)
	for k := u; k <= n; k++ {
		term := new(big.Int).Binomial(int64(n), int64(k))
		term.Mul(term, new(big.Int).Exp(big.NewInt(int64(num)), big.NewInt(int64(k)), nil))
		term.Mul(term, new(big.Int).Exp(big.NewInt(int64(64-num)), big.NewInt(int64(n-k)), nil))
		sum.Add(sum, term)
	}
	x, _ := new(big.Rat).SetFrac(sum, new(big.Int).Exp(big.NewInt(64), big.NewInt(int64(n)), nil)).Float64()
	return x
}

// Against the binomial distribution in exact arithmetic: the ranks are those
// that it gives, and none closer would do.
func TestRanksAgainstExactBinomial(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, num := rapid.IntRange(1, 80).Draw(t, "n"), rapid.IntRange(1, 63).Draw(t, "p·64")
		tail := rapid.SampledFrom([]float64{.005, .025, .05, .25}).Draw(t, "tail")
		p := float64(num) / 64
		wantL, wantU := 0, 0
		for r := 1; r <= n; r++ {
			if 1-exactBelow(r, n, num) <= tail {
				wantL = r
			}
			if wantU == 0 && exactBelow(r, n, num) <= tail {
				wantU = r
			}
		}
		l, u := study.OrderInterval(n, 1, p, tail)
		require.Equal(t, []int{wantL, wantU}, []int{l, u})
		if l > 0 && u > 0 {
			require.InDelta(t, exactBelow(l, n, num)-exactBelow(u, n, num), study.Coverage(l, u, n, 1, p), 1e-12)
			require.GreaterOrEqual(t, study.Coverage(l, u, n, 1, p), 1-2*tail-1e-12)
		}
	})
}

// The promise itself: of 2,000 ensembles, nine in ten intervals hold the true
// percentile, whatever the distribution, also when five draws share a weather
// year that decides most. Taken for 100 independent years, those would miss far
// more often.
func TestIntervalsHoldTheirPercentile(t *testing.T) {
	const ensembles, years, draws = 2000, 20, 5
	spread := math.Sqrt(1 + .25) // of a weather year's share and of chance
	for name, c := range map[string]struct {
		percent int
		z       float64 // of the normal distribution
	}{"P50": {50, 0}, "P90": {90, 1.2815515655}} {
		draw := rand.New(rand.NewPCG(11, 13))
		held, heldAsIfIndependent := 0, 0
		for range ensembles {
			values := make([]float64, 0, years*draws)
			for range years {
				year := draw.NormFloat64()
				for range draws {
					values = append(values, math.Exp(year+.5*draw.NormFloat64())) // skewed
				}
			}
			truth := math.Exp(c.z * spread)
			if holds(study.Summarise(values, draws, precise), c.percent, truth) {
				held++
			}
			if holds(study.Summarise(values, 1, precise), c.percent, truth) {
				heldAsIfIndependent++
			}
		}
		// Three standard errors of a share of 0.9 among 2,000 are 0.02.
		assert.GreaterOrEqual(t, float64(held)/ensembles, .88, name)
		assert.Less(t, float64(heldAsIfIndependent)/ensembles, .8, name)
	}
}

func holds(s study.Summary, percent int, truth float64) bool {
	i := slices.IndexFunc(s.Percentiles, func(p study.Percentile) bool { return p.Percent == percent })
	p := s.Percentiles[i]
	return (p.Low == nil || *p.Low <= truth) && (p.High == nil || truth <= *p.High)
}

// Kish 1965: the design effect is 1 + (size − 1)ρ. With ρ = 1 a cluster counts
// for one value, with independent values all count.
func TestClusterRatio(t *testing.T) {
	draw := rand.New(rand.NewPCG(1, 2))
	same, apart := make([]float64, 4000), make([]float64, 4000)
	for i := range same {
		same[i] = float64(i / 4 % 2)
		apart[i] = draw.Float64()
	}
	assert.InDelta(t, .25, study.ClusterRatio(same, 4, .5, .05), 1e-9)
	assert.InDelta(t, 1, study.ClusterRatio(apart, 4, .5, .05), .1)
	assert.Equal(t, 1., study.ClusterRatio(apart, 1, .5, .05))
	assert.Equal(t, 1., study.ClusterRatio(apart[:4], 4, .5, .05), "one year says nothing of years")
}
