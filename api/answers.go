package api

import (
	"container/list"
	"sync"

	"bankyear/sim"
)

// kept is a simulation that can be told again: what was simulated, and the year
// without its hours, which are large and quick to make again.
type kept struct {
	c    *Case
	year *sim.Year // nil before the first run
}

// answers keeps the latest simulations by content hash, up to a number.
type answers struct {
	mu     sync.Mutex
	most   int
	byHash map[string]*list.Element
	recent *list.List // of kept, the latest used first
}

func newAnswers(most int) *answers {
	return &answers{most: most, byHash: map[string]*list.Element{}, recent: list.New()}
}

// put keeps a simulation and forgets the one that was not used for longest. One
// with the same hash is replaced: the name and what was assumed are those of the
// latest request.
func (a *answers) put(k kept) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if e, ok := a.byHash[k.c.Hash]; ok {
		e.Value = k
		a.recent.MoveToFront(e)
		return
	}
	a.byHash[k.c.Hash] = a.recent.PushFront(k)
	if a.recent.Len() > a.most {
		oldest := a.recent.Back()
		delete(a.byHash, oldest.Value.(kept).c.Hash)
		a.recent.Remove(oldest)
	}
}

// get finds a simulation.
func (a *answers) get(hash string) (kept, bool) {
	a.mu.Lock()
	defer a.mu.Unlock()
	e, ok := a.byHash[hash]
	if !ok {
		return kept{}, false
	}
	a.recent.MoveToFront(e)
	return e.Value.(kept), true
}

// len is how many are kept.
func (a *answers) len() int {
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.recent.Len()
}
