package queue

import (
	"context"
	"errors"
	"sync"

	"github.com/nats-io/nats.go/jetstream"
)

// turns keeps the order in which studies get a worker: one chunk each, in turn, so
// that a short study does not wait for a long one.
type turns struct {
	mu        sync.Mutex
	next      int
	consumers map[string]jetstream.Consumer // by life
}

// consumer is the name of a study's consumer.
func (p place) consumer() string { return p.study + "-" + p.life }

// take fetches one chunk of the study whose turn it is, or of the next one that
// has any; nil when none has.
func (q *Queue) take(ctx context.Context) (known, jetstream.Msg) {
	var working []known
	for _, k := range q.ledger.list() {
		if k.record.State == Running && token(k.record.Engine) == q.engine {
			working = append(working, k)
		}
	}
	if len(working) == 0 {
		return known{}, nil
	}
	q.turns.mu.Lock()
	start := q.turns.next
	q.turns.next++
	q.turns.mu.Unlock()
	for i := range working {
		k := working[(start+i)%len(working)]
		m, err := q.fetch(ctx, &k)
		if m != nil {
			return k, m
		}
		if err != nil && k.ctx.Err() == nil {
			q.complain("fetch", k.id, err)
		}
	}
	return known{}, nil
}

// fetch takes a chunk of one study, if it has one.
func (q *Queue) fetch(ctx context.Context, k *known) (jetstream.Msg, error) {
	consumer, err := q.consumerOf(ctx, k)
	if err != nil {
		return nil, err
	}
	batch, err := consumer.FetchNoWait(1)
	if err != nil {
		q.forgetConsumer(k.record.Life)
		return nil, err
	}
	for m := range batch.Messages() {
		return m, nil
	}
	if err = batch.Error(); err != nil {
		q.forgetConsumer(k.record.Life)
		if errors.Is(err, jetstream.ErrConsumerDeleted) {
			err = nil // made again at the next turn, or the study is over
		}
	}
	return nil, err
}

// consumerOf is the study's consumer, made where it is missing. All workers share
// it: a chunk goes to one of them, and to another when that stays silent.
func (q *Queue) consumerOf(ctx context.Context, k *known) (jetstream.Consumer, error) {
	q.turns.mu.Lock()
	c := q.turns.consumers[k.record.Life]
	q.turns.mu.Unlock()
	if c != nil {
		return c, nil
	}
	at := k.record.place(k.id)
	c, err := q.work.CreateOrUpdateConsumer(ctx, jetstream.ConsumerConfig{
		Durable: at.consumer(), FilterSubject: at.all("work"), AckPolicy: jetstream.AckExplicitPolicy,
		AckWait: q.cfg.AckWait, MaxDeliver: -1, // counted by the workers: the last delivery makes a result
	})
	if err != nil {
		return nil, err
	}
	q.turns.mu.Lock()
	defer q.turns.mu.Unlock()
	if q.turns.consumers == nil {
		q.turns.consumers = map[string]jetstream.Consumer{}
	}
	q.turns.consumers[k.record.Life] = c
	return c, nil
}

// callBack takes chunks from workers that died with the process before this one:
// they are delivered again without waiting for their silence to be noticed.
func (q *Queue) callBack(ctx context.Context) {
	for _, k := range q.ledger.list() {
		if !k.record.unfinished() {
			continue
		}
		if err := q.work.DeleteConsumer(ctx, k.record.place(k.id).consumer()); !errors.Is(err, jetstream.ErrConsumerNotFound) {
			q.complain("call back", k.id, err)
		}
	}
}

func (q *Queue) forgetConsumer(life string) {
	q.turns.mu.Lock()
	defer q.turns.mu.Unlock()
	delete(q.turns.consumers, life)
}
