package queue_test

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/queue"
)

func sleep(ctx context.Context, seconds float64) error {
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(time.Duration(seconds * float64(time.Second))):
		return nil
	}
}

// gate is work that waits at some chunks until it is let through.
type gate struct {
	tracker
	reached chan int // first run of a chunk that waits
	open    chan struct{}
}

func newGate(waits func(input []byte, from int) bool) *gate {
	g := &gate{reached: make(chan int, 1000), open: make(chan struct{})}
	g.before = func(ctx context.Context, input []byte, from, _ int) error {
		if !waits(input, from) {
			return nil
		}
		g.reached <- from
		select {
		case <-g.open:
			return nil
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return g
}

func always([]byte, int) bool { return true }

func TestCancel(t *testing.T) {
	g := newGate(func(_ []byte, from int) bool { return from >= 10 })
	q := open(t, config(t, t.TempDir(), &g.tracker))
	s := submission("a", 1000, 5)
	submit(t, q, s)
	<-g.reached // both workers are at it
	<-g.reached
	state, err := q.Cancel(soon(t), "a")
	require.NoError(t, err)
	assert.Equal(t, queue.Cancelled, state.State)
	last := finish(t, q, "a")
	assert.Equal(t, queue.Cancelled, last.State)
	assert.Equal(t, 10, last.Done)
	assert.False(t, last.Finished.IsZero())
	next := 0
	for p, err := range q.Parts(soon(t), "a") { // what there is can be read
		require.NoError(t, err)
		assert.Equal(t, part(s.Input, p.From, p.To), p.Data)
		next = p.To
	}
	assert.Equal(t, 10, next)
	work, results, _, err := q.Left(soon(t))
	require.NoError(t, err)
	assert.Equal(t, []uint64{0, 2}, []uint64{work, results})

	// The workers are free for others, and a second cancel changes nothing.
	b := submission("b", 10, 5)
	submit(t, q, b)
	finish(t, q, "b")
	everyRunOnce(t, q, b)
	state, err = q.Cancel(soon(t), "b")
	require.NoError(t, err)
	assert.Equal(t, queue.Done, state.State, "too late")
	assert.Error(t, q.Compact(soon(t), "a", nil), "not done")
}

func TestDelete(t *testing.T) {
	w := &tracker{}
	q := open(t, config(t, t.TempDir(), w))
	a, b := submission("a", 10, 5), submission("b", 10, 5)
	b.Input = a.Input
	submit(t, q, a)
	submit(t, q, b)
	finish(t, q, "a")
	finish(t, q, "b")
	require.NoError(t, q.Delete(soon(t), "a"))
	_, err := q.Status("a")
	assert.ErrorIs(t, err, queue.ErrUnknown)
	q.Sweep(soon(t))
	_, results, inputs, err := q.Left(soon(t))
	require.NoError(t, err)
	assert.Equal(t, []uint64{2, 1}, []uint64{results, inputs}, "b has the same input")
	everyRunOnce(t, q, b)
	require.NoError(t, q.Delete(soon(t), "b"))
	q.Sweep(soon(t))
	work, results, inputs, err := q.Left(soon(t))
	require.NoError(t, err)
	assert.Equal(t, []uint64{0, 0, 0}, []uint64{work, results, inputs})

	submit(t, q, a) // a new life
	finish(t, q, "a")
	everyRunOnce(t, q, a)
	assert.Equal(t, 3, w.computed["input of a 0-5"])
}

// A worker that is deaf to its context publishes into a life that is over: the
// next life does not see it, and it is swept.
func TestDeletedUnderAWorker(t *testing.T) {
	reached, let := make(chan struct{}, 10), make(chan struct{})
	cfg := config(t, t.TempDir(), &tracker{})
	cfg.Workers = 1
	var once sync.Once
	cfg.Work = func(_ context.Context, input []byte, from, to int) ([]byte, error) {
		late := false
		once.Do(func() {
			late = true
			reached <- struct{}{}
			<-let
		})
		if late {
			return []byte("of a life that is over"), nil
		}
		return part(input, from, to), nil
	}
	q := open(t, cfg)
	s := submission("a", 4, 2)
	submit(t, q, s)
	<-reached
	require.NoError(t, q.Delete(soon(t), "a"))
	submit(t, q, s)
	close(let)
	finish(t, q, "a")
	require.NoError(t, q.PublishLate(soon(t), "a", queue.Part{From: 0, To: 2, Data: []byte("even later")}))
	everyRunOnce(t, q, s)
	q.Sweep(soon(t))
	_, results, _, err := q.Left(soon(t))
	require.NoError(t, err)
	assert.EqualValues(t, 2, results)
}

func TestExpire(t *testing.T) {
	t.Parallel()
	g := newGate(func(input []byte, _ int) bool { return string(input) == "input of c" })
	q := open(t, config(t, t.TempDir(), &g.tracker))
	for _, id := range []string{"a", "b"} {
		submit(t, q, submission(id, 4, 2))
	}
	submit(t, q, submission("c", 2, 2)) // holds one worker of the two, not both
	finish(t, q, "a")
	finish(t, q, "b")
	ids, err := q.Expire(soon(t), time.Now().Add(-time.Hour))
	require.NoError(t, err)
	assert.Empty(t, ids)
	ids, err = q.Expire(soon(t), time.Now().Add(time.Hour))
	require.NoError(t, err)
	slices.Sort(ids)
	assert.Equal(t, []string{"a", "b"}, ids, "c still runs")
	require.Len(t, q.List(), 1)
	assert.Equal(t, "c", q.List()[0].ID)
}

// Results can be read while the study runs, in run order whatever order they came
// in.
func TestReadWhileRunning(t *testing.T) {
	g := newGate(func(_ []byte, from int) bool { return from == 0 })
	q := open(t, config(t, t.TempDir(), &g.tracker))
	s := submission("a", 40, 4)
	submit(t, q, s)
	for state, err := range q.Watch(soon(t), "a") {
		require.NoError(t, err)
		if state.Done == 36 {
			assert.Equal(t, queue.Running, state.State)
			break
		}
	}
	next := 4
	for p, err := range q.Parts(soon(t), "a") {
		require.NoError(t, err)
		require.Equal(t, next, p.From)
		next = p.To
	}
	assert.Equal(t, 40, next)
	close(g.open)
	finish(t, q, "a")
	everyRunOnce(t, q, s)
}

// Many at once: submitting, watching, reading, cancelling, deleting.
func TestManyAtOnce(t *testing.T) {
	q := open(t, config(t, t.TempDir(), &tracker{}))
	var all sync.WaitGroup
	for i := range 12 {
		all.Go(func() {
			s := submission(fmt.Sprintf("s%d", i), 30, 3)
			for range 2 { // the second time changes nothing
				if _, err := q.Submit(t.Context(), s); !assert.NoError(t, err) {
					return
				}
			}
			switch i % 3 {
			case 0:
				_, err := q.Cancel(t.Context(), s.ID)
				assert.NoError(t, err)
			case 1:
				assert.NoError(t, q.Delete(t.Context(), s.ID))
			}
			for _, err := range q.Watch(t.Context(), s.ID) {
				assert.True(t, err == nil || i%3 == 1, err)
			}
		})
	}
	all.Wait()
	for i := range 12 {
		state, err := q.Status(fmt.Sprintf("s%d", i))
		switch i % 3 {
		case 1:
			assert.ErrorIs(t, err, queue.ErrUnknown)
		case 2:
			assert.Equal(t, queue.Done, state.State)
			everyRunOnce(t, q, submission(state.ID, 30, 3))
		default:
			assert.True(t, state.Final())
		}
	}
}

// Closing gives back what the workers were at, and a crash leaves it to be called
// back: the next process takes it at once, whatever the patience with silent
// workers.
func TestEndInTheMiddle(t *testing.T) {
	t.Parallel()
	for name, end := range map[string]func(*queue.Queue){"close": (*queue.Queue).Close, "crash": (*queue.Queue).Crash} {
		t.Run(name, func(t *testing.T) {
			dir, g := t.TempDir(), newGate(always)
			cfg := config(t, dir, &g.tracker)
			cfg.AckWait = time.Hour
			q := open(t, cfg)
			s := submission("a", 10, 5)
			submit(t, q, s)
			<-g.reached
			<-g.reached
			watched := make(chan error)
			go func() {
				var last error
				for _, err := range q.Watch(t.Context(), "a") {
					last = err
				}
				watched <- last
			}()
			end(q)
			assert.Error(t, <-watched, "whoever watches is told")
			assert.Error(t, q.Ready())
			close(g.open)
			q = open(t, cfg)
			finish(t, q, "a")
			everyRunOnce(t, q, s)
		})
	}
}
