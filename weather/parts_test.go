package weather

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every row is done once, however many processors there are.
func TestInParts(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, processors := range []int{1, 2, 3, 7} {
		runtime.GOMAXPROCS(processors)
		for _, n := range []int{0, 1, shortest, 2*shortest + 1, 8760} {
			done := make([]int, n)
			inParts(n, func(from, to int) {
				for i := from; i < to; i++ {
					done[i]++
				}
			})
			for i, times := range done {
				require.Equal(t, 1, times, "row %d of %d", i, n)
			}
		}
	}
}

// What goes wrong in any part is told to the caller, who may live on.
func TestInParts_Panics(t *testing.T) {
	for _, row := range []int{0, 8759} {
		assert.PanicsWithValue(t, row, func() {
			inParts(8760, func(from, to int) {
				if from <= row && row < to {
					panic(row)
				}
			})
		})
	}
}

// The sun is the same from one processor and from several, and whatever year was asked
// for before.
func TestSun_SameBitsInParts(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	runtime.GOMAXPROCS(1)
	suns := map[int]*Sun{}
	year := func(calendarYear int) *Year {
		return &Year{Site: Site{LatitudeDeg: 44.47, LongitudeDeg: -73.15, UTCOffsetH: -5}, CalendarYear: calendarYear, StepS: 3600,
			GHI: make([]float64, HoursInYear(calendarYear))}
	}
	for _, y := range []int{2024, 2025} {
		suns[y] = year(y).Sun()
	}
	runtime.GOMAXPROCS(3)
	for _, y := range []int{2025, 2024, 2025} {
		assert.Equal(t, suns[y], year(y).Sun())
	}
}
