package queue

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// Prepare is Open without the workers, so that a failpoint can be set first.
func Prepare(ctx context.Context, cfg Config) (*Queue, error) { return prepare(ctx, cfg) }

// Start starts the workers.
func (q *Queue) Start() { q.start() }

// FailAt sets the failpoints; true kills the worker that is there.
func (q *Queue) FailAt(at func(point, subject string) bool) { q.at = at }

// Crash ends the queue as a killed process would: nothing is given back or waited
// for, and what workers still do comes too late.
func (q *Queue) Crash() {
	q.conn.Close()
	q.stop()
	q.workers.Wait()
	q.disconnect()
}

// Sweep removes what belongs to no study, at once.
func (q *Queue) Sweep(ctx context.Context) { q.sweep(ctx, 0) }

// Settle completes what was left half-way.
func (q *Queue) Settle(ctx context.Context) { q.settleAll(ctx) }

// Left is how many messages of work, results and inputs there are.
func (q *Queue) Left(ctx context.Context) (work, results, inputs uint64, err error) {
	w, err := q.work.Info(ctx)
	if err != nil {
		return 0, 0, 0, err
	}
	r, err := q.results.Info(ctx)
	if err != nil {
		return 0, 0, 0, err
	}
	list, err := q.objects.List(ctx)
	if err != nil && !errors.Is(err, jetstream.ErrNoObjectsFound) {
		return 0, 0, 0, err
	}
	return w.State.Msgs, r.State.Msgs, uint64(len(list)), nil
}

// LoseWork removes a study's work behind the queue's back.
func (q *Queue) LoseWork(ctx context.Context, id string) error {
	r, _, err := q.load(ctx, id)
	if err != nil {
		return err
	}
	return q.dropWork(ctx, r.place(id))
}

// PublishLate publishes a part into a life of a study that is over.
func (q *Queue) PublishLate(ctx context.Context, id string, p Part) error {
	at := place{engine: q.engine, study: id, life: "over", first: p.From}
	return q.publishOnce(ctx, p.message(at))
}

// LoseResult removes the result of a chunk behind the queue's back.
func (q *Queue) LoseResult(ctx context.Context, id string, first int) error {
	r, _, err := q.load(ctx, id)
	if err != nil {
		return err
	}
	at := r.place(id)
	at.first = first
	return q.results.Purge(ctx, jetstream.WithPurgeSubject(at.on("result")))
}

// Interrupt leaves behind what a submission that is cut short does: a record, half
// an input, no work.
func (q *Queue) Interrupt(ctx context.Context, s Submission, withInput bool) error {
	sum := sha256.Sum256(s.Input)
	r := record{
		Label: s.Label, Engine: q.cfg.Engine, Life: "cutshort", Input: hex.EncodeToString(sum[:]),
		Runs: s.Runs, ChunkRuns: s.ChunkRuns, RunBytes: s.RunBytes, State: Submitting, Created: time.Now(),
	}
	if _, err := q.records.Create(ctx, s.ID, r.encode()); err != nil {
		return err
	}
	if withInput {
		return q.keepInput(ctx, r.Input, s.Input)
	}
	_, err := q.js.PublishMsg(ctx, &nats.Msg{Subject: uploads + "half", Data: s.Input[:len(s.Input)/2]})
	return err
}

// Stored is how many messages the store of inputs has.
func (q *Queue) Stored(ctx context.Context) (uint64, error) {
	info, err := q.uploads.Info(ctx)
	if err != nil {
		return 0, err
	}
	return info.State.Msgs, nil
}

// Publish publishes a part for a study as a worker does that the queue has given
// up, and tells whether it was refused as a second one.
func (q *Queue) Publish(ctx context.Context, id string, p Part) (refused bool, err error) {
	r, _, err := q.load(ctx, id)
	if err != nil {
		return false, err
	}
	at := r.place(id)
	at.first = p.From
	err = q.publishOnce(ctx, p.message(at))
	if refusalOf(err) == already {
		return true, nil
	}
	return false, err
}

// Failpoints of a chunk, in order.
var Failpoints = []string{computed, published, acknowledged}

// RateOf is the rate and the time left of a study that was submitted at a time and got so
// many runs at each of these times.
func RateOf(runs, total int, created, now time.Time, at ...time.Time) (float64, time.Duration) {
	t := &tally{runs: runs * len(at)}
	for _, x := range at {
		t.recent = append(t.recent, arrival{x, runs})
	}
	t.recent = t.recent[max(0, len(t.recent)-mostRecent):]
	s := statusOf(&known{record: record{State: Running, Created: created, Runs: total, ChunkRuns: runs}}, t, now)
	return s.RatePerS, s.Remaining
}
