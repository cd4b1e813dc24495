package sim_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// In a linear system (constant efficiency, no generator, no cut-off delay, no
// temperature effect) the unserved energy is the optimum of a linear programme
// whose right-hand side holds array and storage: convex in both together, and never
// more with more of either (iso-reliability curves are convex: mathematics; cf.
// Egido & Lorenzo 1992, from memory). Checked on a grid: each value against the
// recursion
//
//	q' = min(max(q + array·sun − load, 0), storage)
//
// and neighbours along both axes and both diagonals against each other.
func TestLinearBankIsConvex(t *testing.T) {
	const (
		loadW  = 400.
		wh     = 55.2 // of an ampere-hour: the mean of 54.4 and 56 V
		points = 6
	)
	draw := rand.New(rand.NewPCG(11, 25))
	clear := 0.
	w := steady(0)
	for i := range w.PlaneWM2 {
		if i%24 == 0 {
			season := .6 - .35*math.Cos(2*math.Pi*float64(i)/8760)
			clear = season * (.2 + .8*draw.Float64())
		}
		w.PlaneWM2[i] = 1000 * clear * max(0, math.Sin(math.Pi*(float64(i%24)-5.5)/13))
	}
	arrays, storages := make([]float64, points), make([]float64, points)
	got, want := make([][]float64, points), make([][]float64, points)
	for a := range points {
		arrays[a] = 1.6 + .7*float64(a) // kW, even steps
		for s := range points {
			storages[s] = 60 + 90*float64(s) // Ah, even steps
			y := run(t, w, dc(w, loadW), ideal, store, patch(`{"array":{"planes":{"roof":{"rated_kw":%g}}},"bank":{"module":{"capacity_ah":%g}}}`, arrays[a], storages[s]))
			got[a] = append(got[a], y.Figures.UnservedKWh)
			most := storages[s] * wh
			held, missing := most, 0.
			for _, sun := range w.PlaneWM2 {
				held += arrays[a]*sun - loadW
				if held < 0 {
					missing, held = missing-held, 0
				}
				held = min(held, most)
			}
			want[a] = append(want[a], missing/1000)
			// A bank that comes back at .1 % serves in spells what the recursion serves
			// evenly: it holds back that much at a time.
			assert.InDelta(t, want[a][s], got[a][s], .0005*want[a][s]+.2, "%g kW, %g Ah", arrays[a], storages[s])
		}
	}
	require.Greater(t, got[0][0], 3*got[points-1][points-1]+100, "the grid reaches from short to ample")
	const slack = .5 // kWh of a year: what the spells leave
	for a := range points {
		for s := range points {
			for _, step := range [][2]int{{0, 1}, {1, 0}, {1, 1}, {1, -1}} {
				b, c := [2]int{a + step[0], s + step[1]}, [2]int{a + 2*step[0], s + 2*step[1]}
				if b[0] >= points || b[1] < 0 || b[1] >= points {
					continue
				}
				if step[1] >= 0 {
					assert.LessOrEqual(t, got[b[0]][b[1]], got[a][s]+slack, "more is never worse: from %g kW, %g Ah by %v", arrays[a], storages[s], step)
				}
				if c[0] >= points || c[1] < 0 || c[1] >= points {
					continue
				}
				assert.GreaterOrEqual(t, got[a][s]-2*got[b[0]][b[1]]+got[c[0]][c[1]], -2*slack, "convex around %g kW, %g Ah by %v", arrays[b[0]], storages[b[1]], step)
			}
		}
	}
}
