package sim

import (
	"slices"

	"bankyear/sim/bank"
)

// Links that a chain of waking hangs on.
const (
	linkSignal      = "something gives the start signal"
	linkFed         = "the signal is fed while the DC bus is dead"
	linkSetStarts   = "the AC charger puts voltage on a dead bus"
	linkSunStarts   = "a solar charger puts voltage on a dead bus"
	linkChargersMay = "the chargers work while the data link is lost"
	linkCloses      = "the BMS closes on it"
)

// WakeChain is one way in which a bank that sleeps after over-discharge may be
// woken: links that must all hold. Broken is the first that does not, empty when
// the chain holds.
type WakeChain struct {
	By     string     `json:"by" doc:"generator, grid, solar or visit."`
	Of     string     `json:"of,omitzero" doc:"Name of the generator."`
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
// breaks: common practice, no source. There are none for lead-acid, which does not
// sleep.
func (s *System) WakeChains() []WakeChain {
	out := []WakeChain{}
	if s.Bank.Module.LeadAcid() {
		return out
	}
	starts := WakeLink{linkSetStarts, s.Inverter.ChargerStartsWithoutBank, yes("charger_starts_without_bank", s.Inverter.ChargerStartsWithoutBank)}
	for _, name := range sortedKeys(s.Generators) {
		g := s.Generators[name]
		auto := g.StartSignal != "by_hand"
		signal := "start_signal is " + g.StartSignal
		fed := "signal_fed_from is " + g.SignalFedFrom
		c := chain("generator", WakeLink{linkSignal, auto, signal}, WakeLink{linkFed, g.SignalFedFrom == "own_battery", fed}, starts, closes(&s.Bank, "generator"))
		c.Of = name
		out = append(out, c)
	}
	if s.Grid != nil {
		out = append(out, chain("grid", starts, closes(&s.Bank, "generator")))
	}
	sun := slices.ContainsFunc(sortedKeys(s.Array.Chargers), func(name string) bool { return s.Array.Chargers[name].StartsWithoutBank })
	why := yes("starts_without_bank", sun)
	if len(s.Array.Chargers) == 0 {
		why = "there is no solar charger"
		if len(s.Array.Inverters) > 0 {
			why += ", and PV inverters need the inverter's AC"
		}
	}
	out = append(out, chain("solar", WakeLink{linkSunStarts, sun, why}, closes(&s.Bank, "solar")))
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
	return WakeLink{linkCloses, holds, why}
}

func yes(name string, is bool) string {
	if is {
		return name + " is true"
	}
	return name + " is false"
}
