package queue

import (
	"context"
	"iter"
	"time"
)

// Status is what is known of a study.
type Status struct {
	ID, Label string
	// Engine computes it. A study of another engine than the one that is open
	// waits for a worker with its own.
	Engine string
	State  State
	// Done of Runs have results, of which Failed have none but an error.
	Runs, Done, Failed int
	Created, Finished  time.Time
	// Compacted: the results are where Compact put them.
	Compacted bool
	// RatePerS is the runs a second of late, Remaining the time left at that; 0
	// when not known or not running.
	RatePerS  float64
	Remaining time.Duration
}

// Final tells whether the study takes no more results.
func (s *Status) Final() bool { return s.State == Done || s.State == Cancelled }

// Status is the state of a study, or ErrUnknown.
func (q *Queue) Status(id string) (Status, error) {
	k, t, ok := q.ledger.get(id)
	if !ok {
		return Status{}, ErrUnknown
	}
	return statusOf(&k, &t, time.Now()), nil
}

// List is the state of every study, oldest first.
func (q *Queue) List() []Status {
	var list []Status
	for _, k := range q.ledger.list() {
		if s, err := q.Status(k.id); err == nil {
			list = append(list, s)
		}
	}
	return list
}

func statusOf(k *known, t *tally, now time.Time) Status {
	r := &k.record
	s := Status{
		ID: k.id, Label: r.Label, Engine: r.Engine, State: r.State, Runs: r.Runs, Done: t.runs, Failed: t.failed,
		Created: r.Created, Finished: r.Finished, Compacted: r.Compacted,
	}
	if r.Compacted {
		s.Done, s.Failed = r.Runs, r.Failed
	}
	switch {
	case s.State != Running:
		return s
	case s.Done == 0:
		s.State = Queued
		return s
	}
	from, recent := r.Created, t.recent
	if len(recent) == mostRecent {
		from, recent = recent[0].at, recent[1:] // the first begins the time
	}
	if since := now.Sub(from); since > 0 {
		runs := 0
		for _, a := range recent {
			runs += a.runs
		}
		s.RatePerS = float64(runs) / since.Seconds()
		s.Remaining = time.Duration(float64(r.Runs-s.Done) / s.RatePerS * float64(time.Second))
	}
	return s
}

// Watch gives the state of a study now and after every change, until it is final
// or ctx ends; changes that come faster than they are taken are left out, never
// the last. The error is ErrUnknown, also when the study is deleted while it is
// watched, or that of ctx.
func (q *Queue) Watch(ctx context.Context, id string) iter.Seq2[Status, error] {
	return func(yield func(Status, error) bool) {
		var last Status
		for {
			next := q.ledger.next()
			s, err := q.Status(id)
			if err != nil {
				yield(Status{}, err)
				return
			}
			if s.State != last.State || s.Done != last.Done || s.Compacted != last.Compacted {
				if !yield(s, nil) || s.Final() {
					return
				}
				last = s
			}
			select {
			case <-next:
			case <-ctx.Done():
				yield(Status{}, ctx.Err())
				return
			case <-q.stopped.Done():
				yield(Status{}, context.Cause(q.stopped))
				return
			}
		}
	}
}
