package sim_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

// who are the ways in which somebody is there, and how soon (common practice, no
// source): 1 h attended, 24 h with a remote view, 72 h with neither.
var who = []struct {
	name, patch string
	hours       float64
}{
	{"nobody", `{}`, 72},
	{"remote view", `{"controls":{"remote_view":true}}`, 24},
	{"attended", `{"controls":{"operator":{"on_site":"always"}}}`, 1},
	{"attended and seen", `{"controls":{"remote_view":true,"operator":{"on_site":"always","response_h":2}}}`, 2},
	{"at once", `{"controls":{"remote_view":true,"operator":{"on_site":"always","response_h":0}}}`, 1. / 60},
	{"a slow operator", `{"controls":{"remote_view":true,"operator":{"on_site":"always","response_h":100}}}`, 24},
	{"one who only starts sets", `{"controls":{"operator":{"on_site":"always","does":["start_generator"]}}}`, 72},
	{"a far site", `{"controls":{"visit_response_h":300}}`, 300},
}

// A repair that nobody stated takes as long as somebody needs to be there, and is
// listed; a stated one stays.
func TestRepairs_ByPeople(t *testing.T) {
	const breaks = `{"bank":{"link_faults":{"mean_hours_between":1500,"mean_repair_h":null},"modules_out":{"modules":1,"start":"2025-06-01T00:00"}}}`
	for _, c := range who {
		s := system(t, breaks, c.patch)
		assert.Equal(t, c.hours, *s.Bank.LinkFaults.MeanRepairH, c.name)
		assert.Equal(t, c.hours, *s.Bank.ModulesOut.RepairH, c.name)
		assert.Equal(t, min(48, c.hours), *s.Generators["main"].CallOutH, c.name)
		s = system(t, breaks, c.patch, `{"bank":{"link_faults":{"mean_repair_h":5},"modules_out":{"repair_h":6}},"generators":{"main":{"call_out_h":7}}}`)
		assert.Equal(t, []float64{5, 6, 7}, []float64{*s.Bank.LinkFaults.MeanRepairH, *s.Bank.ModulesOut.RepairH, *s.Generators["main"].CallOutH}, c.name)
	}
	s := system(t)
	s.Bank.LinkFaults.MeanRepairH, s.Bank.ModulesOut.Modules = nil, 1
	var listed []string
	for _, f := range s.Complete() {
		if strings.HasSuffix(f.Pointer, "repair_h") || strings.HasSuffix(f.Pointer, "call_out_h") {
			listed = append(listed, f.Pointer)
		}
		if f.Pointer == "/bank/link_faults/mean_repair_h" {
			assert.Equal(t, sim.Filled{Pointer: f.Pointer, Value: 72., Basis: "visit_response_h: nobody on site who resets, and nobody sees it from afar"}, f)
		}
	}
	assert.Equal(t, []string{"/bank/link_faults/mean_repair_h", "/bank/modules_out/repair_h"}, listed, "the set's was filled before")
	s = system(t, `{"bank":{"link_faults":{"mean_hours_between":0,"mean_repair_h":null}}}`)
	assert.Nil(t, s.Bank.LinkFaults.MeanRepairH, "nothing breaks")
}

// On weekends alone the mean is that over all moments of a week, counted out minute
// by minute.
func TestRepairs_Weekends(t *testing.T) {
	const minutes = 7 * 24 * 60
	for _, visitor := range []float64{10, 24, 72, 119, 200} {
		sum := 0.
		for k := range minutes {
			at := (float64(k) + .5) / 60 // h after Saturday's start
			if at < 48 {
				sum += 1
			} else {
				sum += max(1, min(7*24-at, visitor))
			}
		}
		s := system(t, `{"bank":{"link_faults":{"mean_hours_between":1500,"mean_repair_h":null}},"controls":{"operator":{"on_site":"weekends"}}}`, patch(`{"controls":{"visit_response_h":%g}}`, visitor))
		assert.InDelta(t, sum/minutes, *s.Bank.LinkFaults.MeanRepairH, .01, visitor)
	}
}

// A link that fails every 1500 h is down longer the longer it takes until somebody
// is there: with the same draws, in proportion, but for the faults of each year's
// end. A bank that is not charged meanwhile shows it.
func TestRepairs_LinkDown(t *testing.T) {
	const fails = `{"bank":{"on_link_loss":"charge_stops","link_faults":{"mean_hours_between":1500,"mean_repair_h":null,"seed":%g}}}`
	down, dark := map[string]float64{}, map[string]float64{}
	for seed := 0.; seed < 10; seed++ {
		for _, c := range who[:3] {
			f := plan(t, patch(fails, seed), c.patch).Run(false).Figures
			down[c.name] += f.LinkDownH / 10
			dark[c.name] += f.DowntimeH / 10
		}
	}
	for _, c := range who[:3] { // 8760/(between + repair) faults a year; the mean of ten years within three standard errors
		faults := 8760 / (1500 + c.hours)
		assert.InDelta(t, faults*c.hours, down[c.name], 3*c.hours*2.5/3.16, c.name)
	}
	assert.Greater(t, dark["nobody"], dark["remote view"]+1)
	assert.GreaterOrEqual(t, dark["remote view"], dark["attended"])
}

// The reliefs that bring people repair the link sooner, and what they are given is
// left as it was.
func TestReliefs_Repair(t *testing.T) {
	given := system(t, `{"bank":{"link_faults":{"mean_hours_between":1500,"mean_repair_h":null}}}`).System
	given.Bank.LinkFaults.MeanRepairH = nil // as it is before Complete
	want := map[string]float64{"remote_view": 24, "somebody_on_site": 1}
	for _, r := range sim.Reliefs(&given) {
		if hours := want[r.Name]; hours > 0 {
			s := r.Lift(&given)
			s.Complete()
			assert.Equal(t, hours, *s.Bank.LinkFaults.MeanRepairH, r.Name)
			delete(want, r.Name)
		}
	}
	assert.Empty(t, want)
	assert.Equal(t, 1., *given.Attended("always").Bank.LinkFaults.MeanRepairH)
	require.Nil(t, given.Bank.LinkFaults.MeanRepairH)
}

// A set that never starts is tried again as soon as somebody has been there; the year
// goes on so from before it broke.
func TestRepairs_CallOut(t *testing.T) {
	w := steady(0)
	given := system(t, ideal, `{"bank":{"module":{"capacity_ah":4000}},"generators":{"main":{"key":"diesel_8kw","failed_start_fraction":1,"start_tries":1,"exercise":{"every_days":10}}}}`).System
	g := given.Generators["main"]
	g.CallOutH = nil
	given.Generators["main"] = g
	compiled := func(onSite string) (*sim.System, *sim.Plan) {
		s := given.Attended(onSite)
		return s, sim.Compile(s, w, dc(w, 100))
	}
	var fork *sim.Fork
	_, nobody := compiled("never")
	y := nobody.RunForking(false, false, func(f *sim.Fork) { fork = f })
	s, attended := compiled("always")
	require.NotNil(t, fork)
	assert.Equal(t, attended.Run(false), fork.Run(s))
	assert.Greater(t, fork.Run(s).Figures.GeneratorFailures, 10*y.Figures.GeneratorFailures)
}
