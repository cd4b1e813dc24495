package api

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
)

// crew runs the years that one request asks for: on the place that the request
// has, and on others as long as they are free.
type crew struct {
	ctx   context.Context
	slots *slots // nil: one place a processor
	plans *plans // nil: none are kept
	ran   func() // called for each year that was simulated; may be nil
}

// each calls do for 0 to n − 1, several at once, in no order. It returns early
// when nobody waits for the answer any more; then it returns false.
func (c *crew) each(n int, do func(i int)) bool {
	var next atomic.Int64
	var failed atomic.Pointer[any]
	work := func(helps bool) {
		defer func() {
			if cause := recover(); cause != nil { // told to the request's own goroutine
				failed.CompareAndSwap(nil, &cause)
			}
		}()
		for c.ctx.Err() == nil && failed.Load() == nil {
			i := int(next.Add(1)) - 1
			if i >= n {
				return
			}
			do(i)
			if helps && c.slots.crowded() {
				return // another request waits for this place
			}
		}
	}
	var helpers sync.WaitGroup
	for range n - 1 {
		leave, ok := c.another()
		if !ok {
			break
		}
		helpers.Go(func() {
			defer leave()
			work(true)
		})
	}
	work(false)
	helpers.Wait()
	if cause := failed.Load(); cause != nil {
		panic(*cause)
	}
	return c.ctx.Err() == nil
}

// meanwhile does something on another place while the caller goes on, and is false
// when none is free. wait waits for its end.
func (c *crew) meanwhile(do func()) (wait func(), ok bool) {
	leave, ok := c.another()
	if !ok {
		return nil, false
	}
	ended := make(chan any, 1)
	go func() {
		defer func() {
			cause := recover() // told to the request's own goroutine
			leave()
			ended <- cause
		}()
		do()
	}()
	return func() {
		if cause := <-ended; cause != nil {
			panic(cause)
		}
	}, true
}

// another finds a place for one more goroutine. Without slots there are as many
// as processors, counted for this crew alone.
func (c *crew) another() (leave func(), ok bool) {
	if c.slots == nil {
		c.slots = newSlots(max(1, runtime.GOMAXPROCS(0)-1), 0)
	}
	return c.slots.free()
}

// crew is that of one request, which has a place already.
func (s *Service) crew(ctx context.Context) *crew {
	return &crew{ctx: ctx, slots: s.slots, plans: s.lastPlans, ran: func() { s.metrics.runs.Add(1) }}
}

// alone is a crew without a service.
func alone() *crew { return &crew{ctx: context.Background()} }
