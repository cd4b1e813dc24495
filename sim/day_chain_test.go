package sim_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
)

// store is a bank whose voltage rises to the limit just as it is full, so that
// what it cannot take is curtailed.
const store = `{"bank":{"module":{"open_circuit_by_soc_v":[[0,3.4],[1,3.5]],"data_linked":{"voltage_v":56,"full_v":56,"full_a":0.001}}}}`

// Mathematics (cf. Moran's theory of storage): every day the store, of N days'
// use, gains one with probability p and else loses one, with spill and
// shortage; the fraction of days short is
//
//	(1 − p)(1 − ρ)/(1 − ρ^(N+1)), ρ = p/(1 − p); for p = .5: .5/(N + 1)
//
// The days here are the rows of twelve years: a load P, and sun of 2P or none.
// The simulator has to follow the chain day by day, and meet the formula within
// sampling error.
func TestDayChain(t *testing.T) {
	const years, rows, wh = 12, 8760, 100 * 55.2
	for _, c := range []struct {
		n     int
		p     float64
		short float64
	}{
		{1, .5, .25}, {5, .5, .083333}, {10, .5, .045455}, {5, .55, .042854}, {10, .55, .012358}, {2, .6, .084211}, {5, .6, .019248},
	} {
		rho := c.p / (1 - c.p)
		if c.p == .5 {
			require.InDelta(t, c.short, .5/float64(c.n+1), 1e-6)
		} else {
			require.InDelta(t, c.short, (1-c.p)*(1-rho)/(1-math.Pow(rho, float64(c.n+1))), 1e-6)
		}
		load := wh / float64(c.n)
		days := rand.New(rand.NewPCG(uint64(c.n), math.Float64bits(c.p)))
		var batches []float64
		for range years {
			good := make([]bool, rows)
			w := steady(0)
			for i := range good {
				if good[i] = days.Float64() < c.p; good[i] {
					w.PlaneWM2[i] = 2 * load / 10
				}
			}
			y := run(t, w, dc(w, load), ideal, store)
			dark := values(t, y, "downtime_fraction")
			held, sum := c.n, 0.
			for i := range good {
				want := 0.
				switch {
				case good[i]:
					held = min(held+1, c.n)
				case held > 0:
					held--
				default:
					want = 1
				}
				require.InDelta(t, want, dark[i], 1e-3, "N %d, p %g, day %d", c.n, c.p, i)
				if sum += float64(dark[i]); (i+1)%(rows/20) == 0 {
					batches, sum = append(batches, sum/(rows/20)), 0
				}
			}
		}
		mean, deviation := stat.MeanStdDev(batches, nil)
		within := 4 * stat.StdErr(deviation, float64(len(batches)))
		assert.Less(t, within, .5*c.short, "enough days to say anything")
		assert.InDelta(t, c.short, mean, within, "N %d, p %g", c.n, c.p)
	}
}
