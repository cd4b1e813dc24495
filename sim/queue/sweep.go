package queue

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// stray is something in the streams that belongs to no study.
type stray struct {
	patience time.Duration // how long it must have been seen before it is removed
	remove   func() error
}

// sweep removes work, results and inputs that have belonged to no study, or to a
// compacted one, for some time: a worker may publish a result just after its study
// was deleted, and whoever submits, deletes or compacts may die half-way.
func (q *Queue) sweep(ctx context.Context, patience time.Duration) {
	found := map[string]stray{}
	places, err := q.placesInStreams(ctx)
	if err != nil {
		q.complain("sweep", "chunks", err)
		return
	}
	objects, err := q.objects.List(ctx)
	if err != nil && !errors.Is(err, jetstream.ErrNoObjectsFound) {
		q.complain("sweep", "inputs", err)
		return
	}
	pieces, err := q.uploads.Info(ctx, jetstream.WithSubjectFilter(uploads+">"))
	if err != nil {
		q.complain("sweep", "inputs", err)
		return
	}
	longer := patience
	if patience > 0 {
		longer = abandonedAfter
	}
	lives, inputs, whole := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, k := range q.ledger.list() { // after the streams: a study is recorded first
		lives[k.record.Life] = !k.record.Compacted
		inputs[k.record.Input] = true
	}
	for name, p := range places {
		if !lives[p.life] {
			found[name] = stray{patience, func() error { return q.dropLife(ctx, p) }}
		}
	}
	for _, o := range objects {
		if whole[uploads+o.NUID] = true; !inputs[o.Name] {
			found["input "+o.Name] = stray{patience, func() error { return q.dropInput(ctx, o.Name) }}
		}
	}
	for subject := range pieces.State.Subjects {
		if !whole[subject] { // an upload that is under way, or was cut short
			found[subject] = stray{longer, func() error {
				return q.uploads.Purge(ctx, jetstream.WithPurgeSubject(subject))
			}}
		}
	}
	q.discard(found)
	q.complain("sweep", "records", q.records.PurgeDeletes(ctx))
}

// placesInStreams is one place of each life that has work or results.
func (q *Queue) placesInStreams(ctx context.Context) (map[string]place, error) {
	found := map[string]place{}
	for name, stream := range map[string]jetstream.Stream{"work": q.work, "result": q.results} {
		info, err := stream.Info(ctx, jetstream.WithSubjectFilter(">"))
		if err != nil {
			return nil, err
		}
		for subject := range info.State.Subjects {
			if p, ok := parsePlace(subject); ok {
				found[p.all(name)] = p
			}
		}
	}
	return found, nil
}

// discard removes what has been astray for long enough, and remembers the rest.
func (q *Queue) discard(found map[string]stray) {
	since := map[string]time.Time{}
	for name, s := range found {
		first, ok := q.strange[name]
		if !ok {
			first = time.Now()
		}
		if time.Since(first) < s.patience {
			since[name] = first
		} else {
			q.complain("sweep", name, s.remove())
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

// dropInput deletes an input, and the marker that its store leaves behind.
func (q *Queue) dropInput(ctx context.Context, hash string) error {
	if err := q.objects.Delete(ctx, hash); err != nil {
		return err
	}
	return q.uploads.Purge(ctx, jetstream.WithPurgeSubject(names+base64.URLEncoding.EncodeToString([]byte(hash))))
}
