package api

import (
	"strconv"
	"sync/atomic"
)

// memory bounds what the bodies of all connections hold together, read and
// waiting, so that many large or slow ones cannot exhaust the machine.
type memory struct {
	most int64
	used atomic.Int64
}

// hold begins the account of one body.
func (m *memory) hold() *held { return &held{m: m} }

// held is the memory of one body. Not for concurrent use.
type held struct {
	m     *memory
	bytes int64
}

// more holds n more bytes, or none and is false when there is no room.
func (h *held) more(n int64) bool {
	if h.m.used.Add(n) > h.m.most {
		h.m.used.Add(-n)
		return false
	}
	h.bytes += n
	return true
}

// less gives n bytes back.
func (h *held) less(n int64) {
	h.m.used.Add(-n)
	h.bytes -= n
}

// free gives everything back; it may be called again.
func (h *held) free() { h.less(h.bytes) }

// noMemory is the problem of a body that there is no room for at the moment.
func noMemory() *Problem {
	return busy.problem("The bodies that are being read take all the memory there is for them.").with("Retry-After", strconv.Itoa(retryAfterS))
}
