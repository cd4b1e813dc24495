package queue

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// sweep removes work, results and inputs that have belonged to no study, or to a
// compacted one, for some time: a worker may publish a result just after its study
// was deleted, and whoever deletes or compacts may die half-way.
func (q *Queue) sweep(ctx context.Context, patience time.Duration) {
	found := map[string]func() error{}
	lives, inputs := map[string]bool{}, map[string]bool{}
	subjects := map[string]place{}
	for name, stream := range map[string]jetstream.Stream{"work": q.work, "result": q.results} {
		info, err := stream.Info(ctx, jetstream.WithSubjectFilter(">"))
		if err != nil {
			q.complain("sweep", name, err)
			return
		}
		for subject := range info.State.Subjects {
			if p, ok := parsePlace(subject); ok {
				subjects[p.all(name)] = p
			}
		}
	}
	objects, err := q.objects.List(ctx)
	if err != nil && !errors.Is(err, jetstream.ErrNoObjectsFound) {
		q.complain("sweep", "inputs", err)
		return
	}
	for _, k := range q.ledger.list() { // after the streams: a study is recorded first
		lives[k.record.Life] = !k.record.Compacted
		inputs[k.record.Input] = true
	}
	for filter, p := range subjects {
		if !lives[p.life] {
			found[filter] = func() error { return q.dropLife(ctx, p) }
		}
	}
	for _, o := range objects {
		if !inputs[o.Name] {
			found["input."+o.Name] = func() error { return q.objects.Delete(ctx, o.Name) }
		}
	}
	q.discard(found, patience)
	q.complain("sweep", "records", q.records.PurgeDeletes(ctx))
}

// discard removes what has been found for as long as patience.
func (q *Queue) discard(found map[string]func() error, patience time.Duration) {
	since := map[string]time.Time{}
	for name, remove := range found {
		first, ok := q.strange[name]
		if !ok {
			first = time.Now()
		}
		if time.Since(first) < patience {
			since[name] = first
		} else {
			q.complain("sweep", name, remove())
		}
	}
	q.strange = since
}

// dropLife removes everything of one life of a study.
func (q *Queue) dropLife(ctx context.Context, at place) error {
	err := q.dropWork(ctx, at)
	if purge := q.results.Purge(ctx, jetstream.WithPurgeSubject(at.all("result"))); purge != nil && err == nil {
		err = fmt.Errorf("queue: results of %s: %w", at.study, purge)
	}
	q.ledger.forget(at.life)
	return err
}
