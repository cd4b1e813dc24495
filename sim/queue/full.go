package queue

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

// FullError says that a bound keeps a study from being taken, and when to ask
// again. Nothing of the study was kept.
type FullError struct {
	// Bound is what is full: studies, chunks, results or inputs.
	Bound      string
	RetryAfter time.Duration
}

func (e *FullError) Error() string {
	return fmt.Sprintf("queue: has no room for more %s; try again in %s", e.Bound, e.RetryAfter.Round(time.Second))
}

// refusal is why a stream did not take a message.
type refusal int

const (
	taken   refusal = iota // it did
	already                // it has one of the same subject
	noRoom                 // its bound is reached
	unsure                 // anything else: it may have it or not
)

// storeFailed is the server's code for a message that the store refused.
const storeFailed = 10077

func refusalOf(err error) refusal {
	var api *jetstream.APIError
	switch {
	case err == nil:
		return taken
	case !errors.As(err, &api) || api.ErrorCode != storeFailed:
		return unsure
	case strings.Contains(api.Description, "per subject"):
		return already
	case strings.Contains(api.Description, "maximum"):
		return noRoom
	}
	return unsure
}

// retryAfter guesses when there will be room: when the first of the unfinished
// studies is done at the rate of now.
func (q *Queue) retryAfter() time.Duration {
	const least, most, unknown = 5 * time.Second, 10 * time.Minute, 30 * time.Second
	wait := time.Duration(0)
	for _, k := range q.ledger.list() {
		if s, err := q.Status(k.id); err == nil && k.record.unfinished() && s.Remaining > 0 && (wait == 0 || s.Remaining < wait) {
			wait = s.Remaining
		}
	}
	if wait == 0 {
		return unknown
	}
	return min(max(wait, least), most)
}
