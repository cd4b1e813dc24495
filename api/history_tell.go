package api

import (
	"fmt"
	"math"

	"bankyear/api/sitelog"
	"bankyear/sim/backtest"
	"bankyear/sim/bank"
)

var historyNotes = []string{
	"A state of health is what the battery-management system believes; what it does not count for long stretches (partial cycles) it may not see.",
	"Figures a year are of the time that the rows cover, scaled to 8766 h.",
	"Calendar ageing by Naumann et al. 2018, cycle wear by Miner's rule on the module's own table; both losses add.",
}

// tellHistory makes the answer of a log that was read.
func (s *Service) tellHistory(q *HistoryRequest, c *Case, t *sitelog.Table, installed float64, out *HistoryAnswer) *HistoryAnswer {
	module := q.Module
	var simulated *backtest.Ageing
	if c != nil {
		module = &c.System.Bank.Module
		f := &s.year(c, false).Figures
		out.Simulated = &SimulatedYear{Hash: c.Hash, WindowH: f.CellHByWindow, TooColdH: f.ChargedTooColdH, FullCycles: f.EquivalentCycles, Wear: f.CycleWearFraction,
			Fade: f.CalendarFade, Trips: f.Trips, LowestSoC: f.LowestSoC, LowestC: f.LowestCellC, HighestC: f.HighestCellC}
		simulated = &backtest.Ageing{Square: 1e4 * f.CalendarFade * f.CalendarFade, Wear: f.CycleWearFraction}
		out.Assumed, out.Catalogue = orEmpty(c.Assumed), uses(c.Catalogue)
	}
	past := q.Log.asHistory(t).Look(module)
	last := t.Seconds[0]
	for _, at := range t.Seconds {
		last = math.Max(last, at)
	}
	past.AgeBy(simulated, math.Max(0, last-installed)/(365.25*86400))
	out.Past, out.Patch = *past, historyPatch(past)
	out.Findings = historyFindings(out, module)
	return out
}

// historyPatch is a merge patch with the age and the capacity that a log tells.
func historyPatch(p *backtest.Past) map[string]any {
	loss, known := p.Loss()
	if !known {
		return map[string]any{}
	}
	aged := map[string]any{"aged_capacity_fraction": significant(1-loss, 4)}
	if a := p.Age; a != nil {
		for _, years := range []*float64{a.Since, a.ByLog, a.BySimulate} {
			if years != nil {
				aged["age_years"] = significant(min(*years, 40), 3)
				break
			}
		}
	}
	return map[string]any{"bank": aged}
}

// asHistory is the log as the model takes it.
func (l *BMSLog) asHistory(t *sitelog.Table) *backtest.History {
	h := &backtest.History{Seconds: t.Seconds, Module: t.Texts["module"], SoC: t.Numbers["soc_fraction"], SoH: t.Numbers["soh_fraction"],
		CellMinV: t.Numbers["cell_min_v"], CellMaxV: t.Numbers["cell_max_v"], CellMinC: t.Numbers["cell_min_c"], CellMaxC: t.Numbers["cell_max_c"], Trips: t.Numbers["trips"]}
	if h.Module == nil {
		h.Module = make([]string, len(t.Seconds))
		for i := range h.Module {
			h.Module[i] = "1"
		}
	}
	if status := t.Texts["status"]; status != nil {
		h.Status = make([]string, len(status))
		for i, text := range status {
			h.Status[i] = text
			if means, known := l.Statuses[text]; known {
				h.Status[i] = means
			}
		}
	}
	return h
}

// historyFindings says in words what a log says.
func historyFindings(a *HistoryAnswer, m *bank.Module) []string {
	out := []string{}
	add := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	for i := range a.Modules {
		x := &a.Modules[i]
		if x.Fade != nil {
			add("Module %s loses %s %% of its capacity a year (%s to %s).", x.Module, short(100**x.Fade), short(100*x.FadeLow), short(100*x.FadeHigh))
		}
		if x.TooColdH != nil && *x.TooColdH > 0 {
			add("Module %s was charged in the cold for %s h a year: that is damage.", x.Module, short(*x.TooColdH))
		}
		if spread := m.Protection.OverSpreadV; x.SpreadTopV != nil && *x.SpreadTopV > 2*spread {
			add("The cells of module %s are %s V apart at the top of charge; the model has %s V: over-voltage trips come earlier than simulated.", x.Module, short(*x.SpreadTopV), short(spread))
		}
		if x.Trips > 0 {
			add("Module %s tripped %s.", x.Module, times(x.Trips))
		}
	}
	if b := &a.Between; b.SoCMedian != nil && *b.SoCMedian > 0.1 {
		add("The modules' reported states of charge are %s apart on the median: counters have drifted, or a module takes less.", points(*b.SoCMedian))
	}
	if g := a.Age; g != nil {
		add("%s %% of the capacity is lost.", short(100*g.Loss))
		if g.ByLog != nil {
			add("By the law of ageing that is %s years like the logged one, from new.", short(*g.ByLog))
		}
		if g.BySimulate != nil {
			add("By the law of ageing that is %s years like the simulated one, from new.", short(*g.BySimulate))
		}
		if g.LawLoss != nil {
			add("After %s years the law expects %s %%.", short(*g.Since), short(100**g.LawLoss))
		}
	} else if _, known := a.Loss(); !known {
		add("No state of health was logged: fade and age are not told.")
	}
	return out
}
