package queue_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/queue"
)

// A submission that is cut short: without its input it never was; with it, it is
// completed. Asked again, it is taken from where it stands.
func TestSubmissionCutShort(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ withInput, again bool }{"without input": {}, "with input": {withInput: true}, "asked again": {again: true}} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			q := open(t, config(t, dir, &tracker{}))
			s := submission("a", 10, 2)
			require.NoError(t, q.Interrupt(soon(t), s, c.withInput))
			if !c.again {
				q.Close()
				q = open(t, config(t, dir, &tracker{}))
			} else {
				submit(t, q, s)
			}
			stored, err := q.Stored(soon(t))
			require.NoError(t, err)
			if !c.withInput && !c.again {
				_, err := q.Status("a")
				assert.ErrorIs(t, err, queue.ErrUnknown)
				assert.Zero(t, stored, "half an input")
				submit(t, q, s)
			}
			finish(t, q, "a")
			everyRunOnce(t, q, s)
			require.NoError(t, q.Delete(soon(t), "a"))
			q.Sweep(soon(t))
			stored, err = q.Stored(soon(t))
			require.NoError(t, err)
			assert.Zero(t, stored, "no marker of what was")
		})
	}
}
