package api

import (
	"fmt"
	"slices"
	"strings"

	"bankyear/api/document"
	"bankyear/api/workbook"
	"bankyear/sim/advice"
	"bankyear/sim/fault"
)

// writeSettings lists what to program, candidate after candidate.
func (b *comparisonBook) writeSettings() {
	s := b.Sheet(settingsSheet, 1, 16, 18, 34, 16, 8, 26, 60)
	s.Row(heads("candidate", "device", "setting", "value", "unit", "owner", "where it comes from", "if it is wrong")...)
	for i, name := range b.names {
		sheet := advice.SheetOf(&b.cases[i].System)
		for _, row := range sheet.Rows {
			s.Row(name, row.Device, row.Setting, row.Value, row.Unit, row.Owner.Words(), workbook.Wrapped(row.Rule), workbook.Wrapped(row.IfWrong))
		}
		if l := sheet.Linked; l != nil {
			ask := func(setting string, value any, unit string) {
				s.Row(name, "BMS, while linked", setting, value, unit, l.Owner.Words(), workbook.Wrapped(l.Rule), nil)
			}
			ask("voltage that it asks for", l.VoltageV, "V")
			ceiling := func(of string, byC []advice.AskedA, bySoC []advice.AskedAt) {
				for _, a := range byC {
					ask(of+" ceiling of the bank at "+between(a.FromC, a.ToC)+" °C, lower end", a.FromBankA, "A")
					ask(of+" ceiling of the bank at "+between(a.FromC, a.ToC)+" °C, upper end", a.ToBankA, "A")
				}
				for _, a := range bySoC {
					ask("factor on it at a reported state of charge of "+exact(a.SoC), a.Factor, "")
				}
			}
			ceiling("charge", l.ByC, l.BySoC)
			ceiling("discharge", l.OutByC, l.OutBySoC)
			ask("full when the voltage is at least", l.FullV, "V")
			ask("and the bank's current at most", l.FullA, "A")
			ask("for", l.FullHoldS, "s")
			ask("asks again below a reported state of charge of", l.ResumeBelowSoC, "")
			if l.ResumeBelowV > 0 {
				ask("or below, for as long", l.ResumeBelowV, "V")
			}
		}
		for _, g := range sheet.Generators {
			for _, rule := range g.Rules {
				s.Row(name, "generator "+g.Name, "rule", workbook.Wrapped(rule))
			}
		}
	}
}

func between(from, to *float64) string {
	switch {
	case from == nil:
		return "below " + exact(*to)
	case to == nil:
		return "above " + exact(*from)
	}
	return exact(*from) + " to " + exact(*to)
}

func heads(names ...string) []any {
	row := make([]any, len(names))
	for i, name := range names {
		row[i] = workbook.Head(name)
	}
	return row
}

// writeFit lists how the parts of each candidate fit each other.
func (b *comparisonBook) writeFit() {
	s := b.Sheet(fitSheet, 1, 16, 10, 34, 90, 40)
	s.Row(heads("candidate", "verdict", "what was checked", "why", "rule")...)
	for i, name := range b.names {
		for _, f := range advice.Fit(&b.cases[i].System, advice.ExtremesOf(b.cases[i].Weather)) {
			s.Row(name, string(f.Verdict), workbook.Wrapped(f.Subject), workbook.Wrapped(f.Reason), workbook.Wrapped(f.Basis))
		}
	}
}

// writeInputs lists every value that the candidates were computed with, and tells
// which differ and which nobody stated.
func (b *comparisonBook) writeInputs() {
	s := b.Sheet(inputsSheet, 1, 56, 8, 20)
	row := heads("member", "unit")
	for _, name := range b.names {
		row = append(row, workbook.Head(name))
	}
	row = append(row, workbook.Head("same in all"), workbook.Head("assumed, and why"))
	s.Row(row...)
	var order []string
	values := make([]map[string]any, len(b.names))
	basis := map[string]string{}
	for i, c := range b.cases {
		values[i] = map[string]any{}
		for _, leaf := range leavesOf(c) {
			if !slices.ContainsFunc(values[:i+1], func(known map[string]any) bool { return known[leaf.path] != nil }) {
				order = append(order, leaf.path)
			}
			values[i][leaf.path] = leaf.value
		}
		for _, a := range c.Assumed {
			basis[asName.Replace(strings.TrimPrefix(a.Pointer, "/"))] = a.Basis
		}
	}
	slices.Sort(order)
	for _, path := range order {
		at := s.Next()
		row := []any{path, fault.UnitOf(lastName(path))}
		same := true
		for i := range b.names {
			row = append(row, values[i][path])
			same = same && values[i][path] == values[0][path]
		}
		first, all, n := workbook.Cell(columnOf(0), at), workbook.Cell(columnOf(0), at)+":"+workbook.Cell(columnOf(len(b.names)-1), at), len(b.names)
		// An empty cell equals 0 for a spreadsheet.
		formula := fmt.Sprintf("AND(SUMPRODUCT(--(%s=%s))=%d,OR(COUNTBLANK(%s)=0,COUNTBLANK(%s)=%d))", all, first, n, all, all, n)
		row = append(row, workbook.Formula{Text: formula, Value: same}, basis[path])
		s.Row(row...)
	}
}

func lastName(path string) string { return path[strings.LastIndexByte(path, '.')+1:] }

// leaf is one value of a system at its dotted path; a list is its JSON.
type leaf struct {
	path  string
	value any
}

// leavesOf lists what a case was computed with: the system as it was expanded and
// completed. Weather and load are in the content hash.
func leavesOf(c *Case) []leaf {
	text, err := document.Encode(&c.System)
	if err != nil {
		panic("api: a system that passed its checks: " + err.Error())
	}
	tree, faults := document.Parse(text)
	if len(faults) > 0 {
		panic("api: a system that was encoded: " + faults.Error())
	}
	return leaves(tree, "", nil)
}

func leaves(n *document.Node, path string, list []leaf) []leaf {
	switch n.Kind() {
	case document.Object:
		for _, m := range n.Members() {
			inner := m.Name
			if path != "" {
				inner = path + "." + m.Name
			}
			list = leaves(m.Value, inner, list)
		}
		return list
	case document.Null:
		return list
	case document.Text:
		text, _ := n.Text()
		return append(list, leaf{path, text})
	case document.Number:
		x, _ := n.Float()
		return append(list, leaf{path, x})
	}
	text, err := document.Encode(n)
	if err != nil {
		panic("api: a part of a system: " + err.Error())
	}
	return append(list, leaf{path, string(text)})
}
