package api

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"log/slog"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"time"

	"bankyear/api/tabular"
	"bankyear/sim/queue"
)

// StudiesConfig is what studies are run with. A zero member takes its default.
type StudiesConfig struct {
	// Dir is where queue and tables are kept when the queue is inside this process;
	// one process at a time.
	Dir string
	// URL is that of NATS servers outside, instead; results stay there.
	URL         string
	Credentials string
	KeysDir     string        // where it is kept which request came with which Idempotency-Key; Dir when left out
	Replicas    int           // of the servers outside that keep each message; default 3
	Workers     int           // runs at once here; −1 for none, default one a processor
	Keep        time.Duration // how long a study is kept that is over; 0 for ever
	Silent      time.Duration // how long a silent worker keeps its runs; default 10 s
	Bounds      queue.Bounds
	Log         *slog.Logger

	work queue.Work // of tests; else that of a StudyWorker
}

// Studies are the studies of a service, or of a worker.
type Studies struct {
	cfg     StudiesConfig
	log     *slog.Logger
	worker  *StudyWorker
	queue   *queue.Queue
	keys    *keys
	asked   *recent[string, *Study] // by id: read from their bundles
	told    *recent[string, *toldSummary]
	ctx     context.Context
	stop    context.CancelFunc
	minders sync.WaitGroup
	summing sync.Mutex
}

// expireEvery is how often is looked for studies that are too old.
const expireEvery = 10 * time.Minute

// mostAsked is what studies that are kept as they were read may weigh, and mostTold
// how many summaries are kept.
const (
	mostAsked = 4_000_000
	mostTold  = 64
)

// weight is about how many numbers a study holds.
func (s *Study) weight() int64 { return int64(s.Plan.Candidates() + 10_000) }

// OpenStudies opens the queue, starts the workers and takes up what was left
// behind. It waits for servers outside until ctx ends.
func OpenStudies(ctx context.Context, c StudiesConfig) (*Studies, error) {
	switch {
	case c.Workers == 0:
		c.Workers = runtime.GOMAXPROCS(0)
	case c.Workers < 0:
		c.Workers = 0
	}
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	d := &Studies{cfg: c, log: c.Log, worker: NewStudyWorker(c.Log), asked: newRecent[string](mostAsked, (*Study).weight),
		told: newRecent[string](mostTold, func(*toldSummary) int64 { return 1 })}
	d.ctx, d.stop = context.WithCancel(context.Background())
	if c.Dir != "" {
		if err := os.MkdirAll(d.path(), 0o700); err != nil {
			return nil, fmt.Errorf("api: studies: %w", err)
		}
	}
	var err error
	if c.KeysDir == "" {
		c.KeysDir = c.Dir
	}
	if d.keys, err = openKeys(c.KeysDir); err != nil {
		return nil, err
	}
	work := d.worker.Work
	if c.work != nil {
		work = c.work
	}
	d.queue, err = queue.Open(ctx, queue.Config{Dir: c.Dir, URL: c.URL, Credentials: c.Credentials, Replicas: c.Replicas,
		Engine: StudyEngine(), Work: work, Workers: c.Workers, AckWait: c.Silent, Bounds: c.Bounds, Log: c.Log})
	if err != nil {
		d.stop()
		return nil, err
	}
	if c.Dir != "" {
		d.sweep()
		for _, s := range d.queue.List() {
			d.mind(s.ID)
		}
	}
	d.minders.Go(d.expire)
	return d, nil
}

// Close gives back the runs that are being computed, and stops. What is open goes
// on when it is opened again.
func (d *Studies) Close() {
	d.stop()
	d.minders.Wait()
	d.queue.Close()
}

// path is that of a table by its study, or of all.
func (d *Studies) path(id ...string) string {
	if len(id) == 1 {
		id[0] += ".parquet"
	}
	return filepath.Join(append([]string{d.cfg.Dir, "tables"}, id...)...)
}

// sweep removes tables that belong to no study, and what was being written.
func (d *Studies) sweep() {
	left, err := os.ReadDir(d.path())
	if err != nil {
		d.log.Warn("tables of studies", "error", err)
		return
	}
	for _, f := range left {
		id, isTable := strings.CutSuffix(f.Name(), ".parquet")
		if s, err := d.queue.Status(id); isTable && err == nil && s.Compacted {
			continue
		}
		if err := os.Remove(filepath.Join(d.path(), f.Name())); err != nil {
			d.log.Warn("tables of studies", "error", err)
		}
	}
}

// mind follows a study, and puts its table into a file as soon as it is done.
func (d *Studies) mind(id string) {
	if d.cfg.Dir == "" {
		return
	}
	d.minders.Go(func() {
		for s, err := range d.queue.Watch(d.ctx, id) {
			if err != nil || s.State != queue.Done || s.Compacted {
				continue
			}
			if err := d.compact(id); err != nil && d.ctx.Err() == nil {
				d.log.Error("table of a study", "study", id, "error", err) // its results stay in the queue
			}
		}
	})
}

// compact writes the table of a study that is done into a file, and lets the queue
// forget its results.
func (d *Studies) compact(id string) error {
	s, err := d.study(d.ctx, id)
	if err != nil {
		return err
	}
	return d.queue.Compact(d.ctx, id, func(parts iter.Seq2[queue.Part, error]) error {
		f, err := os.CreateTemp(d.path(), "new-*")
		if err != nil {
			return err
		}
		defer os.Remove(f.Name()) // nothing is left to remove once it is renamed
		defer f.Close()
		columns := s.Columns()
		w := tabular.NewParquet(f, columns, s.Metadata(id))
		for p, err := range parts {
			if err != nil {
				return err
			}
			b, err := s.rowsOf(columns, p)
			if err != nil {
				return err
			}
			if err := w.Write(b); err != nil {
				return err
			}
		}
		if err := errors.Join(w.Close(), f.Sync(), f.Close()); err != nil {
			return err
		}
		return os.Rename(f.Name(), d.path(id))
	})
}

// Metadata of a table of runs as Parquet; id is that of the study, or "".
func (s *Study) Metadata(id string) map[string]string {
	return map[string]string{"schema": runsForm, "engine": Engine(), "study": id, "kind": s.request.Kind, "name": s.Name}
}

// rowsOf are the rows of a part, in columns of the table.
func (s *Study) rowsOf(columns []tabular.Column, p queue.Part) (*tabular.Block, error) {
	b := tabular.New(columns, p.To-p.From)
	if p.Failed == "" {
		var err error
		if b, err = tabular.DecodePart(p.Data, columns); err != nil {
			return nil, err
		}
		if b.Rows != p.To-p.From {
			return nil, fmt.Errorf("%w: has %d rows for %d runs", tabular.ErrPart, b.Rows, p.To-p.From)
		}
	} else if i := tabular.Find(columns, "fault"); i >= 0 {
		for row := range b.Rows {
			b.Texts[i][row] = clip(p.Failed, mostFaultBytes)
		}
	}
	s.place(b, p.From)
	return b, nil
}

// study reads a study from its bundle, or finds it among those that were asked for
// last. Errors are those of the queue.
func (d *Studies) study(ctx context.Context, id string) (*Study, error) {
	if s, ok := d.asked.get(id); ok {
		return s, nil
	}
	bundle, err := d.queue.Input(ctx, id)
	if err != nil {
		return nil, err
	}
	s, _, err := openBundle(bundle)
	if err != nil {
		return nil, err
	}
	if status, err := d.queue.Status(id); err == nil {
		s.Name = answerOf(&status, 0).Name
	}
	d.asked.put(id, s)
	return s, nil
}

// blocks gives the rows that a study has so far, in the order of runs from one on, in
// columns of its table.
func (d *Studies) blocks(ctx context.Context, id string, s *Study, columns []tabular.Column, from int) iter.Seq2[*tabular.Block, error] {
	return func(yield func(*tabular.Block, error) bool) {
		next := from
		for p, err := range d.queue.Parts(ctx, id) {
			if err == nil && p.To <= next {
				continue
			}
			if err == nil && p.From > next && d.compacted(id) {
				break // what is missing has gone into the file
			}
			if errors.Is(err, queue.ErrCompacted) {
				break
			}
			var b *tabular.Block
			if err == nil {
				b, err = s.rowsOf(columns, p)
			}
			if err == nil && p.From < next {
				b = b.From(next - p.From)
			}
			if !yield(b, err) || err != nil {
				return
			}
			next = p.To
		}
		if next == s.Plan.Runs() || !d.compacted(id) {
			return
		}
		f, err := os.Open(d.path(id))
		if err != nil {
			yield(nil, fmt.Errorf("api: table of a study: %w", err))
			return
		}
		defer f.Close()
		info, err := f.Stat()
		if err != nil {
			yield(nil, err)
			return
		}
		for b, err := range tabular.ReadParquet(f, info.Size(), columns, next) {
			if !yield(b, err) || err != nil {
				return
			}
		}
	}
}

func (d *Studies) compacted(id string) bool {
	s, err := d.queue.Status(id)
	return err == nil && s.Compacted
}

// expire deletes studies that were over long ago.
func (d *Studies) expire() {
	tick := time.NewTicker(expireEvery)
	defer tick.Stop()
	for {
		if d.cfg.Keep > 0 {
			if err := d.expireBefore(time.Now().Add(-d.cfg.Keep)); err != nil {
				d.log.Warn("studies that are too old", "error", err)
			}
		}
		select {
		case <-d.ctx.Done():
			return
		case <-tick.C:
		}
	}
}

func (d *Studies) expireBefore(before time.Time) error {
	ids, err := d.queue.Expire(d.ctx, before)
	for _, id := range ids {
		d.log.Info("a study is too old and was deleted", "study", id)
		err = errors.Join(err, d.forget(id))
	}
	return errors.Join(err, d.keys.expire(before))
}

// remove stops a study if need be, and deletes it.
func (d *Studies) remove(ctx context.Context, id string) error {
	if err := d.queue.Delete(ctx, id); err != nil {
		return err
	}
	return d.forget(id)
}

// forget drops what is kept of a study beside the queue.
func (d *Studies) forget(id string) error {
	d.asked.drop(id)
	d.told.drop(id)
	if d.cfg.Dir == "" {
		return nil
	}
	if err := os.Remove(d.path(id)); err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("api: table of a study: %w", err)
	}
	return nil
}

// gauges counts for the metrics.
func (d *Studies) gauges() *studyGauges {
	g := &studyGauges{runsComputed: d.worker.runs.Load()}
	for _, s := range d.queue.List() {
		switch s.State {
		case queue.Submitting, queue.Queued:
			g.waiting++
		case queue.Running:
			g.running++
		default:
			continue
		}
		g.runsLeft += int64(s.Runs - s.Done)
	}
	return g
}
