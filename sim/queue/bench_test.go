package queue_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"bankyear/sim/queue"
)

// trivial is work of no time: what is measured is the queue.
func trivial(_ context.Context, _ []byte, from, to int) ([]byte, error) {
	return make([]byte, 64*(to-from)), nil
}

func benchmark(b *testing.B, runs, chunk int) {
	q, err := queue.Open(b.Context(), queue.Config{Dir: b.TempDir(), Engine: "e", Work: trivial, Workers: 2})
	require.NoError(b, err)
	defer q.Close()
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		s := submission(fmt.Sprintf("s%d", n), runs, chunk)
		n++
		submit(b, q, s)
		finish(b, q, s.ID)
	}
	b.ReportMetric(float64(n*runs/chunk)/b.Elapsed().Seconds(), "chunks/s")
	b.ReportMetric(float64(n*runs)/b.Elapsed().Seconds(), "runs/s")
}

// A study of 10,000 runs in ten chunks, submission to end, every write synced.
func BenchmarkTenThousandRuns(b *testing.B) { benchmark(b, 10_000, 1000) }

// Chunks of one run: what a chunk costs.
func BenchmarkChunks(b *testing.B) { benchmark(b, 500, 1) }

// One worker and two, on work of about half a millisecond a run: 2,000 runs.
func BenchmarkWorkers(b *testing.B) {
	busy := func(_ context.Context, input []byte, from, to int) ([]byte, error) {
		var out []byte
		for i := from; i < to; i++ {
			sum := runBytes(input, i)
			for range 2500 {
				sum = runBytes(sum, i)
			}
			out = append(out, sum...)
		}
		return out, nil
	}
	for workers := 1; workers <= 2; workers++ {
		b.Run(fmt.Sprint(workers), func(b *testing.B) {
			q, err := queue.Open(b.Context(), queue.Config{Dir: b.TempDir(), Engine: "e", Work: busy, Workers: workers})
			require.NoError(b, err)
			defer q.Close()
			n := 0
			for b.Loop() {
				s := submission(fmt.Sprintf("s%d", n), 2000, queue.ChunkRuns(2000, 500_000))
				n++
				submit(b, q, s)
				finish(b, q, s.ID)
			}
			b.ReportMetric(float64(2000*n)/b.Elapsed().Seconds(), "runs/s")
		})
	}
}

// Opening a queue that holds a study of 2,000 chunks.
func BenchmarkOpen(b *testing.B) {
	cfg := queue.Config{Dir: b.TempDir(), Engine: "e", Work: trivial, Workers: 2}
	q, err := queue.Open(b.Context(), cfg)
	require.NoError(b, err)
	submit(b, q, submission("a", 2000, 1))
	finish(b, q, "a")
	q.Close()
	for b.Loop() {
		q, err := queue.Open(b.Context(), cfg)
		require.NoError(b, err)
		q.Close()
	}
}

// Reading the results of a million runs of 64 bytes, in run order.
func BenchmarkCompact(b *testing.B) {
	q, err := queue.Open(b.Context(), queue.Config{Dir: b.TempDir(), Engine: "e", Work: trivial, Workers: 2})
	require.NoError(b, err)
	defer q.Close()
	s := submission("a", 1_000_000, 1024)
	submit(b, q, s)
	finish(b, q, s.ID)
	b.ReportAllocs()
	for b.Loop() {
		runs := 0
		for p, err := range q.Parts(b.Context(), s.ID) {
			require.NoError(b, err)
			runs += p.To - p.From
		}
		require.Equal(b, s.Runs, runs)
	}
}
