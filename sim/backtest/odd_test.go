package backtest_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"bankyear/sim/backtest"
)

// Whatever was logged, the answer is finite.
func TestRun_OddLogs(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 25 {
		log := &backtest.Log{}
		step := math.Pow(10, rng.Float64()*6-1)
		scale := math.Pow(10, rng.Float64()*7-2)
		for i := range 20 + rng.IntN(60) {
			log.Seconds = append(log.Seconds, float64(i)*step)
			log.V = append(log.V, rng.Float64()*[]float64{0, 0.01, 60, 1500}[rng.IntN(4)])
			log.A = append(log.A, rng.NormFloat64()*scale)
			log.SolarW = append(log.SolarW, rng.Float64()*scale)
			log.LoadW = append(log.LoadW, rng.Float64()*[]float64{0, 1, 1e7}[rng.IntN(3)])
		}
		r := run(t, log, everything)
		for _, v := range r.Values {
			require.False(t, math.IsNaN(v.Value+v.Low+v.High) || math.IsInf(v.High-v.Low, 0), "%+v", v)
		}
		for _, f := range append(r.Stated, r.Fitted...) {
			require.False(t, math.IsNaN(f.Bias+f.RMS+f.WorstRMS), "%+v", f)
		}
	}
}
