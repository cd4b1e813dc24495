package api

import (
	"context"
	"strconv"
	"sync/atomic"
)

// slots bounds how many simulations run at once and how many wait.
type slots struct {
	*places
	waiting chan struct{} // of those who take a place, while they have it too
}

// places are those that queues share.
type places struct {
	running chan struct{}
	wanted  atomic.Int64 // by how many who wait now
}

func newSlots(running, waiting int) *slots {
	return &slots{&places{running: make(chan struct{}, running)}, make(chan struct{}, running+waiting)}
}

// beside is a queue of its own for the same places to run.
func (s *slots) beside(waiting int) *slots {
	return &slots{s.places, make(chan struct{}, cap(s.running)+waiting)}
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
	s.wanted.Add(1)
	defer s.wanted.Add(-1)
	select {
	case s.running <- struct{}{}:
		return func() { <-s.running; <-s.waiting }, nil
	case <-ctx.Done():
		<-s.waiting
		return nil, gone()
	}
}

// free finds a place to run that nobody has or waits for.
func (s *slots) free() (leave func(), ok bool) {
	if s.crowded() {
		return nil, false
	}
	select {
	case s.running <- struct{}{}:
		return func() { <-s.running }, true
	default:
		return nil, false
	}
}

// crowded tells whether somebody waits for a place.
func (s *slots) crowded() bool { return s.wanted.Load() > 0 }

// gone is the problem of a client that nobody will read.
func gone() *Problem {
	return busy.problem("The client went away.").with("Retry-After", strconv.Itoa(retryAfterS))
}
