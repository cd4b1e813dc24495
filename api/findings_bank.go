package api

import (
	"fmt"
	"strings"

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
	if f.Latches > 0 {
		var kinds []string
		for _, kind := range []string{"over_voltage", "charge_over_current", "discharge_over_current"} {
			if n := f.TripsByKind[kind]; n > 0 {
				kinds = append(kinds, fmt.Sprintf("%s by %s", times(n), strings.ReplaceAll(kind, "_", " ")))
			}
		}
		add("The disconnect tripped %s, and %s it stayed open after that until somebody came to reset it.", strings.Join(kinds, ", "), times(f.Latches))
	}
	if f.Sleeps > 0 {
		add("The bank fell asleep after over-discharge %s. What could wake it: %s", times(f.Sleeps), strings.Join(advice.WakeWords(s.WakeChains()), " "))
	}
	if f.Sulfation == "caution" || f.Sulfation == "fail" {
		add("The longest time without a full charge was %s days: from 14 on lead-acid plates sulphate, from 30 on lastingly (common practice). The capacity that this costs is not part of these figures.", short(f.LongestUnfullD))
	}
	return out
}

// motorFinding names the worst start of a motor in a year in which some failed.
func motorFinding(f *sim.Figures, worst *sim.InrushAnswer) string {
	what := fmt.Sprintf("A motor did not start %s, and the inverter had to restart.", times(f.FailedMotorStarts))
	if worst == nil {
		return what
	}
	what += fmt.Sprintf(" The worst start was that of %s: %s gives %s %% of what it asks for.", strings.ReplaceAll(worst.Appliance, "_", " "), weakest[worst.Weakest], short(100*(1+worst.MarginFraction)))
	if worst.ModulesToPass != nil {
		return what + fmt.Sprintf(" It would start with %s.", plural(*worst.ModulesToPass, "module"))
	}
	return what + " No number of modules helps it."
}

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
