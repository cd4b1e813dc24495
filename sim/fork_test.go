package sim_test

import (
	"slices"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bankyear/sim"
)

// The year with another operator goes on from a fork with the bits that it has from
// its start; where there is no fork it is the year itself.
func TestFork_SameBits(t *testing.T) {
	check := func(t require.TestingT, given *sim.System, compile func(*sim.System) *sim.Plan, presences ...string) (dark bool) {
		given.Bank.LinkFaults.MeanRepairH, given.Bank.Link.Gateway.Faults.MeanRepairH, given.Bank.ModulesOut.RepairH = nil, nil, nil // left to who is there
		repairs := given.RepairsByPeople()
		var fork *sim.Fork
		whole := compile(given.Attended(given.Controls.Operator.OnSite)).RunForking(false, repairs, func(f *sim.Fork) { fork = f })
		require.Equal(t, whole.Waited || repairs && whole.Broke, fork != nil)
		for _, onSite := range presences {
			other := given.Attended(onSite)
			want, got := compile(other).Run(false), whole
			if fork != nil {
				got = fork.Run(other)
			}
			require.Equal(t, want, got, "on site %s", onSite)
		}
		return fork != nil
	}
	dark := 0
	for _, c := range refCases {
		t.Run(c.name, func(t *testing.T) {
			s := system(t, refBase, c.patch)
			w, l := c.inputs(&s.System)
			if check(t, &s.System, func(s *sim.System) *sim.Plan { return sim.Compile(s, w, l) }, "always", "weekends", "never") {
				dark++
			}
		})
	}
	assert.Greater(t, dark, 10, "of the systems")
	w, err := burlington()
	require.NoError(t, err)
	rapid.Check(t, func(r *rapid.T) {
		station := randomStation(r)
		r.Log(station)
		s := system(t, station)
		l := load(t, &s.Load, w)
		var last []*sim.Plan
		check(r, &s.System, func(s *sim.System) *sim.Plan {
			last = []*sim.Plan{sim.CompileLike(s, w, l, last...)}
			return last[0]
		}, rapid.SampledFrom([]string{"always", "weekends"}).Draw(r, "on site"))
	})
}

// From any row on, a year that was laid aside there goes on as it does itself, also
// while that runs.
func TestFork_OwnState(t *testing.T) {
	for _, c := range refCases {
		t.Run(c.name, func(t *testing.T) {
			s := system(t, refBase, c.patch)
			w, l := c.inputs(&s.System)
			p := sim.Compile(&s.System, w, l)
			want := p.Run(false)
			for row := 19; row < 24*c.days; row += 31 {
				fork, rest := p.ForkAt(row)
				var years [2]*sim.Year
				var all sync.WaitGroup
				all.Go(func() { years[0] = rest() })
				all.Go(func() { years[1] = fork.Run(&s.System) })
				all.Wait()
				require.Equal(t, want, years[0], "from row %d on", row)
				require.Equal(t, want, years[1], "from row %d on", row)
			}
		})
	}
}

// What a machine only refers to is read alone, made anew, or given to each copy by
// unshare: a new reference wants a place in one of these lists.
func TestFork_References(t *testing.T) {
	read := []string{"p", "whole", "row", "people.awake", "people.linkEdges", "line.base", "outage.first.Reported", "outage.first.Chain", "outage.first.During", "outage.list"}
	anew := []string{"stretch.f", "stretch.acid", "books", "rec"}
	own := []string{"latch.trips", "lowEnd.cutOffs", "line.rounds", "flow.Rainflow"}
	assert.ElementsMatch(t, slices.Concat(read, anew, own), sim.References())
}
