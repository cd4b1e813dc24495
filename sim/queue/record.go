package queue

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// State is where a study is in its life.
type State string

// States of a study.
const (
	// Submitting: not all of it has been taken down yet.
	Submitting State = "submitting"
	// Queued: no result yet.
	Queued State = "queued"
	// Running: some results.
	Running State = "running"
	// Done: every chunk has its result, failed ones too.
	Done State = "done"
	// Cancelled: no further results; those that there are can be read.
	Cancelled State = "cancelled"
)

// record is what is kept of a study. Queued is not kept: it is Running without
// results.
type record struct {
	Label     string    `json:"label,omitempty"`
	Engine    string    `json:"engine"`
	Life      string    `json:"life"`
	Input     string    `json:"input"` // SHA-256
	Runs      int       `json:"runs"`
	ChunkRuns int       `json:"chunk_runs"`
	RunBytes  int       `json:"run_bytes"`
	State     State     `json:"state"`
	Created   time.Time `json:"created"`
	Finished  time.Time `json:"finished,omitzero"`
	Compacted bool      `json:"compacted,omitempty"`
	Failed    int       `json:"failed,omitempty"` // runs, known once compacted
}

func (r *record) chunks() int { return (r.Runs + r.ChunkRuns - 1) / r.ChunkRuns }

// end is the run after the last of the chunk that begins at first.
func (r *record) end(first int) int { return min(first+r.ChunkRuns, r.Runs) }

func (r *record) place(id string) place {
	return place{engine: token(r.Engine), study: id, life: r.Life}
}

// unfinished studies have, or will have, work.
func (r *record) unfinished() bool { return r.State == Submitting || r.State == Running }

func (r *record) encode() []byte {
	data, err := json.Marshal(r)
	if err != nil {
		panic("queue: record: " + err.Error())
	}
	return data
}

// ErrUnknown is for a study that is not there.
var ErrUnknown = errors.New("queue: no such study")

// load reads the record of a study as it is now.
func (q *Queue) load(ctx context.Context, id string) (record, uint64, error) {
	entry, err := q.records.Get(ctx, id)
	if errors.Is(err, jetstream.ErrKeyNotFound) {
		return record{}, 0, ErrUnknown
	}
	if err != nil {
		return record{}, 0, fmt.Errorf("queue: record of %s: %w", id, err)
	}
	var r record
	if err := json.Unmarshal(entry.Value(), &r); err != nil {
		return record{}, 0, fmt.Errorf("queue: record of %s: %w", id, err)
	}
	return r, entry.Revision(), nil
}

// update changes a record unless change returns false, whoever else changes it at
// the same time, and returns what it is then.
func (q *Queue) update(ctx context.Context, id string, change func(*record) bool) (record, error) {
	for {
		r, revision, err := q.load(ctx, id)
		if err != nil {
			return record{}, err
		}
		if !change(&r) {
			return r, nil
		}
		revision, err = q.records.Update(ctx, id, r.encode(), revision)
		if err == nil {
			q.ledger.record(id, &r, revision)
			return r, nil
		}
		if !errors.Is(err, jetstream.ErrKeyRevisionMismatch) && !errors.Is(err, jetstream.ErrKeyExists) {
			return record{}, fmt.Errorf("queue: record of %s: %w", id, err)
		}
		if ctx.Err() != nil {
			return record{}, ctx.Err()
		}
	}
}
