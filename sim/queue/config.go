package queue

import (
	"context"
	"log/slog"
	"time"
)

// Work computes the runs from … to − 1 of a study from its input and gives their
// encoded results, at most MostPartBytes. The same input and runs must give the
// same results. An error is tried again, elsewhere perhaps; after the last try it
// is the chunk's result. A study that is cancelled cancels ctx. The input is shared
// and not to be changed.
type Work func(ctx context.Context, input []byte, from, to int) ([]byte, error)

// Config is what a queue is opened with.
type Config struct {
	// Dir is where the server inside this process keeps its files; one process
	// at a time. Empty with URL.
	Dir string
	// URL is that of servers outside, for example nats://host1,nats://host2.
	URL string
	// Credentials is a file with the credentials for the servers outside, or empty.
	Credentials string
	// Replicas is how many of the servers outside keep each message; 3 when 0.
	Replicas int
	// Engine identifies what computes; two that could differ in a bit must differ
	// here.
	Engine string
	// Work computes a chunk.
	Work Work
	// Workers is how many chunks are computed at once here; 0 computes none.
	Workers int
	// Bounds limits what is kept.
	Bounds Bounds
	// AckWait is how long a silent worker keeps a chunk; 10 s when 0.
	AckWait time.Duration
	// Log hears what goes wrong and is dealt with; nil for nobody.
	Log *slog.Logger
}

// Bounds limits what is kept; 0 takes the value in brackets.
type Bounds struct {
	Studies     int   // unfinished ones [64]
	Chunks      int   // waiting [100,000]
	ResultBytes int64 // of studies that are not compacted [4 GiB]
	InputBytes  int64 // of all studies [1 GiB]
}

const (
	// MostChunkRuns is the largest chunk.
	MostChunkRuns = 1024
	// MostPartBytes is the largest result of a chunk.
	MostPartBytes = 512 << 10
	// MostTries is how often a chunk is delivered before it counts as failed.
	MostTries = 10

	defaultAckWait = 10 * time.Second
	upkeepEvery    = 30 * time.Second
	requestTimeout = 5 * time.Second
	inputTimeout   = time.Minute
	reopenEvery    = 500 * time.Millisecond
)

func (c Config) filled() Config {
	if (c.Dir == "") == (c.URL == "") {
		panic("queue: needs exactly one of Dir and URL")
	}
	if c.Engine == "" || c.Work == nil && c.Workers > 0 {
		panic("queue: needs an engine and its work")
	}
	orElse(&c.Replicas, 3)
	orElse(&c.AckWait, defaultAckWait)
	orElse(&c.Bounds.Studies, 64)
	orElse(&c.Bounds.Chunks, 100_000)
	orElse(&c.Bounds.ResultBytes, 4<<30)
	orElse(&c.Bounds.InputBytes, 1<<30)
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	return c
}

func orElse[T comparable](x *T, preset T) {
	var zero T
	if *x == zero {
		*x = preset
	}
}
