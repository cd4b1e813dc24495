package queue

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// Cancel stops a study; its results so far stay. A study that is done stays so.
// Chunks being computed are told by their context.
func (q *Queue) Cancel(ctx context.Context, id string) (Status, error) {
	ctx = each(ctx)
	r, err := q.update(ctx, id, func(now *record) bool {
		if !now.unfinished() {
			return false
		}
		now.State, now.Finished = Cancelled, time.Now().UTC().Truncate(time.Millisecond)
		return true
	})
	if err != nil {
		return Status{}, err
	}
	if err := q.dropWork(ctx, r.place(id)); err != nil {
		return Status{}, err
	}
	return q.Status(id)
}

// Delete stops a study if need be and removes it with all it has.
func (q *Queue) Delete(ctx context.Context, id string) error {
	ctx = each(ctx)
	q.submits.Lock()
	defer q.submits.Unlock()
	r, _, err := q.load(ctx, id)
	if err != nil {
		return err
	}
	return q.remove(ctx, id, &r)
}

// remove deletes the record first: what a crash leaves after that belongs to no
// study, and is swept.
func (q *Queue) remove(ctx context.Context, id string, r *record) error {
	if err := q.records.Purge(ctx, id); err != nil {
		return fmt.Errorf("queue: record of %s: %w", id, err)
	}
	q.ledger.gone(id, r.Life)
	return q.dropLife(ctx, r.place(id))
}

// Expire deletes the studies that ended before a time, and names them.
func (q *Queue) Expire(ctx context.Context, before time.Time) ([]string, error) {
	var ids []string
	var errs []error
	for _, k := range q.ledger.list() {
		if !k.record.unfinished() && k.record.Finished.Before(before) {
			if err := q.Delete(ctx, k.id); err != nil {
				errs = append(errs, err)
				continue
			}
			ids = append(ids, k.id)
		}
	}
	return ids, errors.Join(errs...)
}

// Errors of Compact and Parts.
var (
	ErrNotDone   = errors.New("queue: the study is not done")
	ErrCompacted = errors.New("queue: the results of the study are compacted")
)

// Compact hands all results of a study that is done, in run order, to write, and
// removes them from the queue when that returns nil. If the process dies between,
// they are there still, and Compact is asked again; write must bear that. A study
// that is compacted already is left alone.
func (q *Queue) Compact(ctx context.Context, id string, write func(iter.Seq2[Part, error]) error) error {
	ctx = each(ctx)
	k, _, ok := q.ledger.get(id)
	switch {
	case !ok:
		return ErrUnknown
	case k.record.State != Done:
		return ErrNotDone
	case k.record.Compacted:
		return nil
	}
	failed, next := 0, 0
	var broken error
	parts := func(yield func(Part, error) bool) {
		for p, err := range q.parts(ctx, &k) {
			if err == nil && p.From != next {
				err = fmt.Errorf("queue: result of run %d of %s is missing", next, id)
			}
			if err != nil {
				broken = err
				yield(Part{}, err)
				return
			}
			if next = p.To; p.Failed != "" {
				failed += p.To - p.From
			}
			if !yield(p, nil) {
				return
			}
		}
	}
	if err := errors.Join(write(parts), broken); err != nil {
		return err
	}
	if next != k.record.Runs {
		return fmt.Errorf("queue: %s was compacted only up to run %d", id, next)
	}
	if _, err := q.update(ctx, id, func(now *record) bool {
		if now.Life != k.record.Life || now.Compacted {
			return false
		}
		now.Compacted, now.Failed = true, failed
		return true
	}); err != nil {
		return err
	}
	if err := q.results.Purge(ctx, jetstream.WithPurgeSubject(k.record.place(id).all("result"))); err != nil {
		return fmt.Errorf("queue: results of %s: %w", id, err)
	}
	return nil
}
