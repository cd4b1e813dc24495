package genset

import (
	"fmt"
	"math"
	"strings"
)

// Rules is what starts and stops the set, one sentence each, for people to
// read back what they asked for. The spec has passed Check.
func (s *Spec) Rules() []string {
	unless := s.unless()
	var rules []string
	if s.StartSoCFraction > 0 {
		rules = append(rules, fmt.Sprintf("Starts when the reported SoC falls to %s%s.", percent(s.StartSoCFraction), unless))
	}
	for _, rung := range s.StartBelow {
		bus := "the bus"
		if rung.LoadCorrected {
			bus = "the bus, without the sag of the load,"
		}
		rules = append(rules, fmt.Sprintf("Starts when %s stays below %s V for %s%s.", bus, number(rung.V), duration(rung.HoldS), unless))
	}
	if s.StartLoadW > 0 {
		rules = append(rules, fmt.Sprintf("Starts when the AC load stays above %s W for %s%s.", number(s.StartLoadW), duration(s.StartLoadHoldS), unless))
	}
	if t := s.TopUp; t != nil {
		rules = append(rules, fmt.Sprintf("Starts at %s when the reported SoC is below %s, and runs until it is %s.",
			clock(t.AtS()), percent(t.IfSoCBelow), percent(t.RunToSoCFraction)))
	}
	if e := s.Exercise; e != nil && e.RunS > 0 {
		rules = append(rules, fmt.Sprintf("Runs at %s for %s when it has not run that long for %s days.", clock(e.AtS()), duration(e.RunS), number(e.EveryDays)))
	}
	rules = append(rules, s.stopRule())
	if s.StartLoadW > 0 {
		rules = append(rules, fmt.Sprintf("Does not stop while the AC load is above %s W; a run that the load started stops once it is below.", number(s.StopsBelowW())))
	}
	if s.StopRefusedS > 0 {
		rules = append(rules, fmt.Sprintf("Stops when the bank has refused all charge for %s, the load fits the inverter and no rule would start it again.", duration(s.StopRefusedS)))
	}
	if s.DailyCapH > 0 {
		rules = append(rules, fmt.Sprintf("Runs on load for %s a day at most.", duration(s.DailyCapH*3600)))
	}
	return rules
}

// unless is the exception to every start, led by a comma, or nothing.
func (s *Spec) unless() string {
	spans := s.NoStart()
	if len(spans) == 0 {
		return ""
	}
	parts := make([]string, len(spans))
	for i, span := range spans {
		parts[i] = "between " + clock(span.FromS) + " and " + clock(span.ToS)
	}
	text := ", unless it is " + strings.Join(parts, " or ")
	if s.OverrideWhenDark {
		text += " and the site is lit"
	}
	return text
}

func (s *Spec) stopRule() string {
	var when []string
	if s.StopSoCFraction > 0 {
		when = append(when, "when the reported SoC reaches "+percent(s.StopSoCFraction))
	}
	if s.StopTailA > 0 {
		when = append(when, "when the bank's current falls to "+number(s.StopTailA)+" A in absorption")
	}
	when = append(when, "when the bank is full (its BMS says so, or the AC charger floats)")
	text := "Stops " + strings.Join(when, ", ") + " or after " + duration(s.MaxRunH*3600) + " on load, whichever comes first"
	if s.MinRunS > 0 {
		text += ", but not before " + duration(s.MinRunS) + " on load"
	}
	return text + "."
}

func percent(fraction float64) string {
	return number(math.Round(fraction*1e4)/1e2) + " %"
}

// duration writes seconds in the largest unit that keeps them a short number.
func duration(s float64) string {
	switch {
	case s >= 7200 || s == 3600:
		return number(math.Round(s/36)/100) + " h"
	case s >= 120 || s == 60:
		return number(math.Round(s/0.6)/100) + " min"
	}
	return number(s) + " s"
}
