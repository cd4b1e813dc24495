package sim_test

import (
	"maps"
	"math"
	"slices"
	"testing"

	"bankyear/sim"
	"bankyear/sim/array"
)

// What changes, and when: the reference tells it in the words of the simulation's
// events, so that the two can be compared one by one.

// refEvents are the seconds of each kind of event.
type refEvents map[string][]float64

// refStatus is what is told of.
type refStatus struct {
	on     [refTold]bool
	trip   [quantities]int // 1 tripped, 2 latched
	inv    string
	set    string
	gen    string
	grid   bool
	held   int
	open   int
	stuck  bool
	broken bool
	dry    int
}

// What is on or off, and its events.
const refTold = 18

var refTurns = [refTold][2]string{
	{"data link down", "data link up"}, {"data link lost", "data link followed again"},
	{"bank falls asleep", "bank is woken"}, {"cells give no more at their temperature", ""},
	{"cells too cold to discharge", "cells may discharge again"}, {"cells too hot to discharge", "cells may discharge again"},
	{"load stops", "load may come back"}, {"bus stands above the inverter's highest voltage", "bus is back in the inverter's window"},
	{"load is locked out until a visit", "lock-out is reset"}, {"grid goes", "grid comes back"},
	{"BMS says full", "BMS asks for charge again"}, {"solar chargers float", ""}, {"AC charger floats", ""},
	{"load is cabled past the inverter", "load is back on the inverter's output"},
	{"operator sheds flexible load", "operator puts flexible load back"}, {"flexible load is shed", "flexible load returns"},
	{"heater on", "heater off"}, {"fan on", "fan off"},
}

var refTripNames = [quantities]string{qChargeCold: "charge_too_cold", qChargeHot: "charge_too_hot", qOverV: "over_voltage", qChargeOver: "charge_over_current",
	qOutCold: "discharge_too_cold", qOutHot: "discharge_too_hot", qUnderV: "under_voltage", qOutOver: "discharge_over_current"}

// status is what is told of as it is now.
func (r *reference) status() (s refStatus) {
	st := &r.st
	deafSun := slices.ContainsFunc(r.chargers, func(c array.Charger) bool { return !refHears(c.HearsLink) })
	s.on = [refTold]bool{
		st.linkDown, st.lost, st.asleep, st.atFloor, st.coldOut, st.hotOut, st.stopped, st.tooHigh, st.locked, len(r.sets) > 0 && r.sets[0].grid && r.gridDown(), st.bmsFull,
		(r.byVoltage() && !r.mixes() || r.mixes() && deafSun) && st.solar.floating, (r.byVoltage() && !r.mixes() || r.mixes() && r.acDeaf) && st.ac.floating && r.loaded(),
		st.hand.cabled, st.hand.sheds, st.shedSoC || st.shedV, st.heater, st.fan,
	}
	for q := range quantities {
		switch {
		case st.latched&(1<<q) != 0:
			s.trip[q] = 2
		case st.trip[q].tripped:
			s.trip[q] = 1
		}
	}
	switch {
	case st.inverterOn:
		s.inv = "runs"
	case st.motorFailed:
		s.inv = "after a motor"
	case st.overloaded:
		s.inv = "gives up on the load"
	case st.restart.on:
		s.inv = "restarts"
	default:
		s.inv = "is off"
	}
	s.held, s.open, s.stuck = st.heldBack.stage, st.line.open, st.line.stuck
	s.broken = st.line.broken
	for k := range r.sets {
		if !r.sets[k].grid && st.engines[k].fuelL <= 0 {
			s.dry++
		}
	}
	if len(r.sets) > 0 {
		g := r.engine()
		s.set, s.grid = "generator", r.sets[st.charge].grid
		if len(r.sets) > 1 {
			s.set += " " + r.sets[st.charge].name
		}
		s.gen = [...]string{phaseOff: "stands", phaseStarting: "gets the start signal", phaseWarm: "warms up", phaseLoaded: "takes load", phaseCool: "cools down"}[g.phase]
		switch {
		case g.phase == phaseOff && g.broken:
			s.gen = "failed to start at every try"
		case g.phase == phaseOff && g.notBefore > r.now:
			s.gen = "failed to start"
		}
	}
	return s
}

// tell notes an event.
func (r *reference) tell(what, of string) {
	if r.now == 0 { // as it begins
		return
	}
	if of != "" {
		what += ", " + of
	}
	r.events[what] = append(r.events[what], float64(r.now))
}

// watch tells what has changed since the last second.
func (r *reference) watch() {
	was, now := r.told, r.status()
	r.told = now
	for k, words := range refTurns {
		switch {
		case now.on[k] && !was.on[k]:
			r.tell(words[0], "")
		case was.on[k] && !now.on[k] && words[1] != "":
			r.tell(words[1], "")
		}
	}
	for q, name := range refTripNames {
		switch {
		case now.trip[q] == was.trip[q]:
		case now.trip[q] == 2:
			r.tell("disconnect latches open", name)
		case was.trip[q] == 2:
			r.tell("disconnect is reset", name)
		case now.trip[q] == 1:
			r.tell("disconnect trips", name)
		default:
			r.tell("disconnect closes", name)
		}
	}
	if now.inv != was.inv {
		r.tell("inverter", now.inv)
	}
	switch {
	case now.held == was.held:
	case now.held == 2:
		r.tell("discharge ceiling stops the load", "")
	case was.held == 2:
		r.tell("discharge ceiling lets essential load on", "")
	case now.held == 1:
		r.tell("discharge ceiling sheds flexible load", "")
	default:
		r.tell("discharge ceiling lets all load on", "")
	}
	switch {
	case now.stuck && !was.stuck:
		r.tell("a module latches open", refTripNames[r.st.line.by])
	case now.open > was.open:
		r.tell("a module opens alone", refTripNames[r.st.line.by])
	case now.open < was.open:
		r.tell("modules close again", refTripNames[r.st.line.by])
	}
	switch {
	case now.broken && !was.broken:
		r.tell("link from module to module breaks", "")
	case was.broken && !now.broken:
		r.tell("link from module to module is mended", "")
	}
	switch {
	case now.gen == was.gen && now.set == was.set:
	case now.grid && now.gen == "takes load":
		r.tell("site is on the grid", "")
	case now.grid && was.gen == "takes load" && was.set == now.set:
		r.tell("site leaves the grid", "")
	case !now.grid:
		r.tell(now.set, now.gen)
	}
	switch {
	case now.dry > was.dry:
		r.tell("fuel is used up", "")
	case now.dry < was.dry:
		r.tell("fuel is brought", "")
	}
}

// compareEvents compares each kind of event, one by one.
func compareEvents(t *testing.T, c *refCase, r *reference, list []sim.EventTime, near within) {
	t.Helper()
	got, end := refEvents{}, float64(c.days*86400)
	for what := range r.events {
		got[what] = nil
	}
	for _, e := range list {
		if what := refWords(e); what != "" && e.Second > 0 { // not as it begins
			got[what] = append(got[what], e.Second)
		}
	}
	for _, what := range slices.Sorted(maps.Keys(got)) {
		have, want := got[what], r.events[what]
		most := max(near.outageS, refLate(c.name, near))
		if what == refTurns[3][0] { // where the bank gives nothing it is looked at as internal steps end
			most = max(most, near.stepS)
		}
		before := func(list []float64) (n int) {
			for _, s := range list {
				if s < end-most {
					n++
				}
			}
			return n
		}
		if tied := refTied[c.name]; before(have) > len(want)+tied || before(want) > len(have)+tied {
			t.Errorf("%s: %q came %d times, reference %d", near.name, what, len(have), len(want))
		} else if tied > 0 {
			continue
		}
		for i := range min(len(have), len(want)) {
			if math.Abs(have[i]-want[i]) > most {
				t.Errorf("%s: %q at %s, reference %s", near.name, what, refClock(have[i]), refClock(want[i]))
				break // what follows from it is no news
			}
		}
	}
}

// refWords are the words of an event as the reference has them, "" for what it does
// not tell: who came and with what effect, what is wanted in vain, how far a re-set
// moved the reported charge. Of the motor that did not start, of what woke a bank and
// of why the load stops it knows no name.
func refWords(e sim.EventTime) string {
	switch e.What {
	case "visitor comes", "operator acts", "generator is wanted and may not start",
		"waking by the sun fails at", "waking by the generator fails at", "starting the generator fails at",
		"reported charge is set to full, falsely", "reported charge is set low, falsely", "reported charge is set right":
		return ""
	case "inverter restarts after a motor did not start":
		return "inverter, after a motor"
	case "load stops", "bank is woken", "discharge ceiling stops the load":
		return e.What
	}
	if e.Of != "" {
		return e.What + ", " + e.Of
	}
	return e.What
}
