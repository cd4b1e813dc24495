package queue_test

import (
	"context"
	"errors"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/queue"
)

// A worker that dies between computing, publishing and acknowledging: the study is
// completed by another, every run is there once. Computed again is only what had
// no result.
func TestWorkerDies(t *testing.T) {
	t.Parallel()
	for _, point := range queue.Failpoints {
		t.Run(point, func(t *testing.T) {
			w := &tracker{before: func(ctx context.Context, _ []byte, _, _ int) error { return sleep(ctx, .1) }}
			cfg := config(t, t.TempDir(), w)
			cfg.Workers = 3
			cfg.AckWait = 300 * time.Millisecond // the study takes longer
			q, err := queue.Prepare(soon(t), cfg)
			require.NoError(t, err)
			t.Cleanup(q.Close)
			var mu sync.Mutex
			deaths := 0
			q.FailAt(func(at, subject string) bool {
				mu.Lock()
				defer mu.Unlock()
				if at == point && deaths < 2 { // the third worker lives on
					deaths++
					return true
				}
				return false
			})
			q.Start()
			s := submission("a", 60, 5)
			submit(t, q, s)
			last := finish(t, q, "a")
			assert.Equal(t, queue.Done, last.State)
			assert.Zero(t, last.Failed)
			assert.Equal(t, 2, deaths, "the failpoint was reached")
			everyRunOnce(t, q, s)
			again := 0
			for _, n := range w.computed {
				again += n - 1
			}
			if point == "computed" {
				assert.Equal(t, 2, again)
			} else {
				assert.Zero(t, again, "what has a result is not computed again")
			}
		})
	}
}

// A second result of a chunk is refused for good, whatever it says.
func TestSecondResultIsRefused(t *testing.T) {
	q := open(t, config(t, t.TempDir(), &tracker{}))
	s := submission("a", 10, 5)
	submit(t, q, s)
	finish(t, q, "a")
	refused, err := q.Publish(soon(t), "a", queue.Part{From: 5, To: 10, Data: []byte("late")})
	require.NoError(t, err)
	assert.True(t, refused)
	everyRunOnce(t, q, s)
}

// Work that is lost, because whoever submitted it died or its server forgot it, is
// put back when the streams are looked at.
func TestLostWorkIsPublishedAgain(t *testing.T) {
	dir, w := t.TempDir(), &tracker{}
	cfg := config(t, dir, w)
	cfg.Workers = 0
	q := open(t, cfg)
	s := submission("a", 40, 4)
	submit(t, q, s)
	refused, err := q.Publish(soon(t), "a", queue.Part{From: 8, To: 12, Data: part(s.Input, 8, 12)})
	require.NoError(t, err)
	assert.False(t, refused)
	require.NoError(t, q.LoseWork(soon(t), "a"))
	work, _, _, err := q.Left(soon(t))
	require.NoError(t, err)
	require.Zero(t, work)
	q.Settle(soon(t))
	work, _, _, err = q.Left(soon(t))
	require.NoError(t, err)
	assert.EqualValues(t, 9, work, "all but the chunk that has a result")
	q.Close()

	q = open(t, config(t, dir, w))
	finish(t, q, "a")
	everyRunOnce(t, q, s)
	assert.Len(t, w.computed, 9)
}

func part(input []byte, from, to int) []byte {
	var out []byte
	for i := from; i < to; i++ {
		out = append(out, runBytes(input, i)...)
	}
	return out
}

// Chunks that fail are tried again; in the end they have a result that says why,
// and the study is done all the same.
func TestFailedChunk(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		fail func() error
		want string
	}{
		"error": {func() error { return errors.New("no such\nsky") }, "no such\nsky"},
		"panic": {func() error { panic("index out of range") }, "panic: index out of range"},
		"long":  {func() error { return errors.New(strings.Repeat("x", 5000)) }, strings.Repeat("x", 1000) + "…"},
	} {
		t.Run(name, func(t *testing.T) {
			var mu sync.Mutex
			tries := 0
			w := &tracker{before: func(_ context.Context, _ []byte, from, _ int) error {
				if from != 3 {
					return nil
				}
				mu.Lock()
				tries++
				mu.Unlock()
				return c.fail()
			}}
			q := open(t, config(t, t.TempDir(), w))
			submit(t, q, submission("a", 9, 3))
			last := finish(t, q, "a")
			assert.Equal(t, queue.Done, last.State)
			assert.Equal(t, 9, last.Done)
			assert.Equal(t, 3, last.Failed)
			assert.Equal(t, 3, tries)
			var parts []queue.Part
			for p, err := range q.Parts(soon(t), "a") {
				require.NoError(t, err)
				parts = append(parts, p)
			}
			require.Len(t, parts, 3)
			assert.Equal(t, queue.Part{From: 3, To: 6, Failed: c.want}, parts[1])
			assert.Empty(t, parts[0].Failed+parts[2].Failed)
		})
	}
}

// An error that passes leaves no trace.
func TestErrorThatPasses(t *testing.T) {
	t.Parallel()
	var mu sync.Mutex
	tries := map[int]int{}
	w := &tracker{before: func(_ context.Context, _ []byte, from, _ int) error {
		mu.Lock()
		defer mu.Unlock()
		if tries[from]++; tries[from] == 1 {
			return errors.New("not now")
		}
		return nil
	}}
	q := open(t, config(t, t.TempDir(), w))
	s := submission("a", 6, 3)
	submit(t, q, s)
	assert.Zero(t, finish(t, q, "a").Failed)
	everyRunOnce(t, q, s)
}

// A result that is too long for a message is a failure, not a loop.
func TestResultTooLong(t *testing.T) {
	t.Parallel()
	cfg := config(t, t.TempDir(), &tracker{})
	cfg.Work = func(context.Context, []byte, int, int) ([]byte, error) {
		return make([]byte, queue.MostPartBytes+1), nil
	}
	q := open(t, cfg)
	submit(t, q, submission("a", 1, 1))
	assert.Equal(t, 1, finish(t, q, "a").Failed)
	cfg = config(t, t.TempDir(), &tracker{})
	cfg.Work = func(context.Context, []byte, int, int) ([]byte, error) { return make([]byte, queue.MostPartBytes), nil }
	q = open(t, cfg)
	submit(t, q, submission("a", 1, 1))
	assert.Zero(t, finish(t, q, "a").Failed)
}

// A chunk that outlasts the patience of the server is kept by its beats.
func TestSlowChunkIsKept(t *testing.T) {
	t.Parallel()
	var begun atomic.Int32
	w := &tracker{before: func(ctx context.Context, _ []byte, from, _ int) error {
		begun.Add(1)
		return sleep(ctx, 1)
	}}
	cfg := config(t, t.TempDir(), w)
	cfg.Workers, cfg.AckWait = 3, 300*time.Millisecond // one worker more than chunks
	q := open(t, cfg)
	submit(t, q, submission("a", 2, 1))
	finish(t, q, "a")
	assert.EqualValues(t, 2, begun.Load())
}
