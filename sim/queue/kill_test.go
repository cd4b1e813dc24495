package queue_test

import (
	"math/rand/v2"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/queue"
)

// The service inside this process crashes at random instants and is opened again:
// every run is there once, none lost.
func TestCrashesAtRandom(t *testing.T) {
	t.Parallel()
	draw := rand.New(rand.NewPCG(20, 26))
	dir := t.TempDir()
	cfg := config(t, dir, &tracker{})
	cfg.AckWait = 300 * time.Millisecond
	cfg.Work = slow
	studies := []queue.Submission{submission("a", 150, 3), submission("b", 100, 2), submission("c", 50, 1)}
	crashes := 0
	for done := false; !done; {
		q, err := queue.Open(soon(t), cfg)
		require.NoError(t, err)
		var watching sync.WaitGroup
		ended := make(chan struct{})
		watching.Go(func() {
			defer close(ended)
			for _, s := range studies {
				if _, err := q.Submit(t.Context(), s); err != nil {
					return
				}
			}
			for _, s := range studies {
				for _, err := range q.Watch(t.Context(), s.ID) {
					if err != nil {
						return
					}
				}
			}
			done = true
		})
		if crashes < 5 {
			time.Sleep(time.Duration(draw.IntN(300)) * time.Millisecond)
			crashes++
			q.Crash()
			watching.Wait()
			continue
		}
		<-ended
		require.True(t, done)
		q.Close()
	}
	assert.Positive(t, crashes)
	cfg.Workers = 0
	q := open(t, cfg)
	for _, s := range studies {
		state, err := q.Status(s.ID)
		require.NoError(t, err)
		assert.Equal(t, queue.Done, state.State)
		assert.Equal(t, []int{s.Runs, 0}, []int{state.Done, state.Failed})
		everyRunOnce(t, q, s)
	}
}

// The whole process is killed at random instants of a study.
func TestProcessKilledAtRandom(t *testing.T) {
	t.Parallel()
	draw := rand.New(rand.NewPCG(7, 11))
	dir := t.TempDir()
	const runs = 1500 // 500 chunks of 8 ms on two workers
	kills, most := 0, 0
	for {
		p := start(t, "service", "DIR="+dir, "RUNS="+strconv.Itoa(runs))
		if kills < 6 {
			time.AfterFunc(time.Duration(100+draw.IntN(400))*time.Millisecond, func() { _ = p.cmd.Process.Kill() })
			kills++
		}
		for p.lines.Scan() {
			done, err := strconv.Atoi(p.lines.Text())
			require.NoError(t, err)
			most = max(most, done)
		}
		if p.cmd.Wait() == nil {
			break
		}
	}
	assert.Equal(t, runs, most)
	assert.Equal(t, 6, kills, "all in mid-study")
	q := open(t, queue.Config{Dir: dir, Engine: "e"})
	state, err := q.Status("killed")
	require.NoError(t, err)
	assert.Equal(t, queue.Done, state.State)
	assert.Zero(t, state.Failed)
	everyRunOnce(t, q, submission("killed", runs, 3))
}

// A chunk that kills whoever computes it ends as a failed result, not in a loop.
func TestPoisonedChunk(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	starts := 0
	for {
		p := start(t, "poisoned", "DIR="+dir, "RUNS=30")
		starts++
		for p.lines.Scan() {
		}
		if p.cmd.Wait() == nil {
			break
		}
		require.Less(t, starts, 5*queue.MostTries, "a loop")
	}
	assert.Equal(t, queue.MostTries+1, starts)
	q := open(t, queue.Config{Dir: dir, Engine: "e"})
	state, err := q.Status("killed")
	require.NoError(t, err)
	assert.Equal(t, queue.Done, state.State)
	assert.Equal(t, []int{30, 3}, []int{state.Done, state.Failed})
	for p, err := range q.Parts(soon(t), "killed") {
		require.NoError(t, err)
		assert.Equal(t, p.From == 6, p.Failed != "")
	}
}
