package api

import (
	"fmt"
	"strconv"

	"bankyear/sim"
)

// findings says in words what the figures of a year alone could hide.
func findings(s *sim.System, y *sim.Year) []string {
	f := &y.Figures
	out := []string{}
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if f.ChargedTooColdH > 0 {
		add("The cells were charged with more than they allow in the cold for %s h (%s Ah): that is damage, and any hour of light gained by it was bought with it.", short(f.ChargedTooColdH), short(f.ChargedTooColdAh))
	}
	if f.AtCeilingH == 0 {
		add("The charge ceiling never acts: a module takes at most %s A.", short(f.HighestModuleA))
	}
	if f.SuddenStops > 0 {
		add("The site went dark without warning %s: the reported state of charge still looked safe.", times(f.SuddenStops))
	}
	if s.Bank.Operation == "data_linked" && f.LinkDownH == 0 {
		add("The data link never failed in this year; a cable that falls out is not part of these figures.")
	}
	if s.Bank.Operation == "data_linked" && f.LinkDownH > 0 {
		add("The data link was down for %s h; then: %s.", short(f.LinkDownH), s.Bank.OnLinkLoss)
	}
	if f.DowntimeH == 0 {
		add("No dark hour in this year.")
	}
	return out
}

// times says how often.
func times(n int) string {
	if n == 1 {
		return "once"
	}
	return strconv.Itoa(n) + " times"
}

// short writes a number with three significant digits, and no decimals from
// 100 up.
func short(x float64) string {
	if x >= 99.95 || x <= -99.95 {
		return strconv.FormatFloat(x, 'f', 0, 64)
	}
	return strconv.FormatFloat(x, 'g', 3, 64)
}
