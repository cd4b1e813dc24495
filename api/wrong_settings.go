package api

import (
	"fmt"
	"math"
	"strings"

	"bankyear/sim"
	"bankyear/sim/advice"
)

// WrongSetting is a setting that differs from its rule, and what came of it: the
// year against the same year with that one setting by the rule.
type WrongSetting struct {
	Check   string `json:"check" doc:"Name of the check, as in the fit check of a settings sheet."`
	Reason  string `json:"reason" doc:"What is set, and what the rule is."`
	Seen    string `json:"seen" doc:"What came of it in this year."`
	Figures Glance `json:"figures_by_rule" doc:"The year with this one setting by the rule."`
}

func (x *subject) wrongTask(by *crew) task {
	wrong := advice.Wrong(&x.c.System, advice.ExtremesOf(x.c.Weather))
	years := make([]*sim.Year, len(wrong))
	var t task
	for i, w := range wrong {
		t.runs = append(t.runs, func() { years[i] = x.again(by, advice.Righted(&x.c.System, w.Check), 1) })
	}
	t.end = func() {
		out := []WrongSetting{}
		for i, w := range wrong {
			out = append(out, WrongSetting{w.Check, w.Reason, cameOf(&x.year.Figures, &years[i].Figures), glance(&years[i].Figures)})
		}
		fit := fitFinding(x.c)
		x.more.set(func() { x.more.wrong, x.more.fit = &out, fit })
	}
	return t
}

// cameOf says where a year differs from the one with the rule's setting.
func cameOf(f, rule *sim.Figures) string {
	var parts []string
	add := func(least, is, byRule float64, format string) {
		if math.Abs(is-byRule) >= least {
			parts = append(parts, fmt.Sprintf(format, short(is), short(byRule)))
		}
	}
	trips := func(f *sim.Figures) float64 { return float64(f.TripsByKind["over_voltage"]) }
	add(1, trips(f), trips(rule), "%s over-voltage trips against %s by the rule")
	opened := func(f *sim.Figures) float64 { return float64(f.TripsByKind["under_voltage"]) }
	add(1, opened(f), opened(rule), "%s under-voltage trips against %s")
	add(0.1, f.DowntimeH, rule.DowntimeH, "dark for %s h against %s h")
	add(1, float64(f.SuddenStops), float64(rule.SuddenStops), "%s sudden stops against %s")
	add(1, f.GeneratorH, rule.GeneratorH, "the generator runs for %s h against %s h")
	add(1, f.GridH, rule.GridH, "on the grid for %s h against %s h")
	add(1, f.ChargedTooColdH, rule.ChargedTooColdH, "charged too cold for %s h against %s h")
	add(max(1, 0.05*rule.CurtailedByCause["voltage_taper"]), f.CurtailedByCause["voltage_taper"], rule.CurtailedByCause["voltage_taper"], "%s kWh of sun refused at the voltage limit against %s kWh")
	add(2, 100*f.SoCErrorMax, 100*rule.SoCErrorMax, "the reported state of charge wrong by up to %s points against %s")
	add(24, f.WithoutResetH, rule.WithoutResetH, "%s h without a re-set of the counter against %s h")
	add(0.2, f.YearsTo80Pct, rule.YearsTo80Pct, "%s years to 80 %% against %s")
	add(0.2, f.YearsByCycles, rule.YearsByCycles, "%s years by cycles against %s")
	if len(parts) == 0 {
		return "Nothing in this year differs by it."
	}
	return "In this year: " + strings.Join(parts, "; ") + "."
}
