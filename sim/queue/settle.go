package queue

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// finish ends studies as soon as all their results are there.
func (q *Queue) finish() {
	for {
		next := q.ledger.next()
		for _, k := range q.ledger.list() {
			if _, t, _ := q.ledger.get(k.id); k.record.unfinished() && t.parts >= k.record.chunks() {
				q.complain("settle", k.id, q.settle(q.stopped, k.id))
			}
		}
		select {
		case <-q.stopped.Done():
			return
		case <-next:
		}
	}
}

// settleAll completes every study that was left half-way.
func (q *Queue) settleAll(ctx context.Context) {
	for _, k := range q.ledger.list() {
		if k.record.unfinished() && ctx.Err() == nil {
			q.complain("settle", k.id, q.settle(ctx, k.id))
		}
	}
}

// abandonedAfter is how long a submission by another process may take.
const abandonedAfter = 10 * time.Minute

// settle looks at what the streams hold of an unfinished study: chunks that have
// neither work nor result are published again; when all have a result, it is done.
func (q *Queue) settle(ctx context.Context, id string) error {
	q.submits.Lock()
	defer q.submits.Unlock()
	r, _, err := q.load(ctx, id)
	if err != nil || !r.unfinished() {
		return err
	}
	if r.State == Submitting {
		switch _, err := q.objects.GetInfo(ctx, r.Input); {
		case q.server == nil && time.Since(r.Created) < abandonedAfter:
			return nil // whoever submits it is at it
		case errors.Is(err, jetstream.ErrObjectNotFound): // never acknowledged
			return q.remove(ctx, id, &r)
		case err != nil:
			return err
		}
	}
	// In this order: a chunk has its result before its work is removed.
	at := r.place(id)
	waiting, err := firsts(ctx, q.work, at.all("work"))
	if err != nil {
		return err
	}
	have, err := firsts(ctx, q.results, at.all("result"))
	if err != nil {
		return err
	}
	var lost []int
	done := 0
	for first := 0; first < r.Runs; first += r.ChunkRuns {
		switch {
		case have[first]:
			done++
		case !waiting[first]:
			lost = append(lost, first)
		}
	}
	if len(lost) > 0 {
		if err := q.publishWork(ctx, id, &r, lost); err != nil {
			return err
		}
	}
	state := Running
	if done == r.chunks() {
		state = Done
	}
	if _, err = q.update(ctx, id, func(now *record) bool {
		if now.Life != r.Life || !now.unfinished() || now.State == state {
			return false
		}
		if now.State = state; state == Done {
			now.Finished = time.Now().UTC().Truncate(time.Millisecond)
		}
		return true
	}); err != nil || state != Done {
		return err
	}
	return q.dropWork(ctx, at)
}

// firsts are the first runs of the chunks that a stream has of a study.
func firsts(ctx context.Context, s jetstream.Stream, filter string) (map[int]bool, error) {
	info, err := s.Info(ctx, jetstream.WithSubjectFilter(filter))
	if err != nil {
		return nil, fmt.Errorf("queue: subjects of %s: %w", filter, err)
	}
	set := make(map[int]bool, len(info.State.Subjects))
	for subject := range info.State.Subjects {
		if p, ok := parsePlace(subject); ok {
			set[p.first] = true
		}
	}
	return set, nil
}

// dropWork removes what is left of a study's work.
func (q *Queue) dropWork(ctx context.Context, at place) error {
	if err := q.work.DeleteConsumer(ctx, at.consumer()); err != nil && !errors.Is(err, jetstream.ErrConsumerNotFound) {
		return fmt.Errorf("queue: consumer of %s: %w", at.study, err)
	}
	if err := q.work.Purge(ctx, jetstream.WithPurgeSubject(at.all("work"))); err != nil {
		return fmt.Errorf("queue: work of %s: %w", at.study, err)
	}
	return nil
}
