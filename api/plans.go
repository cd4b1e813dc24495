package api

import (
	"slices"
	"sync"

	"bankyear/sim"
)

// plans keeps the plans that were made last, because the next request often has
// the same weather, array and load. Safe for concurrent use.
type plans struct {
	mostRows int // of all together

	mu   sync.Mutex
	last []*sim.Plan // the latest used first
}

// mostPlanRows is four hourly years, about 8 MB.
const mostPlanRows = 4 * 8784

// compile makes the plan of a case from what other plans have.
func (k *plans) compile(c *Case, others ...*sim.Plan) *sim.Plan {
	if k == nil {
		return sim.CompileLike(&c.System, c.Weather, c.Load, others...)
	}
	k.mu.Lock()
	others = append(slices.Clone(others), k.last...)
	k.mu.Unlock()
	p := sim.CompileLike(&c.System, c.Weather, c.Load, others...)
	k.put(p)
	return p
}

// put keeps a plan in place of one with the same rows.
func (k *plans) put(p *sim.Plan) {
	k.mu.Lock()
	defer k.mu.Unlock()
	rows := 0
	kept := []*sim.Plan{p}
	for _, q := range k.last {
		if rows += q.Rows(); !q.SameRows(p) && rows+p.Rows() <= k.mostRows {
			kept = append(kept, q)
		}
	}
	k.last = kept
	if p.Rows() > k.mostRows {
		k.last = nil
	}
}
