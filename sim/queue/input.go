package queue

import (
	"context"
	"errors"
	"fmt"
	"sync"

	"github.com/nats-io/nats.go/jetstream"
)

// keepInput stores an input under its hash unless it is there.
func (q *Queue) keepInput(ctx context.Context, hash string, input []byte) error {
	_, err := q.objects.GetInfo(ctx, hash)
	if errors.Is(err, jetstream.ErrObjectNotFound) {
		_, err = q.objects.PutBytes(ctx, hash, input)
	}
	if err != nil {
		return fmt.Errorf("queue: input: %w", err)
	}
	return nil
}

// inputCache holds the inputs that were used last, so that a worker reads each
// once and not with every chunk.
type inputCache struct {
	mu   sync.Mutex
	list []cached // last used first
}

type cached struct {
	hash  string
	input []byte
}

// mostInputBytes is up to how many bytes the cache holds beyond the last input.
const mostInputBytes = 64 << 20

// input reads an input by its hash.
func (q *Queue) input(ctx context.Context, hash string) ([]byte, error) {
	c := &q.inputs
	c.mu.Lock() // also while it is read: all workers want the same
	defer c.mu.Unlock()
	for i, x := range c.list {
		if x.hash == hash {
			copy(c.list[1:i+1], c.list[:i])
			c.list[0] = x
			return x.input, nil
		}
	}
	ctx, cancel := context.WithTimeout(ctx, inputTimeout)
	defer cancel()
	input, err := q.objects.GetBytes(ctx, hash)
	if err != nil {
		return nil, fmt.Errorf("queue: input: %w", err)
	}
	c.list = append([]cached{{hash, input}}, c.list...)
	total := 0
	for i, x := range c.list {
		if total += len(x.input); i > 0 && total > mostInputBytes {
			c.list = c.list[:i]
			break
		}
	}
	return input, nil
}

// Input is what a study was submitted with.
func (q *Queue) Input(ctx context.Context, id string) ([]byte, error) {
	k, _, ok := q.ledger.get(id)
	if !ok {
		return nil, ErrUnknown
	}
	ctx, cancel := context.WithTimeout(ctx, inputTimeout)
	defer cancel()
	input, err := q.objects.GetBytes(ctx, k.record.Input)
	if err != nil {
		return nil, fmt.Errorf("queue: input: %w", err)
	}
	return input, nil
}
