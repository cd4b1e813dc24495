package sim

import (
	"slices"

	"bankyear/sim/bank"
)

// WakeChain is one way in which a bank that sleeps after over-discharge may be
// woken: links that must all hold. Broken is the first that does not, empty when
// the chain holds.
type WakeChain struct {
	By     string     `json:"by" doc:"generator, solar or visit."`
	Links  []WakeLink `json:"links" doc:"What must hold, in order."`
	Broken string     `json:"broken,omitzero" doc:"The first link that does not hold."`
}

// WakeLink is one link of the chain.
type WakeLink struct {
	Link  string `json:"link" doc:"What must hold."`
	Holds bool   `json:"holds" doc:"Whether it does."`
	Why   string `json:"why" doc:"What decides it."`
}

// WakeChains tells how a sleeping bank would be woken, and where each chain
// breaks: common practice, no source.
func (s *System) WakeChains() []WakeChain {
	var out []WakeChain
	for _, name := range sortedKeys(s.Generators) {
		g := s.Generators[name]
		auto := g.StartSignal != "by_hand"
		signal := "start_signal is " + g.StartSignal
		fed := "signal_fed_from is " + g.SignalFedFrom
		out = append(out, chain("generator",
			WakeLink{"something gives the start signal", auto, signal},
			WakeLink{"the signal is fed while the DC bus is dead", g.SignalFedFrom == "own_battery", fed},
			WakeLink{"the AC charger puts voltage on a dead bus", s.Inverter.ChargerStartsWithoutBank, yes("charger_starts_without_bank", s.Inverter.ChargerStartsWithoutBank)},
			closes(&s.Bank, "generator")))
	}
	starts := slices.ContainsFunc(sortedKeys(s.Array.Chargers), func(name string) bool { return s.Array.Chargers[name].StartsWithoutBank })
	out = append(out, chain("solar",
		WakeLink{"a solar charger puts voltage on a dead bus", starts, yes("starts_without_bank", starts)},
		closes(&s.Bank, "solar")))
	return append(out, chain("visit", closes(&s.Bank, "visit")))
}

func chain(by string, links ...WakeLink) WakeChain {
	c := WakeChain{By: by, Links: links}
	for _, l := range links {
		if !l.Holds {
			c.Broken = l.Link
			break
		}
	}
	return c
}

func closes(b *bank.Spec, by string) WakeLink {
	holds := slices.Contains(b.WokenBy, by)
	why := "woken_by holds " + by
	if !holds {
		why = "woken_by does not hold " + by
	}
	return WakeLink{"the BMS closes on it", holds, why}
}

func yes(name string, is bool) string {
	if is {
		return name + " is true"
	}
	return name + " is false"
}
