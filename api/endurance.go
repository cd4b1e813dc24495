package api

import (
	"fmt"
	"time"

	"bankyear/sim"
)

// Endurance is how long the bank lasts alone and how soon it is filled again.
type Endurance struct {
	sim.Endurance
	Words []string `json:"words" doc:"The same in words."`
}

func (x *subject) enduranceTask(by *crew) task {
	out := &Endurance{}
	return task{
		runs: []func(){func() {
			out.Endurance = x.plan.Endure(&x.c.Given, x.c.Weather, x.year)
			out.Words = out.words()
		}},
		end: func() { x.more.set(func() { x.more.endurance = out }) },
	}
}

func (e *Endurance) words() []string {
	month := time.Month(e.WinterMonth).String()
	out := []string{fmt.Sprintf("A full bank carries the mean load of %s (%s W, cells at %s °C) for more than 60 days without sun.", month, short(e.WinterLoadW), short(e.WinterCellC))}
	if e.AutonomyH != nil {
		out[0] = fmt.Sprintf("A full bank carries the mean load of %s (%s W, cells at %s °C) for %s without sun and generator.", month, short(e.WinterLoadW), short(e.WinterCellC), hours(*e.AutonomyH))
	}
	if e.DaysToDamage != nil {
		text := fmt.Sprintf("Left dark with nobody coming, the cells are empty %s days after the load has stopped", short(*e.DaysToDamage))
		if e.AsleepH != nil {
			text += fmt.Sprintf(", and the modules sleep after %s", hours(*e.AsleepH))
		}
		out = append(out, text+".")
	}
	for _, by := range []string{"sun", "generator"} {
		for _, when := range []string{"25_c", "winter"} {
			if text := e.rechargeWords(by, when); text != "" {
				out = append(out, text)
			}
		}
	}
	return out
}

// rechargeWords sets the two operations beside each other.
func (e *Endurance) rechargeWords(by, when string) string {
	text := ""
	for _, r := range e.Recharge {
		if r.By != by || r.When != when {
			continue
		}
		if text == "" {
			text = fmt.Sprintf("From 20 to 95 %% by %s, cells at %s °C", map[string]string{"sun": "steady bright sun", "generator": "the generator"}[by], short(r.CellC))
		}
		took := "not within 72 h"
		if r.Hours != nil {
			took = hours(*r.Hours)
		}
		text += "; " + map[string]string{"data_linked": "data-linked", "voltage_only": "voltage-only"}[r.Operation] + ": " + took
	}
	if text != "" {
		text += "."
	}
	return text
}
