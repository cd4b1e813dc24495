package sim_test

import (
	"encoding/json"
	"runtime"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// bytesOf is a year with its hours as bytes.
func bytesOf(t *testing.T, y *sim.Year) string {
	figures, err := json.Marshal(y)
	require.NoError(t, err)
	months, err := json.Marshal(y.Months())
	require.NoError(t, err)
	hours, err := json.Marshal(y.Hours)
	require.NoError(t, err)
	return string(figures) + string(months) + string(hours)
}

// The same plan gives the same bytes: again, compiled anew, by many goroutines
// at once on one processor and on two.
func TestSameBytes(t *testing.T) {
	for name, patches := range stations {
		p := plan(t, patches...)
		first := bytesOf(t, p.Run(true))
		require.Equal(t, first, bytesOf(t, p.Run(true)), name)
		require.Equal(t, first, bytesOf(t, plan(t, patches...).Run(true)), name)
		for _, processors := range []int{1, 2} {
			before := runtime.GOMAXPROCS(processors)
			years := make([]*sim.Year, 4)
			var all sync.WaitGroup
			for i := range years {
				all.Go(func() { years[i] = p.Run(true) })
			}
			all.Wait()
			runtime.GOMAXPROCS(before)
			for _, y := range years {
				require.Equal(t, first, bytesOf(t, y), "%s on %d processors", name, processors)
			}
		}
	}
}

// Hours change nothing in the figures.
func TestHoursChangeNothing(t *testing.T) {
	p := plan(t)
	with, without := p.Run(true), p.Run(false)
	with.Hours, with.Outages, with.Incidents, with.Decisions, without.Outages = nil, nil, nil, nil, nil // these are listed only beside hours
	require.Equal(t, bytesOf(t, without), bytesOf(t, with))
}
