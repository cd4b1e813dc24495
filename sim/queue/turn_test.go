package queue_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/queue"
)

// A short study that comes after a long one gets every other chunk.
func TestStudiesTakeTurns(t *testing.T) {
	w := &tracker{}
	cfg := config(t, t.TempDir(), w)
	cfg.Workers = 1
	q, err := queue.Prepare(soon(t), cfg)
	require.NoError(t, err)
	t.Cleanup(q.Close)
	long, short, third := submission("long", 90, 1), submission("short", 10, 1), submission("third", 10, 1)
	for _, s := range []queue.Submission{long, short, third} {
		submit(t, q, s)
	}
	q.Start()
	finish(t, q, "short")
	finish(t, q, "third")
	w.mu.Lock()
	order := slices.Clone(w.inputs)
	w.mu.Unlock()
	last := max(slices.Index(reversed(order), "input of short"), slices.Index(reversed(order), "input of third"))
	place := len(order) - last
	assert.LessOrEqual(t, place, 3*10+3, "done after as many rounds as it has chunks")
	finish(t, q, "long")
	everyRunOnce(t, q, long)
	everyRunOnce(t, q, short)
	everyRunOnce(t, q, third)
}

func reversed(list []string) []string {
	list = slices.Clone(list)
	slices.Reverse(list)
	return list
}

// Studies of another engine wait for a worker of theirs, and are told apart.
func TestEnginesDoNotMix(t *testing.T) {
	dir, w := t.TempDir(), &tracker{}
	cfg := config(t, dir, w)
	cfg.Workers = 0
	q := open(t, cfg)
	s := submission("a", 10, 2)
	submit(t, q, s)
	q.Close()

	newer := config(t, dir, &tracker{})
	newer.Engine = "bankyear-2 amd64/v1"
	q = open(t, newer)
	b := submission("b", 10, 2)
	submit(t, q, b)
	finish(t, q, "b")
	state, err := q.Status("a")
	require.NoError(t, err)
	assert.Equal(t, queue.Queued, state.State)
	assert.Equal(t, "bankyear-1 amd64/v1", state.Engine)
	_, err = q.Submit(soon(t), s)
	assert.ErrorIs(t, err, queue.ErrDiffers, "its results would be another engine's")
	q.Close()

	q = open(t, config(t, dir, w))
	finish(t, q, "a")
	everyRunOnce(t, q, s)
	everyRunOnce(t, q, b)
}
