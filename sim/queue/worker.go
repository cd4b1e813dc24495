package queue

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"strconv"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// idle is how long a worker waits that found nothing, unless something changes
// before: chunks of workers that died come back without anybody telling.
const idle = 200 * time.Millisecond

// mostErrors is how often a chunk is tried that returns an error.
const mostErrors = 3

// suspectFrom is from which delivery on a chunk is computed alone: if it kills the
// process, it takes no other with it, and only it counts one more.
const suspectFrom = 3

// loop works until the queue is closed.
func (q *Queue) loop(worker int) {
	for q.stopped.Err() == nil {
		next := q.ledger.next()
		k, m := q.take(q.stopped)
		if m == nil {
			select {
			case <-q.stopped.Done():
			case <-next:
			case <-time.After(idle):
			}
			continue
		}
		if died := q.chunk(worker, &k, m); died {
			return
		}
	}
}

// Failpoints of a chunk.
const (
	computed     = "computed"
	published    = "published"
	acknowledged = "acknowledged"
)

// chunk computes one chunk, publishes its result and acknowledges it, in this
// order. died is true when a failpoint killed the worker.
func (q *Queue) chunk(worker int, k *known, m jetstream.Msg) (died bool) {
	at, ok := parsePlace(m.Subject())
	to, err := strconv.Atoi(string(m.Data()))
	meta, errMeta := m.Metadata()
	if !ok || err != nil || errMeta != nil {
		q.log.Error("work", "subject", m.Subject(), "error", "is no chunk")
		_ = m.Term()
		return false
	}
	ctx, cancel := context.WithCancel(k.ctx)
	defer cancel()
	go q.beat(ctx, m)

	if meta.NumDelivered > 1 { // a worker may have died between result and acknowledgement
		if has, err := q.hasResult(ctx, at); err == nil && has {
			q.acknowledge(ctx, at, m)
			return false
		}
	}
	delivery := max(int(meta.NumDelivered), q.deaths.of(m.Subject())+1)
	part, err := q.compute(ctx, worker, k, at, to, delivery)
	if ctx.Err() != nil {
		q.giveBack(k, m)
		return false
	}
	if err != nil {
		q.log.Warn("chunk", "study", k.id, "from", at.first, "try", delivery, "error", shorten(err.Error()))
		_ = m.NakWithDelay(time.Duration(delivery) * q.cfg.AckWait / 10)
		return false
	}
	if q.dies(computed, m) {
		return true
	}
	if err := q.publish(ctx, part.message(at)); err != nil {
		q.giveBack(k, m)
		return false
	}
	if q.dies(published, m) {
		return true
	}
	q.acknowledge(ctx, at, m)
	return q.dies(acknowledged, m)
}

func (q *Queue) dies(point string, m jetstream.Msg) bool {
	return q.at != nil && q.at(point, m.Subject())
}

// beat tells the server that the chunk is being worked on.
func (q *Queue) beat(ctx context.Context, m jetstream.Msg) {
	tick := time.NewTicker(q.cfg.AckWait / 3)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			_ = m.InProgress()
		}
	}
}

// compute makes the part of a chunk. After too many deliveries, or errors, the
// part says so; before, an error asks for another try.
func (q *Queue) compute(ctx context.Context, worker int, k *known, at place, to, delivery int) (*Part, error) {
	part := &Part{From: at.first, To: to}
	if delivery > MostTries {
		part.Failed = fmt.Sprintf("given up: %d workers did not finish it", MostTries)
		return part, nil
	}
	input, err := q.input(ctx, k.record.Input)
	if err != nil { // the servers' fault, not the chunk's: it is tried to the last
		return nil, err
	}
	part.Data, err = q.guarded(ctx, worker, delivery, at, to, input)
	if err == nil && len(part.Data) > MostPartBytes {
		err = fmt.Errorf("its result of %d bytes is longer than the %d allowed", len(part.Data), MostPartBytes)
	}
	if err != nil && delivery >= mostErrors {
		part.Data, part.Failed, err = nil, shorten(err.Error()), nil
	}
	return part, err
}

// guarded leaves word of the chunk while it is computed, and computes a suspect
// alone.
func (q *Queue) guarded(ctx context.Context, worker, delivery int, at place, to int, input []byte) ([]byte, error) {
	if delivery >= suspectFrom {
		q.alone.Lock()
		defer q.alone.Unlock()
	} else {
		q.alone.RLock()
		defer q.alone.RUnlock()
	}
	if err := q.deaths.begin(worker, at.on("work")); err != nil {
		return nil, err
	}
	data, err := q.call(ctx, input, at.first, to)
	return data, errors.Join(err, q.deaths.end(worker))
}

// call is Work with panics as errors: one bad chunk ends no service.
func (q *Queue) call(ctx context.Context, input []byte, from, to int) (data []byte, err error) {
	defer func() {
		if x := recover(); x != nil {
			q.log.Error("chunk panics", "from", from, "panic", x, "stack", string(debug.Stack()))
			err = fmt.Errorf("panic: %v", x)
		}
	}()
	return q.cfg.Work(ctx, input, from, to)
}

// shorten keeps the reason of a failure short.
func shorten(text string) string {
	const most = 1000
	if len(text) > most {
		return text[:most] + "…"
	}
	return text
}

// publish stores a result. It waits while there is no room and while the servers
// are away; one that is there already is as good. The error is that of ctx.
func (q *Queue) publish(ctx context.Context, m *nats.Msg) error {
	const first, most = 50 * time.Millisecond, 5 * time.Second
	for wait := first; ; wait = min(2*wait, most) {
		err := q.publishOnce(ctx, m)
		if errors.Is(err, nats.ErrMaxPayload) {
			m.Header.Set(failedHeader, strconv.QuoteToASCII("the servers take no message of its size"))
			m.Data = nil
			continue
		}
		switch refusalOf(err) {
		case taken, already:
			return nil
		}
		q.complain("result", m.Subject, err)
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(wait):
		}
	}
}

func (q *Queue) publishOnce(ctx context.Context, m *nats.Msg) error {
	_, err := q.js.PublishMsg(ctx, m)
	return err
}

// acknowledge removes the work of a chunk. If that fails, it is delivered again
// and found to have its result.
func (q *Queue) acknowledge(ctx context.Context, at place, m jetstream.Msg) {
	if err := m.DoubleAck(ctx); err != nil {
		q.complain("acknowledge", at.study, err)
	}
}

// giveBack lets another worker have the chunk at once, if it is still wanted.
func (q *Queue) giveBack(k *known, m jetstream.Msg) {
	if q.stopped.Err() != nil {
		_ = m.Nak()
	}
}
