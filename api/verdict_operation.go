package api

import (
	"fmt"
	"maps"
	"reflect"

	"bankyear/sim"
	"bankyear/sim/bank"
)

// operations says what the data link is worth: each data-linked candidate against
// each voltage-only one that is else the same. It never assumes that the link wins.
func (v *Verdict) operations(x []judged) {
	var pairs [][2]*judged
	for i := range x {
		for k := range x {
			linked, alone := &x[i], &x[k]
			if linked.s.Bank.Operation == "data_linked" && alone.s.Bank.Operation == "voltage_only" && sameButOperation(linked, alone) {
				pairs = append(pairs, [2]*judged{linked, alone})
			}
		}
	}
	for _, p := range pairs {
		which := ""
		if len(pairs) > 1 {
			which = p[0].name + " against " + p[1].name + ": "
		}
		v.operation(which, p[0], p[1])
	}
}

// sameButOperation tells whether two candidates differ in nothing but the operation and
// what goes with it: the link and its faults, the chargers' settings and sensors, the
// counter, the low end. Else what differs is not what the link is worth.
func sameButOperation(a, b *judged) bool {
	bare := func(s sim.System) sim.System {
		b := &s.Bank
		b.Operation, b.OnLinkLoss, b.OnLinkReturn = "", "", ""
		b.Link, b.LinkFaults, b.LinkChain = bank.Link{}, bank.LinkFaults{}, nil
		b.Settings, b.Estimate, s.Controls.LowEnd = nil, bank.Estimate{}, sim.LowEnd{}
		s.Array.Chargers = maps.Clone(s.Array.Chargers)
		for name, c := range s.Array.Chargers {
			c.TemperatureSensor, c.HearsLink = false, nil
			s.Array.Chargers[name] = c
		}
		return s
	}
	return a.weather == b.weather && a.load == b.load && reflect.DeepEqual(bare(*a.s), bare(*b.s))
}

func (v *Verdict) operation(which string, linked, alone *judged) {
	dark := difference(linked, alone, "downtime_h") // positive: the link wins
	gen := difference(linked, alone, "generator_h")
	byDark, byGen := leads(linked, alone, "downtime_h", 0.5), leads(linked, alone, "generator_h", 5)
	when := "this year"
	if linked.years != nil {
		when = "these years"
	}
	switch {
	case byDark < 0:
		v.add(which+"The voltage-only bank is dark less than the data-linked one: %s", whyAlone(linked, alone))
	case byDark > 0:
		v.add(which+"The data link saves %s of darkness: %s", dark.Words("h"), whyLinked(linked, alone))
	case byGen > 0:
		v.add(which+"The data link saves generator hours (%s), not dark hours", gen.Words("h"))
	case byGen < 0:
		v.add(which+"The data link saves no dark hours, and the generator runs %s", less(gen, "h", "as long"))
	default:
		v.add(which+"The data link makes no difference that counts in %s", when)
	}
	if h := linked.f.LinkDownH; h > 0 {
		v.add("The link of %s was down for %s; %s", linked.name, hours(h), afterLoss[linked.s.Bank.OnLinkLoss])
	}
}

// whyAlone says why voltage-only is dark less, by the cause that most of the
// data-linked bank's further downtime has.
func whyAlone(linked, alone *judged) string {
	cause, h := decidingCause(alone.f, linked.f)
	low, other := &linked.s.Controls.LowEnd, &alone.s.Controls.LowEnd
	why := ""
	switch cause {
	case "link_loss":
		why = fmt.Sprintf("a lost link itself kept the site dark for %s more (on_link_loss is %s)", hours(h), linked.s.Bank.OnLinkLoss)
	case "empty":
		why = fmt.Sprintf("data-linked, the load stops at a reported %s %% (stop_soc_fraction) and comes back at %s %% (resume_soc_fraction); voltage-only it runs on to %s V (cut_off_v)", short(100*low.StopSoC), short(100*low.ResumeSoC), short(other.CutOffV))
	case "too_cold", "too_hot":
		why = "a data-linked bank asks the inverter to stop outside its discharge window (protection.discharge_cold_c and discharge_hot_c)"
	default:
		why = causeWords[cause]
	}
	if alone.f.ChargedTooColdH >= 1 {
		why += fmt.Sprintf("; and the voltage-only bank was charged while too cold for %s: that is damage, no win", hours(alone.f.ChargedTooColdH))
	}
	return why
}

// whyLinked says why data-linked is dark less.
func whyLinked(linked, alone *judged) string {
	cause, h := decidingCause(linked.f, alone.f)
	switch cause {
	case "empty":
		return fmt.Sprintf("voltage-only, the bank was charged less: at most %s A a module at every temperature against the BMS's own limit, held at the charge ceiling for %s against %s", short(alone.s.Bank.Module.VoltageOnlyA), hours(alone.f.AtCeilingH), hours(linked.f.AtCeilingH))
	case "sudden_stop":
		return fmt.Sprintf("voltage-only, %s more were sudden stops at the cut-off voltage: the reported state of charge was wrong by up to %s", hours(h), points(alone.f.SoCErrorMax))
	case "charge_trip", "protection":
		return fmt.Sprintf("voltage-only, the chargers push the modules into their protection: %d trips against %d", alone.f.Trips, linked.f.Trips)
	}
	return fmt.Sprintf("voltage-only, for %s more %s", hours(h), causeWords[cause])
}
