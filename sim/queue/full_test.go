package queue_test

import (
	"errors"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/queue"
)

// Each bound refuses what would pass it, keeps nothing of it, says when to come
// again, and takes it when there is room.
func TestFull(t *testing.T) {
	t.Parallel()
	for bound, c := range map[string]struct {
		bounds        queue.Bounds
		first, second queue.Submission
	}{
		"studies": {queue.Bounds{Studies: 1}, submission("a", 4, 2), submission("b", 4, 2)},
		"chunks":  {queue.Bounds{Chunks: 10}, submission("a", 14, 2), submission("b", 8, 2)},
		"results": {queue.Bounds{ResultBytes: 64 << 10}, sized("a", 1000, 40), sized("b", 1000, 40)},
		"inputs":  {queue.Bounds{InputBytes: 256 << 10}, filled("a", 120), filled("b", 120)},
	} {
		t.Run(bound, func(t *testing.T) {
			g := newGate(always)
			cfg := config(t, t.TempDir(), &g.tracker)
			cfg.Bounds = c.bounds
			q := open(t, cfg)
			submit(t, q, c.first)
			_, err := q.Submit(soon(t), c.second)
			var full *queue.FullError
			require.ErrorAs(t, err, &full)
			assert.Equal(t, bound, full.Bound)
			assert.GreaterOrEqual(t, full.RetryAfter, 5*time.Second)
			assert.LessOrEqual(t, full.RetryAfter, 10*time.Minute)
			assert.NotEmpty(t, full.Error())
			_, err = q.Status("b")
			assert.ErrorIs(t, err, queue.ErrUnknown)

			require.NoError(t, q.Delete(soon(t), "a"))
			q.Sweep(soon(t))
			close(g.open)
			submit(t, q, c.second)
			finish(t, q, "b")
			everyRunOnce(t, q, c.second)
		})
	}
}

func sized(id string, runs, runBytes int) queue.Submission {
	s := submission(id, runs, 100)
	s.RunBytes = runBytes
	return s
}

func filled(id string, kib int) queue.Submission {
	s := submission(id, 4, 2)
	s.Input = append(make([]byte, kib<<10), s.Input...)
	return s
}

// Results that turn out longer than was said fill their stream: the workers wait,
// nothing is lost, and the study goes on when there is room again.
func TestResultsWaitForRoom(t *testing.T) {
	w := &tracker{}
	cfg := config(t, t.TempDir(), w)
	cfg.Bounds.ResultBytes = 20_000
	q := open(t, cfg)
	a, b := submission("a", 1000, 100), submission("b", 2000, 100)
	b.RunBytes = 0
	submit(t, q, a)
	finish(t, q, "a")
	submit(t, q, b)
	for state, err := range q.Watch(soon(t), "b") {
		require.NoError(t, err)
		require.False(t, state.Final())
		if state.Done >= 1000 {
			break
		}
	}
	require.NoError(t, q.Delete(soon(t), "a"))
	assert.Zero(t, finish(t, q, "b").Failed)
	everyRunOnce(t, q, b)
	assert.Equal(t, 1, w.most())
	assert.False(t, errors.Is(q.Ready(), queue.ErrUnknown))
}
