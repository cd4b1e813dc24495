package advice

import (
	"cmp"
	"maps"
	"slices"

	"bankyear/sim"
	"bankyear/sim/bank"
)

const practice = "common practice, no source"

// fit is a system while it is checked.
type fit struct {
	s     *sim.System
	m     *bank.Module
	n     float64 // modules
	share float64 // modules over the worst one's share: bank current for one ampere in it
	low   *sim.LowEnd
	site  Extremes
	air   air
	solo  solo
	out   []Finding
}

func newFit(s *sim.System, site Extremes) *fit {
	if s.Bank.Settings == nil {
		panic("advice: the system is not complete: bank.settings")
	}
	if s.Inverter.Units > 1 { // together they are one
		one := *s
		one.Inverter = s.Inverter.Together()
		s = &one
	}
	n := float64(s.Bank.Modules)
	return &fit{s: s, m: &s.Bank.Module, n: n, share: n / s.Bank.Module.WorstShare, low: &s.Controls.LowEnd,
		site: site, air: around(&s.Bank.Enclosure, site), solo: soloOf(s)}
}

func (f *fit) add(check, subject string, v Verdict, basis, reason string, values ...Value) {
	if values == nil {
		values = []Value{}
	}
	f.out = append(f.out, Finding{Check: check, Subject: subject, Verdict: v, Reason: reason, Values: values, Basis: basis})
}

func (f *fit) linked() bool { return f.s.Bank.Operation == "data_linked" }

// ohm is the resistance of the bank with its cable at a cell temperature and a
// state of charge, Ω.
func (f *fit) ohm(cellC, soc float64) float64 {
	m := f.m
	r := m.ResistanceOhm / f.n * bank.At(m.ResistanceByC, cellC)
	if len(m.ResistanceBySoC) > 0 {
		r *= bank.At(m.ResistanceBySoC, soc)
	}
	return r + f.s.Bank.CableOhm
}

// solo is what the chargers do when they see only terminal voltage: always when
// voltage-only, after a link loss that falls back when data-linked, and never
// when a lost link stops them.
type solo struct {
	acts bool
	set  bank.Settings // ChargeA is infinite when nothing but a charger's own rating limits it
	when string        // begins a sentence
}

func soloOf(s *sim.System) solo {
	b := &s.Bank
	if b.Operation != "data_linked" {
		return solo{acts: true, set: *b.Settings, when: "Voltage-only, "}
	}
	return solo{acts: b.OnLinkLoss == "fall_back", set: b.SoloSettings(), when: "After a link loss, "}
}

// setPointV is a charger's set-point of volts at 25 °C, at the temperature that
// it senses.
func setPointV(set *bank.Settings, volts, sensedC float64) float64 {
	return volts + set.CompensationV*(sensedC-25)
}

// air is the air around the bank over a year.
type air struct {
	known       bool // both ends
	lowC, highC float64
	where       string
	source      string // follows a temperature, in brackets or empty
}

// around is the air around a bank: outdoor air, a room that is warmer by a
// stated difference (it also follows more slowly, which is left out here), or a
// stated temperature.
func around(e *bank.Enclosure, site Extremes) air {
	switch e.Kind {
	case "fixed":
		return air{true, e.FixedC, e.FixedC, "the stated air around the bank", ""}
	case "seasonal":
		return air{true, e.FixedC - e.SwingC, e.FixedC + e.SwingC, "the stated air around the bank", ""}
	}
	if site.LowestAirC == nil || site.HighestAirC == nil {
		return air{}
	}
	a := air{true, *site.LowestAirC, *site.HighestAirC, "the outdoor air", ""}
	if site.Source != "" {
		a.source = " (" + site.Source + ")"
	}
	if e.Kind == "ventilated_room" {
		a.lowC, a.highC = a.lowC+e.RoomC, a.highC+e.RoomC
		a.where = "the air of the room, " + fixed(e.RoomC, 1) + " K above " + a.where
	}
	return a
}

func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K { return slices.Sorted(maps.Keys(m)) }
