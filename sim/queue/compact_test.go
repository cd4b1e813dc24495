package queue_test

import (
	"context"
	"errors"
	"iter"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/queue"
)

func TestCompact(t *testing.T) {
	t.Parallel()
	w := &tracker{before: func(_ context.Context, _ []byte, from, _ int) error {
		if from == 6 {
			return errors.New("broken")
		}
		return nil
	}}
	dir := t.TempDir()
	q := open(t, config(t, dir, w))
	s := submission("a", 11, 3)
	submit(t, q, s)
	finish(t, q, "a")
	assert.ErrorContains(t, q.Compact(soon(t), "a", func(iter.Seq2[queue.Part, error]) error { return errors.New("disk full") }), "disk full")
	assert.ErrorContains(t, q.Compact(soon(t), "a", func(parts iter.Seq2[queue.Part, error]) error {
		for range parts {
			break
		}
		return nil
	}), "only up to run 3", "a writer that stops early loses nothing")
	var written []queue.Part
	require.NoError(t, q.Compact(soon(t), "a", func(parts iter.Seq2[queue.Part, error]) error {
		for p, err := range parts {
			require.NoError(t, err)
			written = append(written, p)
		}
		return nil
	}))
	require.Len(t, written, 4)
	for i, p := range written {
		assert.Equal(t, 3*i, p.From)
	}
	_, results, _, err := q.Left(soon(t))
	require.NoError(t, err)
	assert.Zero(t, results)
	for range 2 {
		last := finish(t, q, "a")
		assert.True(t, last.Compacted)
		assert.Equal(t, []int{11, 3}, []int{last.Done, last.Failed}, "kept, also when opened again")
		for _, err := range q.Parts(soon(t), "a") {
			assert.ErrorIs(t, err, queue.ErrCompacted)
		}
		require.NoError(t, q.Compact(soon(t), "a", nil), "nothing left to do")
		q.Close()
		q = open(t, config(t, dir, w))
	}
}

// What is not complete is not compacted, and stays.
func TestCompactIncomplete(t *testing.T) {
	q := open(t, config(t, t.TempDir(), &tracker{}))
	submit(t, q, submission("a", 9, 3))
	finish(t, q, "a")
	require.NoError(t, q.LoseResult(soon(t), "a", 3))
	assert.ErrorContains(t, q.Compact(soon(t), "a", func(parts iter.Seq2[queue.Part, error]) error {
		for range parts {
		}
		return nil // does not look at errors
	}), "run 3 of a is missing")
	_, results, _, err := q.Left(soon(t))
	require.NoError(t, err)
	assert.EqualValues(t, 2, results)
}
