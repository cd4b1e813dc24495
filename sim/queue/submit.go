package queue

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strconv"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// Submission is a study to be run.
type Submission struct {
	// ID is the study's name: letters, digits, _ and -, at most 64.
	ID string
	// Label is said again by Status.
	Label string
	// Input is what Work gets with every chunk.
	Input []byte
	// Runs is their number; ChunkRuns, 1 to MostChunkRuns, how many a chunk has.
	Runs, ChunkRuns int
	// RunBytes is about how many bytes of result a run has.
	RunBytes int
}

// ChunkRuns is how many of a study's runs to put into a chunk, if one takes that
// long: about a second's worth, and so few that every worker gets some.
func ChunkRuns(runs int, run time.Duration) int {
	const leastChunks = 16
	return min(max(int(time.Second/max(run, 1)), 1), (runs+leastChunks-1)/leastChunks, MostChunkRuns)
}

// ErrDiffers is for a study whose name is taken by one with other input or runs.
var ErrDiffers = errors.New("queue: another study has this name")

// Submit takes a study down and puts its work into the queue. When it returns, the
// study survives a crash. The same submission again changes nothing and returns
// what became of it. Errors: *FullError, ErrDiffers, those of the servers, and
// those of ctx: then the study may have been taken, and Submit can be asked again.
// It panics on a name, numbers or sizes that are not allowed.
func (q *Queue) Submit(ctx context.Context, s Submission) (Status, error) {
	if !isToken.MatchString(s.ID) || s.Runs < 1 || s.ChunkRuns < 1 || s.ChunkRuns > MostChunkRuns || s.RunBytes < 0 {
		panic(fmt.Sprintf("queue: submission %q of %d runs in chunks of %d is not allowed", s.ID, s.Runs, s.ChunkRuns))
	}
	ctx = each(ctx)
	q.submits.Lock()
	defer q.submits.Unlock()
	sum := sha256.Sum256(s.Input)
	r := record{
		Label: s.Label, Engine: q.cfg.Engine, Life: rand.Text(), Input: hex.EncodeToString(sum[:]),
		Runs: s.Runs, ChunkRuns: s.ChunkRuns, RunBytes: s.RunBytes, State: Submitting, Created: time.Now().UTC().Truncate(time.Millisecond),
	}
	old, err := q.again(ctx, s.ID, &r)
	if old == nil && err == nil {
		old, err = q.register(ctx, s.ID, &r, len(s.Input))
	}
	if err != nil {
		return Status{}, err
	}
	if old.State != Submitting {
		return q.Status(s.ID)
	}
	if err := q.takeDown(ctx, s.ID, old, s.Input); err != nil {
		if refusalOf(err) == noRoom {
			err = &FullError{"chunks", q.retryAfter()}
		}
		if ctx.Err() == nil { // else it is completed later
			err = errors.Join(err, q.remove(ctx, s.ID, old))
		}
		return Status{}, err
	}
	return q.Status(s.ID)
}

// register makes the record of a new study, or returns that of who was faster.
func (q *Queue) register(ctx context.Context, id string, r *record, inputBytes int) (*record, error) {
	if err := q.admit(ctx, r, inputBytes); err != nil {
		return nil, err
	}
	revision, err := q.records.Create(ctx, id, r.encode())
	if errors.Is(err, jetstream.ErrKeyExists) {
		if old, err := q.again(ctx, id, r); old != nil || err != nil {
			return old, err
		}
	}
	if err != nil {
		return nil, fmt.Errorf("queue: record of %s: %w", id, err)
	}
	q.ledger.record(id, r, revision)
	return r, nil
}

// again is the record of a study that is there already as submitted, nil when
// there is none.
func (q *Queue) again(ctx context.Context, id string, r *record) (*record, error) {
	old, revision, err := q.load(ctx, id)
	if errors.Is(err, ErrUnknown) {
		return nil, nil
	} else if err != nil {
		return nil, err
	}
	if old.Engine != r.Engine || old.Input != r.Input || old.Runs != r.Runs || old.ChunkRuns != r.ChunkRuns {
		return nil, ErrDiffers
	}
	q.ledger.record(id, &old, revision)
	return &old, nil
}

// admit holds a submission against the bounds, counting what unfinished studies
// will still need.
func (q *Queue) admit(ctx context.Context, r *record, inputBytes int) error {
	b := q.cfg.Bounds
	studies, waiting := 0, r.chunks()
	var results int64
	for _, k := range q.ledger.list() {
		if k.record.unfinished() {
			_, t, _ := q.ledger.get(k.id)
			studies++
			waiting += k.record.chunks() - t.parts
			results += int64(k.record.RunBytes) * int64(k.record.Runs-t.runs)
		}
	}
	info, err := q.results.Info(ctx)
	if err != nil {
		return fmt.Errorf("queue: result stream: %w", err)
	}
	inputs, err := q.objects.Status(ctx)
	if err != nil {
		return fmt.Errorf("queue: inputs: %w", err)
	}
	results += int64(info.State.Bytes) + int64(r.RunBytes)*int64(r.Runs) + partOverhead*int64(waiting)
	switch {
	case studies >= b.Studies:
		return &FullError{"studies", q.retryAfter()}
	case waiting > b.Chunks:
		return &FullError{"chunks", q.retryAfter()}
	case results > b.ResultBytes:
		return &FullError{"results", q.retryAfter()}
	case int64(inputs.Size())+int64(inputBytes)+inputOverhead > b.InputBytes:
		return &FullError{"inputs", q.retryAfter()}
	}
	return nil
}

// What a message takes in its stream beside its bytes, and what an input takes.
const (
	partOverhead  = 400
	inputOverhead = 64 << 10
)

// takeDown stores the input and every chunk's work, and lets the study run.
func (q *Queue) takeDown(ctx context.Context, id string, r *record, input []byte) error {
	if err := q.keepInput(ctx, r.Input, input); err != nil {
		return err
	}
	firsts := make([]int, 0, r.chunks())
	for first := 0; first < r.Runs; first += r.ChunkRuns {
		firsts = append(firsts, first)
	}
	if err := q.publishWork(ctx, id, r, firsts); err != nil {
		return err
	}
	if _, err := q.update(ctx, id, func(now *record) bool {
		begin := now.Life == r.Life && now.State == Submitting
		if begin {
			now.State = Running
		}
		return begin
	}); err != nil {
		return err
	}
	return q.keepInput(ctx, r.Input, input) // a sweep may have met the first
}

// publishWork puts chunks into the work stream, by their first runs. Those that
// are there already stay.
func (q *Queue) publishWork(ctx context.Context, id string, r *record, firsts []int) error {
	const batch = 256
	at := r.place(id)
	for len(firsts) > 0 {
		n := min(batch, len(firsts))
		acks := make([]jetstream.PubAckFuture, n)
		for i := range acks {
			at.first = firsts[i]
			m := &nats.Msg{Subject: at.on("work"), Data: []byte(strconv.Itoa(r.end(at.first)))}
			var err error
			if acks[i], err = q.js.PublishMsgAsync(m, jetstream.WithStallWait(requestTimeout)); err != nil {
				return fmt.Errorf("queue: work of %s: %w", id, err)
			}
		}
		for _, ack := range acks {
			select {
			case <-ack.Ok():
			case err := <-ack.Err():
				if refusalOf(err) != already {
					return fmt.Errorf("queue: work of %s: %w", id, err)
				}
			case <-ctx.Done():
				return ctx.Err()
			}
		}
		firsts = firsts[n:]
	}
	return nil
}
