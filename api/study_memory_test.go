package api

import (
	"context"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/media"
	"bankyear/api/tabular"
	"bankyear/sim/queue"
)

// counting counts what is written.
type counting int

func (c *counting) Write(b []byte) (int, error) {
	*c += counting(len(b))
	return len(b), nil
}

// heldNow is the memory that is in use, without what is only waiting to be freed.
func heldNow() uint64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// A table goes through queue, file, encoders and summary, and what is held does not
// grow on the way: the second half of it needs no more than the first. What a run
// costs is left out: its figures are drawn.
func TestStudies_BoundedMemory(t *testing.T) {
	const runs, bound, slack = 40_000, 56 << 20, 2 << 20
	columns := computedColumns()
	s := studying(t, t.TempDir(), func(c *StudiesConfig) {
		c.work = func(_ context.Context, _ []byte, from, to int) ([]byte, error) {
			draw := rand.New(rand.NewPCG(uint64(from), 1))
			b := tabular.New(columns, to-from)
			for i := range columns {
				for r := range b.Rows {
					if b.Numbers[i] != nil {
						b.Numbers[i][r] = float64(draw.IntN(1e9)) / 1e6
					} else if i == hashColumn {
						b.Texts[i][r] = "drawn"
					}
				}
			}
			return tabular.EncodePart(b), nil
		}
	})
	x := readOf(t, studyOf(t, complete(t), `{"kind":"ensemble","axes":[{"path":"bank.modules","numbers":[1,2,3,4,5]}],"chance":{"seed_paths":["bank.link_faults.seed"],"per_year":8000}}`))
	require.Equal(t, runs, x.Plan.Runs())
	table := 8 * runs * len(columns)
	require.Greater(t, table/2, 6*slack, "else nothing is shown")
	bundle, err := x.bundle(s.pieces())
	require.NoError(t, err)
	before := heldNow()
	_, err = s.desk().queue.Submit(t.Context(), queue.Submission{ID: "s-0", Label: labelOf(x), Input: bundle, Runs: runs, ChunkRuns: x.mostChunkRuns(), RunBytes: x.runBytes()})
	require.NoError(t, err)
	s.desk().mind("s-0")
	a := finished(t, s, "s-0")
	assert.Equal(t, runs, a.Summary.Runs)
	require.Len(t, a.Summary.Candidates, 5)
	assert.Equal(t, 8_000, a.Summary.Candidates[2].Figures[0].Members)
	for _, mediaType := range []string{media.Parquet, media.CSV, media.Lines} {
		var c counting
		w := NewRunsWriter(&c, mediaType, x.Columns(), nil)
		rows, held := 0, [2]uint64{} // in the first half and in the second
		for b, err := range s.desk().blocks(t.Context(), "s-0", x, x.Columns(), 0) {
			require.NoError(t, err)
			require.NoError(t, w.Write(b))
			half := min(2*rows/runs, 1)
			held[half] = max(held[half], heldNow())
			rows += b.Rows
		}
		require.NoError(t, w.Close())
		assert.Equal(t, runs, rows)
		assert.Greater(t, int(c), table/8, "the whole table")
		assert.Less(t, held[1], held[0]+slack, mediaType)
		assert.Less(t, held[1], before+bound, mediaType)
	}
}
