package queue

import (
	"context"
	"time"
)

// each is ctx without its deadline: it still ends when ctx does, but a single
// request to the servers waits only for the default timeout. With a deadline the
// library would wait that long for an answer that was lost with a server.
func each(ctx context.Context) context.Context { return undated{ctx} }

type undated struct{ context.Context }

func (undated) Deadline() (time.Time, bool) { return time.Time{}, false }
