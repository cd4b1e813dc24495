package advice

import (
	"fmt"
	"slices"
	"strings"
	"text/tabwriter"
	"unicode/utf8"
)

// textWidth is the width of plain text in characters.
const textWidth = 100

// Text is the settings sheet as plain text in aligned columns.
func (s Sheet) Text() string {
	var out strings.Builder
	fmt.Fprintf(&out, "Settings sheet, %s\n\n", spoken[s.Operation])
	writeRows(&out, s.Rows)
	if s.Linked != nil {
		s.Linked.write(&out)
	}
	if a := s.AfterLoss; a != nil {
		fmt.Fprintf(&out, "\nWhen the link is lost\n\n")
		for _, c := range a.Consequences {
			paragraph(&out, "", c)
		}
		if len(a.Rows) > 0 {
			out.WriteString("\n")
			writeRows(&out, a.Rows)
		}
	}
	for _, g := range s.Generators {
		fmt.Fprintf(&out, "\nGenerator %s\n\n", g.Name)
		for _, r := range g.Rules {
			paragraph(&out, "", r)
		}
	}
	return out.String()
}

// writeRows writes the table of values, and below it what each came from and
// what happens if it is wrong.
func writeRows(out *strings.Builder, rows []Row) {
	lines := [][]string{{"", "device", "setting", "value", "unit", "whose"}}
	for i, r := range rows {
		value := fmt.Sprint(r.Value)
		if v, ok := r.Value.(float64); ok {
			value = fixed(v, 2)
		}
		lines = append(lines, []string{fmt.Sprint(i + 1), r.Device, r.Setting, value, r.Unit, r.Owner.Words()})
	}
	columns(out, lines)
	out.WriteString("\n")
	for i, r := range rows {
		paragraph(out, fmt.Sprintf("%3d  ", i+1), capital(r.Setting)+": "+r.Rule+". "+r.IfWrong)
	}
}

func (a *Asked) write(out *strings.Builder) {
	fmt.Fprintf(out, "\nWhat the BMS asks for while linked\n\n")
	again := ""
	if a.ResumeBelowV > 0 {
		again = fmt.Sprintf(", or the voltage has been below %s for as long", volts(a.ResumeBelowV))
	}
	paragraph(out, "", fmt.Sprintf("%s. Full at %s and at most %s for %s, then no current until the reported state of charge is below %s%s. Source: %s.",
		volts(a.VoltageV), volts(a.FullV), amps(a.FullA), duration(a.FullHoldS), percent(a.ResumeBelowSoC), again, a.Rule))
	out.WriteString("\n")
	writeCeiling(out, a.ByC, a.BySoC)
	if len(a.OutByC) > 0 {
		out.WriteString("\n")
		paragraph(out, "", "What it lets the load take; beyond it flexible load is shed, then all load stops.")
		out.WriteString("\n")
		writeCeiling(out, a.OutByC, a.OutBySoC)
	}
}

// writeCeiling writes a ceiling of current and its factor.
func writeCeiling(out *strings.Builder, byC []AskedA, bySoC []AskedAt) {
	lines := [][]string{{"cells", "A a module", "A the bank"}}
	for _, r := range byC {
		lines = append(lines, []string{r.where(), span(r.FromModuleA, r.ToModuleA), span(r.FromBankA, r.ToBankA)})
	}
	columns(out, lines)
	out.WriteString("\n")
	lines = [][]string{{"reported SoC", "factor on the ceiling"}}
	for _, p := range bySoC {
		lines = append(lines, []string{percent(p.SoC), fixed(p.Factor, 3)})
	}
	columns(out, lines)
}

// where says a range of cell temperature.
func (r *AskedA) where() string {
	switch {
	case r.FromC == nil:
		return "below " + celsius(*r.ToC)
	case r.ToC == nil:
		return "above " + celsius(*r.FromC)
	}
	return fixed(*r.FromC, 1) + " to " + celsius(*r.ToC)
}

// span says a line from one value to another.
func span(from, to float64) string {
	if from == to {
		return fixed(from, 1)
	}
	return fixed(from, 1) + " to " + fixed(to, 1)
}

// Text is the fit check as plain text: fails first, then cautions, then what
// passed, each in the order of the checks.
func Text(findings []Finding) string {
	var out strings.Builder
	var counts []string
	for _, v := range []Verdict{Fail, Caution, Pass} {
		n := 0
		for i := range findings {
			if findings[i].Verdict == v {
				n++
			}
		}
		counts = append(counts, fmt.Sprintf("%d %s", n, v))
	}
	fmt.Fprintf(&out, "Fit check: %s\n", strings.Join(counts, ", "))
	for _, v := range []Verdict{Fail, Caution, Pass} {
		for i := range findings {
			if f := &findings[i]; f.Verdict == v {
				fmt.Fprintf(&out, "\n%-9s%s\n", strings.ToUpper(string(v)), f.Subject)
				paragraph(&out, "         ", f.Reason)
				paragraph(&out, "         ", "Basis: "+f.Basis+".")
			}
		}
	}
	return out.String()
}

// columns writes lines of cells in aligned columns.
func columns(out *strings.Builder, lines [][]string) {
	var table strings.Builder
	t := tabwriter.NewWriter(&table, 0, 0, 2, ' ', 0)
	for _, cells := range lines {
		fmt.Fprintln(t, strings.Join(cells, "\t"))
	}
	t.Flush() // a strings.Builder takes everything
	for line := range strings.Lines(table.String()) {
		out.WriteString(strings.TrimRight(line, " \n") + "\n")
	}
}

// paragraph writes a text in lines of at most textWidth characters: the first
// begins with the lead, the others with as many spaces. A number stays with its
// unit.
func paragraph(out *strings.Builder, lead, text string) {
	start := utf8.RuneCountInString(lead)
	out.WriteString(lead)
	width := start
	for _, word := range withUnits(strings.Fields(text)) {
		n := utf8.RuneCountInString(word)
		switch {
		case width == start:
		case width+1+n > textWidth:
			out.WriteString("\n" + strings.Repeat(" ", start))
			width = start
		default:
			out.WriteString(" ")
			width++
		}
		out.WriteString(word)
		width += n
	}
	out.WriteString("\n")
}

// units are those that stand after a number in the texts of this package.
var units = []string{"V", "A", "W", "kW", "kVA", "kA", "mΩ", "Ah", "Wh", "%", "°C", "mV/K", "K", "h", "min", "s", "m"}

// withUnits joins each number to the unit that follows it.
func withUnits(words []string) []string {
	var out []string
	for _, w := range words {
		if n := len(out); n > 0 && strings.ContainsAny(out[n-1][len(out[n-1])-1:], "0123456789") && slices.Contains(units, strings.TrimRight(w, ".,;:)")) {
			out[n-1] += " " + w
			continue
		}
		out = append(out, w)
	}
	return out
}
