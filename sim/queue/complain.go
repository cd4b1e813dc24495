package queue

import (
	"context"
	"errors"
	"sync"
	"time"
)

// complaints keeps the log readable while something is down: the same complaint
// comes once in a while only.
type complaints struct {
	mu   sync.Mutex
	last map[string]time.Time
}

// complainEvery is how often the same complaint is logged.
const complainEvery = 10 * time.Second

// complain logs an error that is dealt with by trying again later.
func (q *Queue) complain(doing, what string, err error) {
	if err == nil || errors.Is(err, context.Canceled) || errors.Is(err, ErrUnknown) {
		return
	}
	c := &q.complaints
	c.mu.Lock()
	defer c.mu.Unlock()
	now := time.Now()
	if now.Sub(c.last[doing]) < complainEvery {
		return
	}
	if c.last == nil {
		c.last = map[string]time.Time{}
	}
	c.last[doing] = now
	q.log.Warn(doing, "of", what, "error", err)
}
