package api

import (
	"context"
	"strconv"
)

// slots bounds how many simulations run at once and how many wait.
type slots struct {
	running chan struct{}
	waiting chan struct{}
}

func newSlots(running, waiting int) *slots {
	return &slots{running: make(chan struct{}, running), waiting: make(chan struct{}, running+waiting)}
}

// beside is a queue of its own for the same places to run.
func (s *slots) beside(waiting int) *slots {
	return &slots{running: s.running, waiting: make(chan struct{}, cap(s.running)+waiting)}
}

// retryAfterS is when a client that found no place may ask again.
const retryAfterS = 1

// take waits for a place to run. The caller gives it back by calling leave. It
// is a problem when too many wait already, or the client goes away.
func (s *slots) take(ctx context.Context) (leave func(), p *Problem) {
	select {
	case s.waiting <- struct{}{}:
	default:
		return nil, busy.problem("Ask again later.").with("Retry-After", strconv.Itoa(retryAfterS))
	}
	select {
	case s.running <- struct{}{}:
		return func() { <-s.running; <-s.waiting }, nil
	case <-ctx.Done():
		<-s.waiting
		return nil, gone()
	}
}

// free takes a place to run if nobody has or waits for it.
func (s *slots) free() (leave func(), ok bool) {
	select {
	case s.running <- struct{}{}:
		return func() { <-s.running }, true
	default:
		return nil, false
	}
}

// gone is the problem of a client that nobody will read.
func gone() *Problem {
	return busy.problem("The client went away.").with("Retry-After", strconv.Itoa(retryAfterS))
}
