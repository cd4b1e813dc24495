package api

import (
	"context"
	"crypto/sha256"
	"fmt"
	"log/slog"
	"sync"
	"sync/atomic"

	"bankyear/api/tabular"
)

// StudyWorker computes runs of studies from their bundles. It keeps what it read of
// the studies that it worked on last. Safe for concurrent use.
type StudyWorker struct {
	log  *slog.Logger
	runs *atomic.Int64 // years simulated, counted
	mu   sync.Mutex
	open []*openStudy // the latest first
}

// openStudy is a study that is being worked on.
type openStudy struct {
	bundle [sha256.Size]byte
	read   func() error // once
	study  *Study
	stored *content
	known  *known
	idle   chan *lane
}

// mostOpen studies are kept open.
const mostOpen = 4

// mostIdle lanes of a study are kept.
const mostIdle = 64

// NewStudyWorker makes one. It logs content that it cannot read.
func NewStudyWorker(log *slog.Logger) *StudyWorker {
	return &StudyWorker{log: log, runs: &atomic.Int64{}}
}

// Work computes the runs from … to − 1 of the study in a bundle, and gives them as a
// part of its table. The same bundle and runs give the same bytes.
func (w *StudyWorker) Work(ctx context.Context, bundle []byte, from, to int) ([]byte, error) {
	o := w.opened(sha256.Sum256(bundle), bundle)
	if err := o.read(); err != nil {
		return nil, err
	}
	var l *lane
	select {
	case l = <-o.idle:
	default:
		l = o.lane()
	}
	b, err := l.rows(ctx, from, to)
	if err != nil {
		return nil, err
	}
	select {
	case o.idle <- l:
	default:
	}
	w.runs.Add(int64(to - from))
	return tabular.EncodePart(b), nil
}

// bundleContentBytes is how much decoded content a study keeps.
const bundleContentBytes = 128 << 20

func (o *openStudy) lane() *lane { return newLane(o.study, Cases{content: o.stored, known: o.known}) }

// opened finds an open study, or opens it.
func (w *StudyWorker) opened(sum [sha256.Size]byte, bundle []byte) *openStudy {
	w.mu.Lock()
	defer w.mu.Unlock()
	for i, o := range w.open {
		if o.bundle == sum {
			copy(w.open[1:i+1], w.open[:i])
			w.open[0] = o
			return o
		}
	}
	o := &openStudy{bundle: sum, idle: make(chan *lane, mostIdle)}
	o.read = sync.OnceValue(func() error {
		s, pieces, err := openBundle(bundle)
		if err != nil {
			return fmt.Errorf("api: bundle of a study: %w", err)
		}
		o.study, o.stored = s, contentOf(pieces, w.log, bundleContentBytes)
		o.known = newKnown(bundleContentBytes / 4)
		return nil
	})
	w.open = append([]*openStudy{o}, w.open[:min(len(w.open), mostOpen-1)]...)
	return o
}
