package bank_test

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bankyear/sim/bank"
)

type cycle struct {
	Range float64 `json:"range"`
	Mean  float64 `json:"mean"`
	Count float64 `json:"count"`
}

func rainflow(series []float64) (cycles []cycle) {
	r := bank.NewRainflow(4, func(depth, mean, count float64) { cycles = append(cycles, cycle{depth, mean, count}) })
	for _, x := range series {
		r.Add(x)
	}
	r.Finish()
	return cycles
}

// The worked example of ASTM E1049-85 §5.4.4 and five cases that a hand can
// check.
func TestRainflow(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/check/rainflow_public.json")
	require.NoError(t, err)
	var file struct {
		Vectors []struct {
			Name   string       `json:"name"`
			Series []float64    `json:"series"`
			Cycles []cycle      `json:"cycles"` // in counting order; of the standard's example only
			Counts [][2]float64 `json:"counts_by_range"`
		} `json:"vectors"`
	}
	require.NoError(t, json.Unmarshal(raw, &file))
	require.Len(t, file.Vectors, 6)
	for _, v := range file.Vectors {
		t.Run(v.Name, func(t *testing.T) {
			got := rainflow(v.Series)
			counts := map[float64]float64{}
			for _, c := range got {
				counts[c.Range] += c.Count
			}
			assert.Len(t, counts, len(v.Counts))
			for _, c := range v.Counts {
				assert.Equal(t, c[1], counts[c[0]], "range %g", c[0])
			}
			if v.Cycles != nil {
				assert.Equal(t, v.Cycles, got)
			}
		})
	}
}

// Every range between reversals is counted once, as half a cycle: twice the
// counts are the reversals less one (ASTM E1049-85), and the greatest range is
// the history's span.
func TestRainflowCountsEveryRange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		series := rapid.SliceOfN(rapid.Float64Range(0, 1), 2, 200).Draw(t, "history")
		lo, hi, reversals, direction := series[0], series[0], 0, 0
		last := series[0]
		for _, x := range series {
			lo, hi = min(lo, x), max(hi, x)
			if d := sign(x - last); d != 0 {
				if d != direction {
					reversals++
				}
				direction, last = d, x
			}
		}
		twice, greatest := 0., 0.
		for _, c := range rainflow(series) {
			twice += 2 * c.Count
			greatest = max(greatest, c.Range)
		}
		if twice != float64(reversals) { // reversals after the first point
			t.Fatalf("%g half cycles, want %d", twice, reversals)
		}
		if greatest != hi-lo {
			t.Fatalf("greatest range %g, want %g", greatest, hi-lo)
		}
	})
}

func sign(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}
