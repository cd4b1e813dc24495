package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bankyear/sim"
	"bankyear/sim/advice"
)

type outage = sim.Outage

// settings is the settings sheet of a bank.
func (p *paper) settings(i int) {
	s := &p.Banks[i].Sheet
	p.part(words.settingsTitle)
	if len(p.Banks) > 1 {
		p.bankName(i)
		p.y += 2
	} else {
		p.note(p.Banks[i].Title)
	}
	p.programmed(s.Rows)
	if a := s.Linked; a != nil {
		p.heading("What the BMS asks for while linked", 20)
		again := ""
		if a.ResumeBelowV > 0 {
			again = fmt.Sprintf(", or the voltage has been below %s V for as long", number(a.ResumeBelowV))
		}
		p.paragraph(fmt.Sprintf("%s V. Full when the voltage is at least %s V and the current at most %s A for %s s; then no current until the reported state of charge is below %s%s.", number(a.VoltageV), number(a.FullV), number(a.FullA), number(a.FullHoldS), percent(a.ResumeBelowSoC), again))
		p.ceiling(a.ByC, a.BySoC, a.Rule)
		if len(a.OutByC) > 0 {
			p.paragraph("What it lets the load take; beyond it flexible load is shed, then all load stops.")
			p.ceiling(a.OutByC, a.OutBySoC, a.Rule)
		}
	}
	if a := s.AfterLoss; a != nil {
		p.heading("When the link is lost", 20)
		p.bullets(a.Consequences)
		if len(a.Rows) > 0 {
			p.programmed(a.Rows)
		}
	}
	for _, g := range s.Generators {
		p.heading("Generator "+g.Name, 12)
		p.bullets(g.Rules)
	}
	if w := p.Banks[i].Wake; len(w) > 0 {
		p.heading(words.wakeTitle, 12)
		p.bullets(w)
	}
}

// programmed is a table of values to program.
// ceiling is a table of current by cell temperature, and its factor.
func (p *paper) ceiling(byC []advice.AskedA, bySoC []advice.AskedAt, rule string) {
	var rows [][]string
	for _, x := range byC {
		rows = append(rows, []string{p.span(x.FromC, x.ToC), ends(x.FromModuleA, x.ToModuleA), ends(x.FromBankA, x.ToBankA)})
	}
	p.table([]column{{head: "Cell temperature", part: 1.4, ink: ink}, {head: "A module, A", part: 1, right: true, ink: ink}, {head: "The bank, A", part: 1, right: true, ink: ink}}, rows, 8.5)
	var by []string
	for _, x := range bySoC {
		by = append(by, "× "+number(x.Factor)+" at "+percent(x.SoC))
	}
	p.note("By reported state of charge: " + strings.Join(by, ", ") + ". " + rule + ".")
}

func (p *paper) programmed(list []advice.Row) {
	var rows [][]string
	for _, r := range list {
		value := fmt.Sprint(r.Value)
		if x, isNumber := r.Value.(float64); isNumber {
			value = number(x)
		}
		rows = append(rows, []string{r.Device + ": " + r.Setting, strings.TrimSpace(value + "\u00a0" + r.Unit), r.Owner.Words(), r.Rule, r.IfWrong})
	}
	p.table([]column{{head: "Setting", part: 2.1, ink: ink}, {head: "Value", part: 1.1, ink: ink}, {head: "Whose", part: 1.4, ink: ink}, {head: "Where it comes from", part: 2, ink: ink}, {head: "What happens if it is wrong", part: 4, ink: ink}}, rows, 7.5)
}

// span is a range of cell temperature.
func (p *paper) span(from, to *float64) string {
	show := func(c float64) string { x, unit := p.Units.in(c, "°C"); return number(x) + "\u00a0" + unit }
	switch {
	case from == nil && to == nil:
		return "any"
	case from == nil:
		return "below " + show(*to)
	case to == nil:
		return "from " + show(*from)
	}
	return show(*from) + " to " + show(*to)
}

func ends(from, to float64) string {
	if from == to {
		return number(from)
	}
	return number(from) + " to " + number(to)
}

// number writes two decimals at most.
func number(x float64) string {
	text := fmt.Sprintf("%.2f", math.Abs(x))
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	if x < 0 && text != "0" {
		return "−" + text
	}
	return text
}

var marks = map[advice.Verdict]struct {
	text string
	ink  colour
}{advice.Fail: {"FAIL", dark}, advice.Caution: {"CAUTION", colour{0x8a, 0x5a, 0x00}}, advice.Pass: {"PASS", colour{0x2d, 0x6a, 0x3e}}}

// fit is the fit check of a bank, the worst first.
func (p *paper) fit(i int) {
	list := p.Banks[i].Fit
	p.part(words.fitTitle)
	if len(p.Banks) > 1 {
		p.bankName(i)
	} else {
		p.note(p.Banks[i].Title)
	}
	by := map[advice.Verdict][]advice.Finding{}
	alike := 0
	for _, f := range list {
		if i > 0 && slices.ContainsFunc(p.Banks[0].Fit, func(first advice.Finding) bool {
			return first.Check == f.Check && first.Subject == f.Subject && first.Reason == f.Reason
		}) {
			alike++
			continue
		}
		by[f.Verdict] = append(by[f.Verdict], f)
	}
	text := fmt.Sprintf("%d fail, %d with caution, %d pass.", len(by[advice.Fail]), len(by[advice.Caution]), len(by[advice.Pass]))
	if alike > 0 {
		text = fmt.Sprintf("%s are the same as for bank %s. Of the others: %s", count(alike, "check"), letters[0], text)
	}
	p.paragraph(text)
	for _, v := range []advice.Verdict{advice.Fail, advice.Caution, advice.Pass} {
		for _, f := range by[v] {
			p.room(13)
			p.y += 4.4
			p.font(sans, "B", 7, marks[v].ink)
			p.put(side, p.y, marks[v].text)
			p.font(sans, "B", 8.5, ink)
			p.put(side+18, p.y, capital(f.Subject))
			p.flow(side+18, p.inner-18, f.Reason+" Basis: "+f.Basis+".", sans, "", 8, ink, 0.4)
		}
	}
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// inputs lists what was stated.
func (p *paper) inputs() {
	p.part(words.inputsTitle)
	if len(p.Differs) > 0 {
		p.heading(words.differsTitle, 16)
		columns := []column{{head: "Input", part: 2, ink: ink}}
		for i := range p.Banks {
			columns = append(columns, column{head: letters[i], part: 1, ink: ofBank[i]})
		}
		var rows [][]string
		for _, l := range p.Differs {
			rows = append(rows, append([]string{l.Path}, l.Values...))
		}
		p.table(columns, rows, 8)
		p.y += 2
	}
	var rows [][]string
	for _, l := range p.Inputs {
		rows = append(rows, []string{l.Path, l.Values[0]})
	}
	p.table([]column{{head: "Input", part: 1.4, ink: ink}, {head: "Value", part: 1, ink: ink}}, rows, 8)
	if len(p.Weather) > 0 {
		p.heading(words.weatherTitle, 10)
		for _, text := range p.Weather {
			p.paragraph(text)
		}
	}
}

// assumed lists what nobody stated.
func (p *paper) assumed() {
	p.heading(words.assumedTitle, 20)
	p.note(words.assumedNote)
	var rows [][]string
	for _, a := range p.Assumed {
		rows = append(rows, []string{a.Path, a.Value, a.Basis})
	}
	p.table([]column{{head: "Input", part: 2, ink: ink}, {head: "Value", part: 1.2, ink: ink}, {head: "Basis", part: 1.6, ink: ink}}, rows, 7)
}

// again is what is needed to make the report again, and the cautions.
func (p *paper) again() {
	p.heading(words.againTitle, 20)
	p.paragraph("The same inputs give the same bytes with the engine " + p.Engine + ". Content hashes of the inputs:")
	for i := range p.Banks {
		name := ""
		if len(p.Banks) > 1 {
			name = letters[i] + "  "
		}
		p.flow(side, p.inner, name+p.Banks[i].Hash, sans, "", 8.5, ofBank[i], 0.4)
	}
	p.heading(words.notesTitle, 10)
	notes := p.Notes
	if len(p.Banks) == 2 {
		notes = append(slices.Clone(notes), words.beforeRounding)
	}
	p.bullets(notes)
	p.heading(words.cautionsTitle, 20)
	p.bullets(p.Cautions)
}
