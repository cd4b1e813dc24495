package api

import (
	"context"
	"io"
	"iter"
	"runtime"
	"sync"
	"time"

	"bankyear/api/tabular"
	"bankyear/sim/fault"
)

// DirectStudy is a study that passed every check and is computed in this process,
// without a queue.
type DirectStudy struct {
	*Study
	Estimate Estimate
	open     func(name string) (io.ReadCloser, error)
	workers  int
}

// DirectStudy takes the JSON of a study, checks it whole and says what it will
// take on so many workers; 0 is one a processor.
func (cs *Cases) DirectStudy(ctx context.Context, raw []byte, workers int) (*DirectStudy, fault.Faults) {
	if workers == 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	s, faults, _ := readStudy(raw)
	if len(faults) > 0 {
		return nil, faults
	}
	d := &DirectStudy{Study: s, open: cs.Open, workers: workers}
	if faults := s.check(ctx, d.lane); len(faults) > 0 {
		return nil, faults
	}
	d.Estimate = s.estimate(d.lane(), workers)
	return d, nil
}

func (d *DirectStudy) lane() *lane { return newLane(d.Study, Cases{Open: d.open}) }

// directChunk is about how long a worker is at one chunk.
const directChunk = 200 * time.Millisecond

// Blocks computes all runs, and gives them in their order as blocks of Columns. A
// few chunks for each worker are under way at once, no more.
func (d *DirectStudy) Blocks(ctx context.Context) iter.Seq2[*tabular.Block, error] {
	type chunk struct {
		from, to int
		done     chan *tabular.Block // closed without one when ctx has ended
	}
	runs := d.Plan.Runs()
	size := max(1, min(int(directChunk.Seconds()/max(d.Estimate.RunS, 1e-6)), (runs+4*d.workers-1)/(4*d.workers), mostDirectRuns))
	return func(yield func(*tabular.Block, error) bool) {
		ctx, cancel := context.WithCancel(ctx)
		var working sync.WaitGroup
		defer working.Wait()
		defer cancel()
		work, inOrder := make(chan chunk), make(chan chunk, 2*d.workers)
		working.Go(func() {
			defer close(work)
			defer close(inOrder)
			for from := 0; from < runs; from += size {
				c := chunk{from, min(from+size, runs), make(chan *tabular.Block, 1)}
				select {
				case inOrder <- c:
				case <-ctx.Done():
					return
				}
				select {
				case work <- c:
				case <-ctx.Done():
					close(c.done)
					return
				}
			}
		})
		for range d.workers {
			working.Go(func() {
				l := d.lane()
				for c := range work {
					if b, err := l.rows(ctx, c.from, c.to); err == nil {
						c.done <- b
					}
					close(c.done)
				}
			})
		}
		columns := d.Columns()
		for c := range inOrder {
			b := <-c.done
			if b == nil {
				yield(nil, ctx.Err())
				return
			}
			whole := b.In(columns)
			d.place(whole, c.from)
			if !yield(whole, nil) {
				return
			}
		}
		if ctx.Err() != nil {
			yield(nil, ctx.Err())
		}
	}
}

// mostDirectRuns is the largest chunk.
const mostDirectRuns = 4096
