// Package queue runs the chunks of studies on a NATS JetStream server: one inside
// this process, on disk and without a port, or a cluster that several processes
// share. It is the only package that knows NATS, and it does not know what a run
// is: the work is a function that is given at the start.
//
// A study is runs 0 … n − 1, cut into chunks when it is submitted. A chunk's work
// is a message of the work stream, its result one of the result stream. A worker
// computes, publishes the result, and acknowledges the work when the result is
// stored. The result stream takes one message a subject and refuses a second, so
// that there is exactly one result a chunk, however often the work was delivered.
// A worker that dies leaves its chunk to be delivered again; a chunk that has
// neither work nor result, because whoever submitted it died, is published again.
//
//	work.<engine>.<study>.<life>.<first run>     removed when acknowledged
//	result.<engine>.<study>.<life>.<first run>   kept until compacted or deleted
//
// The engine is the version that computes, and only its own studies are worked on.
// A life is one submission of a study: what was submitted again after it was
// deleted never meets late results of the life before.
package queue

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// Queue is open for submissions, and works on them.
type Queue struct {
	cfg     Config
	engine  string // as part of a subject
	log     *slog.Logger
	server  *server.Server // nil when outside
	lock    *dirLock
	conn    *nats.Conn
	js      jetstream.JetStream
	work    jetstream.Stream
	results jetstream.Stream
	records jetstream.KeyValue
	objects jetstream.ObjectStore
	uploads jetstream.Stream // of the object store
	inputs  inputCache
	ledger  *ledger
	turns   turns
	deaths  *deaths              // nil outside
	alone   sync.RWMutex         // held for writing by a chunk that may kill the process
	strange map[string]time.Time // what belongs to no study, since when

	// submits keeps two submissions from filling the same room, and what
	// completes one that was cut short from meeting one that is under way.
	submits sync.Mutex

	complaints complaints

	stop    context.CancelFunc
	stopped context.Context
	workers sync.WaitGroup
	// at is called at each failpoint of a chunk; true kills the worker there.
	at func(point, subject string) bool
}

// Open starts the server, or connects to those outside, for which it waits until
// ctx ends; makes the streams that are not there, completes what was left behind,
// and starts the workers.
func Open(ctx context.Context, cfg Config) (*Queue, error) {
	q, err := prepare(ctx, cfg)
	if err != nil {
		return nil, err
	}
	q.start()
	return q, nil
}

// prepare is Open up to the workers.
func prepare(ctx context.Context, cfg Config) (*Queue, error) {
	cfg = cfg.filled()
	q := &Queue{cfg: cfg, engine: token(cfg.Engine), log: cfg.Log, strange: map[string]time.Time{}}
	q.stopped, q.stop = context.WithCancel(context.Background())
	if err := q.reach(ctx); err != nil {
		q.Close()
		return nil, err
	}
	if q.server != nil { // nobody else can be half-way
		q.sweep(each(ctx), 0)
		q.callBack(each(ctx))
		if err := q.deaths.keep(q.ledger.working); err != nil {
			q.Close()
			return nil, err
		}
	}
	q.settleAll(each(ctx))
	return q, nil
}

// reach gets to the streams and reads what is there.
func (q *Queue) reach(ctx context.Context) (err error) {
	ctx = each(ctx)
	if err := q.connect(); err != nil {
		return err
	}
	for {
		if err = q.open(ctx); err == nil {
			q.ledger, err = q.follow(ctx)
		}
		if err == nil || q.server != nil {
			return err
		}
		q.complain("open", "servers", err) // their address may hold a password
		select {
		case <-ctx.Done():
			return err
		case <-time.After(reopenEvery):
		}
	}
}

func (q *Queue) start() {
	for worker := range q.cfg.Workers {
		q.workers.Go(func() { q.loop(worker) })
	}
	q.workers.Go(q.finish)
	q.workers.Go(q.upkeep)
}

// connect starts the server or reaches those outside.
func (q *Queue) connect() error {
	options := []nats.Option{
		nats.Name("bankyear"), nats.Timeout(requestTimeout), nats.MaxReconnects(-1), nats.ReconnectWait(250 * time.Millisecond),
		nats.ErrorHandler(func(_ *nats.Conn, _ *nats.Subscription, err error) { q.log.Warn("connection", "error", err) }),
	}
	if q.cfg.Dir != "" {
		var err error
		if q.lock, err = lockDir(q.cfg.Dir); err != nil {
			return err
		}
		if q.deaths, err = readDeaths(q.cfg.Dir); err != nil {
			return err
		}
		if q.server, err = startServer(q.cfg.Dir, q.cfg.Bounds, q.log); err != nil {
			return err
		}
		options = append(options, nats.InProcessServer(q.server))
	} else {
		options = append(options, nats.RetryOnFailedConnect(true))
		if q.cfg.Credentials != "" {
			options = append(options, nats.UserCredentials(q.cfg.Credentials))
		}
	}
	var err error
	if q.conn, err = nats.Connect(q.cfg.URL, options...); err != nil {
		return fmt.Errorf("queue: connect: %w", err)
	}
	q.js, err = jetstream.New(q.conn, jetstream.WithDefaultTimeout(requestTimeout), jetstream.WithPublishAsyncMaxPending(256), jetstream.WithPublishAsyncTimeout(requestTimeout))
	return err
}

// Close stops the workers, gives back the chunks that they were at, and stops the
// server. The queue can be opened again, by any process, and goes on.
func (q *Queue) Close() {
	q.stop()
	q.workers.Wait()
	q.disconnect()
}

func (q *Queue) disconnect() {
	if q.ledger != nil {
		q.ledger.close()
	}
	if q.conn != nil {
		_ = q.conn.FlushTimeout(time.Second)
		q.conn.Close()
	}
	if q.server != nil {
		q.server.Shutdown()
		q.server.WaitForShutdown()
	}
	if q.lock != nil {
		q.lock.release()
	}
}

// upkeep completes what others left behind, now and then.
func (q *Queue) upkeep() {
	tick := time.NewTicker(upkeepEvery)
	defer tick.Stop()
	for {
		select {
		case <-q.stopped.Done():
			return
		case <-tick.C:
			q.settleAll(q.stopped)
			q.sweep(q.stopped, 2*upkeepEvery)
		}
	}
}

// Ready tells why the queue cannot be used right now, or nil.
func (q *Queue) Ready() error {
	if q.stopped.Err() != nil {
		return errors.New("queue: is closed")
	}
	if !q.conn.IsConnected() {
		return errors.New("queue: has no connection to its servers")
	}
	return nil
}
