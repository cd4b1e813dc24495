package report

import (
	"cmp"
	"fmt"
	"slices"

	"bankyear/sim"
)

// outages lists the longest of each bank.
func (p *paper) outages() {
	const most = 10
	p.heading(words.outagesTitle, 20)
	for i := range p.Banks {
		if len(p.Banks) > 1 {
			p.bankName(i)
		}
		list := slices.Clone(p.Banks[i].Year.Outages)
		if len(list) == 0 {
			p.paragraph(words.noOutages)
			continue
		}
		slices.SortStableFunc(list, func(a, b outage) int { return cmp.Compare(b.Hours, a.Hours) })
		var rows [][]string
		for _, o := range list[:min(most, len(list))] {
			reported := "–"
			if o.Reported != nil {
				reported = percent(*o.Reported)
			}
			rows = append(rows, []string{stamp(o.Start), p.Units.quantity(o.Hours, "h"), word(o.Cause.String()), word(o.Because.String()), percent(o.SoC), reported, p.Units.quantity(o.CellC, "°C"), word(string(o.EndedBy))})
		}
		p.table([]column{{head: "Began", part: 2.2, ink: ink}, {head: "Lasted", part: 1, right: true, ink: ink}, {head: "State", part: 2, ink: ink}, {head: "Brought about by", part: 2.6, ink: ink},
			{head: "Charge", part: 1, right: true, ink: ink}, {head: "Reported", part: 1.1, right: true, ink: ink}, {head: "Cells", part: 1, right: true, ink: ink}, {head: "Ended by", part: 1.8, ink: ink}}, rows, 8)
		if left := len(list) - most; left > 0 {
			p.note(fmt.Sprintf("and %d shorter ones", left))
		}
		p.during(&list[0])
	}
}

// during tells what happened in an outage, its beginning and its end where that is
// much.
func (p *paper) during(o *outage) {
	const most = 16
	var rows [][]string
	list, left := o.During, o.LeftOut
	if len(list) > most {
		left += len(list) - most
		list = slices.Concat(list[:most/2], list[len(list)-most/2:])
	}
	for i, e := range list {
		if left > 0 && i == len(list)/2 {
			rows = append(rows, []string{"…", "and " + count(left, "event") + " more"})
		}
		rows = append(rows, []string{stamp(e.At), said(&e), percent(e.SoC), p.Units.quantity(e.CellC, "°C")})
	}
	if len(rows) == 0 {
		return
	}
	p.room(24)
	p.y += 2
	p.note("During the longest of these, from " + stamp(o.Start) + ":")
	p.table([]column{{head: "When", part: 1.6, ink: ink}, {head: "What changed", part: 5, ink: ink}, {head: "Charge", part: 1, right: true, ink: ink}, {head: "Cells", part: 1, right: true, ink: ink}}, rows, 8)
}

// said writes an event in a line.
func said(e *sim.Event) string {
	text := e.What
	if e.Of != "" {
		text += ": " + word(e.Of)
	}
	if e.Times > 1 {
		text += " (" + count(e.Times, "time") + " that day)"
	}
	return capital(text)
}
