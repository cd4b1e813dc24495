package queue

import (
	"cmp"
	"context"
	"slices"
	"sync"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// ledger is what this process knows of all studies: their records and how many of
// their runs have results, as the streams tell it.
type ledger struct {
	mu      sync.Mutex
	stopped context.Context
	studies map[string]*known // by id
	tallies map[string]*tally // by life
	changed chan struct{}     // closed at the next change
	watcher jetstream.KeyWatcher
	reader  jetstream.ConsumeContext
}

// known is a study. Its context ends when it takes no more results.
type known struct {
	id       string
	record   record
	revision uint64
	ctx      context.Context
	cancel   context.CancelFunc
}

// tally counts the results of a study's life.
type tally struct {
	parts, runs, failed int
	recent              []arrival // the last few, for the rate
}

type arrival struct {
	at   time.Time
	runs int
}

// mostRecent is how many arrivals the rate is taken over; until there are as many, it is
// over all since the study was submitted, for what several workers begin at once arrives
// at once.
const mostRecent = 64

// record takes down what a record is now; nil when it is gone. Older news than
// what is known are passed over.
func (l *ledger) record(id string, r *record, revision uint64) {
	l.mu.Lock()
	defer l.mu.Unlock()
	k := l.studies[id]
	if k != nil && revision <= k.revision {
		return
	}
	if k != nil && (r == nil || r.Life != k.record.Life || !r.unfinished()) {
		k.cancel()
	}
	if k != nil && (r == nil || r.Life != k.record.Life) {
		delete(l.tallies, k.record.Life)
		delete(l.studies, id)
		k = nil
	}
	if r != nil && k == nil {
		k = &known{id: id}
		k.ctx, k.cancel = context.WithCancel(l.stopped)
		if !r.unfinished() {
			k.cancel()
		}
		l.studies[id] = k
	}
	if k != nil {
		k.record, k.revision = *r, revision
	}
	l.tell()
}

// gone takes down that a life of a study was deleted here.
func (l *ledger) gone(id, life string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if k := l.studies[id]; k != nil && k.record.Life == life {
		k.cancel()
		delete(l.studies, id)
		l.tell()
	}
	delete(l.tallies, life)
}

// tell wakes who waits for a change. The lock is held.
func (l *ledger) tell() {
	close(l.changed)
	l.changed = make(chan struct{})
}

// next is closed at the next change.
func (l *ledger) next() <-chan struct{} {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.changed
}

// get is a copy of what is known of a study, and its tally.
func (l *ledger) get(id string) (known, tally, bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	k := l.studies[id]
	if k == nil {
		return known{}, tally{}, false
	}
	return *k, l.tallyOf(k.record.Life), true
}

func (l *ledger) tallyOf(life string) tally {
	t := l.tallies[life]
	if t == nil {
		return tally{}
	}
	copied := *t
	copied.recent = slices.Clone(t.recent)
	return copied
}

// list is a copy of every study, oldest first.
func (l *ledger) list() []known {
	l.mu.Lock()
	defer l.mu.Unlock()
	all := make([]known, 0, len(l.studies))
	for _, k := range l.studies {
		all = append(all, *k)
	}
	slices.SortFunc(all, func(a, b known) int {
		return cmp.Or(a.record.Created.Compare(b.record.Created), cmp.Compare(a.id, b.id))
	})
	return all
}

// working tells whether a life is one of an unfinished study.
func (l *ledger) working(life string) bool {
	return slices.ContainsFunc(l.list(), func(k known) bool { return k.record.Life == life && k.record.unfinished() })
}

// forget drops the tally of a life that belongs to no study.
func (l *ledger) forget(life string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, k := range l.studies {
		if k.record.Life == life {
			return
		}
	}
	delete(l.tallies, life)
}

func (l *ledger) close() {
	if l.watcher != nil {
		_ = l.watcher.Stop()
	}
	if l.reader != nil {
		l.reader.Stop()
	}
}
