package main

import (
	"fmt"
	"strings"

	"bankyear/api"
	"bankyear/sim"
)

// events prints the outages, each with what led to it, what happened during it and
// what ended it, then the incidents of the year, and the decisions that the true
// state of charge would have changed.
func (p *printer) events(a *api.Answer, heading string) {
	if a.Events == nil {
		return
	}
	p.section(heading + "Outages")
	if len(a.Events) == 0 {
		p.linef("  none")
	}
	for i := range a.Events {
		p.outage(&a.Events[i])
	}
	if len(a.Incidents) > 0 {
		p.section(heading + "Incidents of the year")
		p.changes(a.Incidents)
	}
	if len(a.Decisions) > 0 {
		p.section(heading + "Decisions that the true state of charge would have changed")
		rows := [][]string{{"at", "decision", "reported", "true"}}
		for _, d := range a.Decisions {
			rows = append(rows, []string{d.At, d.Decision, share(d.Reported, 1), share(d.SoC, 1)})
		}
		p.table(rows)
	}
}

func (p *printer) outage(o *sim.Outage) {
	because := ""
	if o.Because != sim.NoReason {
		because = " because of " + o.Because.String()
	}
	p.linef("\n%s, %s h, %s%s; ended by %s", o.Start, rounded(o.Hours), o.Cause, because, o.EndedBy)
	reported := ""
	if o.Reported != nil {
		reported = ", reported " + share(*o.Reported, 1)
	}
	p.linef("  at its start charge %s%s, cells %s °C", share(o.SoC, 1), reported, rounded(o.CellC))
	b := &o.Before
	p.linef("  %s h before: sun %s kWh, of it used %s kWh, load %s kWh, generator %s kWh, coldest cells %s °C",
		rounded(b.Hours), rounded(b.SolarAvailableKWh), rounded(b.SolarUsedKWh), rounded(b.LoadKWh), rounded(b.GeneratorKWh), rounded(b.ColdestCellC))
	p.changes(o.Chain)
	p.linef("  during it:")
	p.changes(o.During)
	if o.LeftOut > 0 {
		p.linef("  %d more, of the middle, are left out", o.LeftOut)
	}
}

// changes prints events, one a line.
func (p *printer) changes(list []sim.Event) {
	rows := make([][]string, len(list))
	for i, e := range list {
		what := strings.TrimSuffix(e.What+": "+e.Of, ": ")
		if e.Times > 1 {
			what += fmt.Sprintf(" (%d times)", e.Times)
		}
		rows[i] = []string{e.At, "charge " + share(e.SoC, 1), "cells " + rounded(e.CellC) + " °C", what}
	}
	p.table(rows)
}
