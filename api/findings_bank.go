package api

import (
	"fmt"
	"strings"
	"time"

	"bankyear/sim"
	"bankyear/sim/advice"
)

// bankFindings says what happened to the bank that dark hours alone do not show:
// modules that nobody missed, trips of single ones, latches, sleep, sulphate.
func bankFindings(s *sim.System, f *sim.Figures) []string {
	var out []string
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if f.UnnoticedH > 0 {
		add("Modules were out of service for %s h, and for %s h of these nobody knew: the bank was smaller than everybody took it for.", short(f.ModulesOutH), short(f.UnnoticedH))
	}
	if f.ModuleTrips > 0 {
		add("Single modules opened alone %s, for %s h in all: meanwhile the others carried their current.", times(f.ModuleTrips), short(f.ModulesOpenH))
	}
	if f.Trips > 0 {
		var kinds []string
		for _, kind := range sim.TripKinds() {
			if n := f.TripsByKind[kind]; n > 0 {
				kinds = append(kinds, fmt.Sprintf("%s %d", strings.ReplaceAll(kind, "_", " "), n))
			}
		}
		what := fmt.Sprintf("Protection tripped %s (%s)", times(f.Trips), strings.Join(kinds, ", "))
		if f.Restarts > 0 {
			what += ", and the inverter started again " + times(f.Restarts) + " in all"
		}
		add("%s.", what)
	}
	if f.Latches > 0 {
		add("After repeated trips the disconnect, or that of one module, stayed open %s until somebody came to reset it.", times(f.Latches))
	}
	if f.Sleeps > 0 {
		add("The bank fell asleep after over-discharge %s. What could wake it: %s", times(f.Sleeps), strings.Join(advice.WakeWords(s.WakeChains()), " "))
	}
	if !s.Bank.Module.LeadAcid() && f.LowestSoC == 0 {
		add("The cells were emptied to nothing, on %s: over-discharge that they may not survive. The year goes on with them as they were.", day(f.LowestSoCAt))
	}
	if f.Sulfation == "caution" || f.Sulfation == "fail" {
		add("The longest time without a full charge was %s days: from 14 on lead-acid plates sulphate, from 30 on lastingly (common practice). The capacity that this costs is not part of these figures.", short(f.LongestUnfullD))
	}
	return out
}

// chainFinding says what a break of the link from module to module did in the year; ""
// where there was none.
func chainFinding(s *sim.System) string {
	b, c := &s.Bank, s.Bank.LinkChain
	if c == nil || b.Operation != "data_linked" {
		return ""
	}
	at, err := c.At()
	if err != nil {
		panic("api: link chain not checked: " + err.Error())
	}
	from := time.Date(s.CalendarYear, 1, 1, 0, 0, 0, 0, time.UTC)
	if !at.Before(from.AddDate(1, 0, 0)) || !at.Add(time.Duration(c.Hours*float64(time.Hour))).After(from) {
		return ""
	}
	did := map[string]string{"open": "left the bus", "stay": "stayed on it, and the BMS did not see them"}[c.Behind]
	known := map[string]string{"out": "gone", "there": "there"}[c.Assume]
	return fmt.Sprintf("The link from module to module broke on %s for %s h: behind it %d of %d modules %s; the ceilings that the BMS reported took them for %s.",
		day(c.Start), short(c.Hours), b.Modules-c.BreakAfter, b.Modules, did, known)
}

// motorFinding names the worst start of a motor in a year in which some failed.
func motorFinding(f *sim.Figures, worst *sim.InrushAnswer) string {
	what := fmt.Sprintf("A motor did not start %s, and the inverter had to restart.", times(f.FailedMotorStarts))
	if worst == nil {
		return what
	}
	if 2*worst.Failed > worst.Starts {
		what += fmt.Sprintf(" That is %s %% of all starts: what a motor that stands still would have done counts as served all the same, so that less is served than the figures say.", short(100*float64(worst.Failed)/float64(worst.Starts)))
	}
	what += fmt.Sprintf(" The worst start was that of %s", strings.ReplaceAll(worst.Appliance, "_", " "))
	if worst.Weakest == "voltage_sag" && worst.MarginFraction < runDown {
		return what + fmt.Sprintf(", with the bank run down to %s %% charge: as empty as that it starts no motor, however many modules it has.", short(100*worst.SoC))
	}
	what += fmt.Sprintf(": %s gives %s %% of what it asks for.", weakest[worst.Weakest], short(100*(1+worst.MarginFraction)))
	rows := worst.ByModules
	switch {
	case worst.ModulesToPass != nil:
		return what + fmt.Sprintf(" It would start with %s.", plural(*worst.ModulesToPass, "module"))
	case worst.Weakest != "inverter" && len(rows) > 0 && rows[len(rows)-1].Weakest == "inverter":
		return what + " More modules alone do not help it: the inverter's short rating is too small as well."
	}
	return what + " No number of modules helps it."
}

// runDown is the margin below which a bank gives next to nothing of what a start
// asks for: it rests at the voltage that may not be undercut.
const runDown = -.99

// weakest says what a start of a motor fails at.
var weakest = map[string]string{
	"bank_peak_current": "the bank's peak current",
	"voltage_sag":       "the bank, before its voltage falls too low,",
	"inverter":          "the inverter's short rating",
}

// decisions lists decisions by their kind, those that there are.
func decisions(f *sim.Figures) string {
	var parts []string
	for _, kind := range sim.Decisions() {
		if n := f.OtherwiseByKind[kind]; n > 0 {
			parts = append(parts, fmt.Sprintf("%s %d", decisionWords[kind], n))
		}
	}
	return strings.Join(parts, ", ")
}

var decisionWords = map[string]string{
	"shed": "flexible load off or back", "generator_start": "generator on", "generator_stop": "generator off", "load_stop": "all load off or back",
}
