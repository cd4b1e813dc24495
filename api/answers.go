package api

import "bankyear/sim"

// kept is a simulation that can be told again: what was simulated, and the year
// without its hours, which are large and quick to make again.
type kept struct {
	c    *Case
	year *sim.Year // nil before the first run
	more *more
}

// answers keeps the latest simulations by content hash, up to a number. One with
// the same hash is replaced: the name and what was assumed are those of the
// latest request.
type answers struct{ *recent[string, kept] }

func newAnswers(most int) answers {
	return answers{newRecent[string](int64(most), func(kept) int64 { return 1 })}
}

func (a answers) put(k kept) { a.recent.put(k.c.Hash, k) }
