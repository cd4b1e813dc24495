package sim

import (
	"iter"
	"slices"

	"bankyear/sim/bank"
)

// callOutH is how long a set that did not start waits for a mechanic who has to
// come (common practice, no source), h.
const callOutH = 48

// leastRepairH is how long a repair takes at least, h: somebody who is there at once
// still has to find it (common practice, no source).
const leastRepairH = 1. / 60

// attendance is how soon somebody who can repair is there, h, and what says so. The
// operator counts who does reset. On weekends alone, a fault on one of the two days
// waits response_h; on one of the five before, w evenly from 0 to 120 h, for the
// weekend or the visitor v, whoever is sooner: in the mean ∫ min(w, v) dw/120 =
// x − x²/240, x = min(v, 120). With the defaults 1 h attended, 24 h with a remote
// view and 72 h with neither (common practice, no source).
func (c *Controls) attendance() (hours float64, basis string) {
	hours, basis = c.VisitResponseH, "visit_response_h: nobody on site who resets, and nobody sees it from afar"
	if c.RemoteView && c.RemoteVisitH < hours {
		hours, basis = c.RemoteVisitH, "remote_visit_h: it is seen from afar"
	}
	hours = max(leastRepairH, hours)
	o := &c.Operator
	if !slices.Contains(o.Does, "reset") {
		return hours, basis
	}
	here := max(leastRepairH, min(o.ResponseH, hours))
	switch o.OnSite {
	case "always":
		return here, "response_h of the operator, who is there"
	case "weekends":
		x := min(hours, 120)
		return (2*here + 5*max(here, x-x*x/240)) / 7, "the mean over a week: response_h of the operator on two days of seven, else the weekend or a visitor, whoever is sooner"
	}
	return hours, basis
}

// completeRepairs fills how long repairs take where that was left out and something
// may break.
func (s *System) completeRepairs(list func(pointer string, value any, basis string)) {
	hours, basis := s.Controls.attendance()
	fill := func(of **float64, pointer string, is float64, basis string) {
		if *of == nil {
			*of = &is
			list(pointer, is, basis)
		}
	}
	for at, f := range s.linkFaults() {
		if f.MeanHoursBetween > 0 {
			fill(&f.MeanRepairH, at+"mean_repair_h", hours, basis)
		}
	}
	if o := &s.Bank.ModulesOut; o.Modules > 0 {
		fill(&o.RepairH, "/bank/modules_out/repair_h", hours, basis)
	}
	for _, name := range sortedKeys(s.Generators) {
		g := s.Generators[name]
		if g.FailedStartFraction == 0 {
			continue
		}
		if hours < callOutH {
			fill(&g.CallOutH, "/generators/"+name+"/call_out_h", hours, basis)
		} else {
			fill(&g.CallOutH, "/generators/"+name+"/call_out_h", callOutH, "a mechanic who has to come, common practice")
		}
		s.Generators[name] = g
	}
}

// linkFaults are the faults of the link and of its gateway, by where they stand; none
// of a bank without a link.
func (s *System) linkFaults() iter.Seq2[string, *bank.LinkFaults] {
	return func(yield func(string, *bank.LinkFaults) bool) {
		b := &s.Bank
		_ = isLinked(s) && yield("/bank/link_faults/", &b.LinkFaults) && yield("/bank/link/gateway/faults/", &b.Link.Gateway.Faults)
	}
}

// RepairsByPeople tells whether who is there decides when the link or modules are back,
// in a system that is as it was before Complete: then a year with another operator
// differs from where the first of them fails.
func (s *System) RepairsByPeople() bool {
	for _, f := range s.linkFaults() {
		if f.MeanHoursBetween > 0 && f.MeanRepairH == nil {
			return true
		}
	}
	o := &s.Bank.ModulesOut
	return o.Modules > 0 && o.RepairH == nil
}
