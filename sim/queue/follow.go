package queue

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"sync"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// follow starts the ledger and waits until it has read what is there.
func (q *Queue) follow(ctx context.Context) (*ledger, error) {
	l := &ledger{stopped: q.stopped, studies: map[string]*known{}, tallies: map[string]*tally{}, changed: make(chan struct{})}
	var err error
	if l.watcher, err = q.records.WatchAll(q.stopped); err != nil {
		return nil, fmt.Errorf("queue: watch records: %w", err)
	}
	records := make(chan struct{})
	go l.watch(sync.OnceFunc(func() { close(records) }))
	if err := l.readResults(ctx, q); err != nil {
		l.close()
		return nil, fmt.Errorf("queue: watch results: %w", err)
	}
	select {
	case <-records:
		return l, nil
	case <-ctx.Done():
		l.close()
		return nil, ctx.Err()
	}
}

func (l *ledger) watch(read func()) {
	for entry := range l.watcher.Updates() {
		if entry == nil {
			read()
			continue
		}
		var r record
		if entry.Operation() != jetstream.KeyValuePut || json.Unmarshal(entry.Value(), &r) != nil {
			l.record(entry.Key(), nil, entry.Revision())
			continue
		}
		l.record(entry.Key(), &r, entry.Revision())
	}
}

// readResults counts the results that are there and those that come.
func (l *ledger) readResults(ctx context.Context, q *Queue) error {
	consumer, err := q.js.OrderedConsumer(ctx, resultStream, jetstream.OrderedConsumerConfig{DeliverPolicy: jetstream.DeliverAllPolicy, HeadersOnly: true, MaxResetAttempts: -1})
	if err != nil {
		return err
	}
	read := make(chan struct{})
	done := sync.OnceFunc(func() { close(read) })
	if info, err := consumer.Info(ctx); err != nil {
		return err
	} else if info.NumPending == 0 {
		done()
	}
	l.reader, err = consumer.Consume(func(m jetstream.Msg) {
		meta, err := m.Metadata()
		if p, ok := parsePlace(m.Subject()); ok && err == nil {
			l.count(p.life, m, meta.Timestamp)
		}
		if err == nil && meta.NumPending == 0 {
			done()
		}
	}, jetstream.PullExpiry(10*time.Second), jetstream.PullHeartbeat(2*time.Second))
	if err != nil {
		return err
	}
	select {
	case <-read:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (l *ledger) count(life string, m jetstream.Msg, at time.Time) {
	runs, err := strconv.Atoi(m.Headers().Get(runsHeader))
	if err != nil {
		return
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	t := l.tallies[life]
	if t == nil {
		t = &tally{}
		l.tallies[life] = t
	}
	t.parts++
	t.runs += runs
	if m.Headers().Get(failedHeader) != "" {
		t.failed += runs
	}
	if len(t.recent) == mostRecent {
		t.recent = slices.Delete(t.recent, 0, 1)
	}
	t.recent = append(t.recent, arrival{at, runs})
	l.tell()
}
