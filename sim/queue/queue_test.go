package queue_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"log/slog"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/queue"
)

// patience ends a test that hangs; nothing is asserted about time.
const patience = 50 * time.Second

func soon(t testing.TB) context.Context {
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	t.Cleanup(cancel)
	return ctx
}

// runBytes is what run i of a study gives: eight bytes that follow from its input
// and number.
func runBytes(input []byte, i int) []byte {
	h := fnv.New64a()
	h.Write(input)
	fmt.Fprint(h, i)
	return h.Sum(nil)
}

// tracker is work that keeps count of the runs that it computed.
type tracker struct {
	mu       sync.Mutex
	computed map[string]int // chunk by input and runs → times
	inputs   []string       // in the order of the chunks
	before   func(ctx context.Context, input []byte, from, to int) error
}

func (w *tracker) work(ctx context.Context, input []byte, from, to int) ([]byte, error) {
	if w.before != nil {
		if err := w.before(ctx, input, from, to); err != nil {
			return nil, err
		}
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.computed == nil {
		w.computed = map[string]int{}
	}
	w.computed[fmt.Sprintf("%s %d-%d", input, from, to)]++
	w.inputs = append(w.inputs, string(input))
	var out []byte
	for i := from; i < to; i++ {
		out = append(out, runBytes(input, i)...)
	}
	return out, nil
}

func (w *tracker) most() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	most := 0
	for _, n := range w.computed {
		most = max(most, n)
	}
	return most
}

func config(t testing.TB, dir string, w *tracker) queue.Config {
	return queue.Config{
		Dir: dir, Engine: "bankyear-1 amd64/v1", Work: w.work, Workers: 2, AckWait: time.Second,
		Log: slog.New(slog.NewTextHandler(logWriter{t}, nil)),
	}
}

// logWriter puts the log of a queue into that of its test, for a failure.
type logWriter struct{ t testing.TB }

func (w logWriter) Write(line []byte) (int, error) {
	if w.t.Context().Err() == nil { // the last lines may come after the test
		w.t.Log(string(bytes.TrimSpace(line)))
	}
	return len(line), nil
}

func open(t testing.TB, cfg queue.Config) *queue.Queue {
	q, err := queue.Open(soon(t), cfg)
	require.NoError(t, err)
	t.Cleanup(q.Close)
	return q
}

func submission(id string, runs, chunk int) queue.Submission {
	return queue.Submission{ID: id, Label: "Label of " + id, Input: []byte("input of " + id), Runs: runs, ChunkRuns: chunk, RunBytes: 8}
}

func submit(t testing.TB, q *queue.Queue, s queue.Submission) {
	_, err := q.Submit(soon(t), s)
	require.NoError(t, err)
}

// finish waits until a study is final, and returns how it ended.
func finish(t testing.TB, q *queue.Queue, id string) queue.Status {
	var last queue.Status
	for s, err := range q.Watch(soon(t), id) {
		require.NoError(t, err)
		require.GreaterOrEqual(t, s.Done, last.Done, "results do not get fewer")
		last = s
	}
	return last
}

// everyRunOnce holds the results of a study against what each run gives: every run
// once, none lost, in order.
func everyRunOnce(t testing.TB, q *queue.Queue, s queue.Submission) {
	var got []byte
	next := 0
	for p, err := range q.Parts(soon(t), s.ID) {
		require.NoError(t, err)
		require.Empty(t, p.Failed)
		require.Equal(t, next, p.From)
		next = p.To
		got = append(got, p.Data...)
	}
	require.Equal(t, s.Runs, next)
	require.Len(t, got, 8*s.Runs)
	for i := range s.Runs {
		want := binary.BigEndian.Uint64(runBytes(s.Input, i))
		require.Equal(t, want, binary.BigEndian.Uint64(got[8*i:]), "run %d", i)
	}
}

func TestStudyRuns(t *testing.T) {
	w := &tracker{}
	q := open(t, config(t, t.TempDir(), w))
	s := submission("sweep-1", 1003, 50)
	first, err := q.Submit(soon(t), s)
	require.NoError(t, err)
	assert.Equal(t, "Label of sweep-1", first.Label)
	assert.Equal(t, 1003, first.Runs)
	assert.False(t, first.Created.IsZero())

	last := finish(t, q, s.ID)
	assert.Equal(t, queue.Done, last.State)
	assert.Equal(t, 1003, last.Done)
	assert.Zero(t, last.Failed)
	assert.False(t, last.Finished.Before(last.Created))
	everyRunOnce(t, q, s)
	assert.Len(t, w.computed, 21, "twenty chunks of 50 and one of 3")
	assert.Equal(t, 1, w.most())

	input, err := q.Input(soon(t), s.ID)
	require.NoError(t, err)
	assert.Equal(t, s.Input, input)
	work, results, inputs, err := q.Left(soon(t))
	require.NoError(t, err)
	assert.Equal(t, []uint64{0, 21, 1}, []uint64{work, results, inputs})
	assert.NoError(t, q.Ready())
}

// The same submission again costs nothing; another under its name is refused.
func TestSubmittedAgain(t *testing.T) {
	w := &tracker{}
	q := open(t, config(t, t.TempDir(), w))
	s := submission("a", 10, 5)
	submit(t, q, s)
	finish(t, q, "a")
	again, err := q.Submit(soon(t), s)
	require.NoError(t, err)
	assert.Equal(t, queue.Done, again.State)
	assert.Equal(t, 10, again.Done)
	assert.Equal(t, 1, w.most())
	for _, spoil := range []func(s *queue.Submission){
		func(s *queue.Submission) { s.Input = []byte("other") },
		func(s *queue.Submission) { s.Runs++ },
		func(s *queue.Submission) { s.ChunkRuns++ },
	} {
		other := s
		spoil(&other)
		_, err := q.Submit(soon(t), other)
		assert.ErrorIs(t, err, queue.ErrDiffers)
	}
	assert.Len(t, q.List(), 1)
}

func TestSubmissionThatIsNotAllowed(t *testing.T) {
	q := open(t, config(t, t.TempDir(), &tracker{}))
	for name, spoil := range map[string]func(s *queue.Submission){
		"no name":          func(s *queue.Submission) { s.ID = "" },
		"a dot":            func(s *queue.Submission) { s.ID = "a.b" },
		"a wildcard":       func(s *queue.Submission) { s.ID = "*" },
		"a long name":      func(s *queue.Submission) { s.ID = string(bytes.Repeat([]byte("a"), 65)) },
		"no runs":          func(s *queue.Submission) { s.Runs = 0 },
		"no chunk":         func(s *queue.Submission) { s.ChunkRuns = 0 },
		"a chunk too long": func(s *queue.Submission) { s.ChunkRuns = queue.MostChunkRuns + 1 },
	} {
		s := submission("a", 1, 1)
		spoil(&s)
		assert.Panics(t, func() { _, _ = q.Submit(soon(t), s) }, name)
	}
	_, err := q.Status("a")
	assert.ErrorIs(t, err, queue.ErrUnknown)
	_, err = q.Cancel(soon(t), "a")
	assert.ErrorIs(t, err, queue.ErrUnknown)
	assert.ErrorIs(t, q.Delete(soon(t), "a"), queue.ErrUnknown)
	_, err = q.Input(soon(t), "a")
	assert.ErrorIs(t, err, queue.ErrUnknown)
	for _, err := range q.Watch(soon(t), "a") {
		assert.ErrorIs(t, err, queue.ErrUnknown)
	}
	for _, err := range q.Parts(soon(t), "a") {
		assert.ErrorIs(t, err, queue.ErrUnknown)
	}
	assert.Panics(t, func() { _, _ = queue.Open(soon(t), queue.Config{Engine: "x"}) }, "neither Dir nor URL")
	assert.Panics(t, func() { _, _ = queue.Open(soon(t), queue.Config{Dir: t.TempDir(), Engine: "x", Workers: 1}) }, "workers without work")
}

// One process at a time may have the files.
func TestDirIsLocked(t *testing.T) {
	dir := t.TempDir()
	open(t, config(t, dir, &tracker{}))
	_, err := queue.Open(soon(t), config(t, dir, &tracker{}))
	assert.ErrorContains(t, err, "in use")
}

func TestChunkRuns(t *testing.T) {
	for run, want := range map[time.Duration]int{0: 1024, time.Microsecond: 1024, 500 * time.Microsecond: 1024, time.Millisecond: 1000, 3 * time.Millisecond: 333, time.Minute: 1} {
		assert.Equal(t, want, queue.ChunkRuns(1_000_000, run), run)
	}
	for runs, want := range map[int]int{1: 1, 16: 1, 17: 2, 10_000: 625} {
		assert.Equal(t, want, queue.ChunkRuns(runs, 500*time.Microsecond), runs)
	}
}

// Ten runs each second. Two workers whose first chunks arrive together have taken a second
// for them; a study that has had many arrivals goes by the latest of them alone.
func TestRate(t *testing.T) {
	at := func(s float64) time.Time { return time.Unix(1000, 0).Add(time.Duration(s * float64(time.Second))) }
	rate, left := queue.RateOf(10, 100, at(-1), at(4), at(0), at(1), at(2), at(3), at(4))
	assert.InDelta(t, 10, rate, 1e-9)
	assert.Equal(t, 5*time.Second, left)
	rate, _ = queue.RateOf(10, 100, at(-1), at(9), at(0), at(1), at(2), at(3), at(4))
	assert.InDelta(t, 5, rate, 1e-9, "nothing for five seconds")
	rate, left = queue.RateOf(10, 100, at(-1), at(0.001), at(0), at(0.001))
	assert.InDelta(t, 20, rate, .1)
	assert.InDelta(t, 4, left.Seconds(), .1)
	var many []time.Time
	for i := range 200 {
		many = append(many, at(float64(i)))
	}
	rate, _ = queue.RateOf(10, 10_000, at(-5000), at(199), many...)
	assert.InDelta(t, 10, rate, 1e-9, "it had waited")
}
