package api

import (
	"fmt"
	"slices"

	"bankyear/api/media"
	"bankyear/api/workbook"
	"bankyear/sim/fault"
)

// The sheets of a comparison's workbook, in their order.
const (
	summarySheet  = "Summary"
	costSheet     = "Cost"
	chartsSheet   = "Charts"
	figuresSheet  = "Figures"
	monthsSheet   = "Months"
	hoursSheet    = "Hours"
	settingsSheet = "Settings"
	fitSheet      = "Fit"
	inputsSheet   = "Inputs"
)

// comparisonBook is a comparison as a workbook while it is written.
type comparisonBook struct {
	*workbook.Book
	c     *Comparison
	cases []*Case // of the candidates
	names []string

	figureRow map[string]int // in figuresSheet
	leftOut   [][]string     // figures that do not apply to a candidate
	cost      []costRow
	months    map[string]int // first column of a measure in monthsSheet
	hours     map[string]int // first column of a candidate in hoursSheet
}

// encodeWorkbook writes a comparison as a workbook (Office Open XML): what the
// answer in JSON says, with formulas where a reader may want other prices, and
// charts. cases are those of the candidates, in their order.
func encodeWorkbook(c *Comparison, cases []*Case) ([]byte, error) {
	b := &comparisonBook{Book: workbook.New(), c: c, cases: cases}
	for i := range c.Candidates {
		b.names = append(b.names, c.Candidates[i].Candidate)
		var left []string
		for _, f := range FiguresOf(&c.Candidates[i].Answer.Figures) {
			if f.LeftOut {
				left = append(left, f.Name)
			}
		}
		b.leftOut = append(b.leftOut, left)
	}
	// In this order because a sheet refers to rows of later ones: where they are
	// follows from the comparison alone.
	summary := b.Sheet(summarySheet, 3, 40, 14, 24)
	cost := b.Sheet(costSheet, 2, 44, 14, 14)
	charts := b.Sheet(chartsSheet, 0, 12)
	b.writeFigures()
	b.writeMonths()
	b.writeHours()
	b.writeSettings()
	b.writeFit()
	b.writeInputs()
	b.writeCost(cost)
	b.writeSummary(summary)
	b.writeCharts(charts)
	return b.Bytes()
}

// headlines are the figures of the summary.
var headlines = []struct{ figure, words string }{
	{"downtime_h", "dark hours"}, {"dark_nights", "dark nights"}, {"outages", "outages over 5 min"}, {"longest_outage_h", "longest outage"}, {"longest_outage_start", "from"},
	{"unserved_kwh", "load not served"}, {"generator_h", "generator hours"}, {"generator_starts", "generator starts"}, {"fuel_l", "fuel"},
	{"lowest_soc_fraction", "lowest state of charge"}, {"lowest_soc_at", "at"}, {"charged_too_cold_h", "charged too cold for the cells"},
	{"curtailed_kwh", "solar energy that nothing took"}, {"load_met_by_solar_fraction", "load met by the sun"}, {"throughput_mwh", "throughput of the bank"}, {"years_to_80_pct", "years to 80 % of capacity"}, {"years_by_cycles", "years by cycle life"}, {"years_on_float", "years by float life"},
}

// columnOf is the column of candidate i in sheets that have the candidates side
// by side, after a name and a unit.
func columnOf(i int) int { return 3 + i }

// line is a row with a name, a unit and a cell for each candidate.
func (b *comparisonBook) line(s *workbook.Sheet, name any, unit string, cell func(i int) any) int {
	row := []any{name, unit}
	for i := range b.names {
		row = append(row, cell(i))
	}
	return s.Row(row...)
}

// heads is a row of heads with the candidates.
func (b *comparisonBook) heads(s *workbook.Sheet, first, unit string) int {
	row := []any{workbook.Head(first), workbook.Head(unit)}
	for _, name := range b.names {
		row = append(row, workbook.NumberHead(name))
	}
	return s.Row(row...)
}

func (b *comparisonBook) writeSummary(s *workbook.Sheet) {
	title := "Comparison"
	if b.c.Name != "" {
		title = b.c.Name
	}
	s.Row(workbook.Title(title))
	s.Row("Differences are against "+b.c.Reference+". Cells that are coloured are meant to be changed; sums follow.", nil)
	b.heads(s, "", "unit")
	b.line(s, "battery modules", "", func(i int) any { return b.cases[i].System.Bank.Modules })
	b.line(s, "operation", "", func(i int) any { return workbook.AmongNumbers(b.cases[i].System.Bank.Operation) })
	for _, h := range headlines {
		if row, ok := b.figureRow[h.figure]; ok {
			b.line(s, h.words, fault.UnitOf(h.figure), func(i int) any { return b.figureCell(h.figure, row, i) })
		}
	}
	s.Row()
	s.Row(workbook.Head("Cost, with the prices of the sheet Cost"))
	for _, row := range b.cost {
		b.line(s, row.name, row.unit, func(i int) any {
			return workbook.Formula{Text: workbook.On(costSheet, workbook.Cell(columnOf(i), row.row)), Value: row.values[i], Rounded: true}
		})
	}
	if v := b.c.Verdict; v != nil {
		b.texts(s, v.Title, v.Words)
	}
	s.Row()
	s.Row(workbook.Head("What the figures say"))
	for i, c := range b.c.Candidates {
		for _, text := range c.Answer.Findings {
			s.Row(b.names[i] + ": " + text)
		}
	}
	b.texts(s, "How to read this", b.c.Notes)
	b.texts(s, "Cautions", b.c.Cautions)
	s.Row()
	s.Row(workbook.Head("What this was computed from"))
	b.line(s, "content hash", "", func(i int) any { return b.c.Candidates[i].Answer.Hash })
	s.Row("engine", "", b.c.Engine)
}

func (b *comparisonBook) texts(s *workbook.Sheet, head string, texts []string) {
	if len(texts) == 0 {
		return
	}
	s.Row()
	s.Row(workbook.Head(head))
	for _, text := range texts {
		s.Row(text)
	}
}

// figureCell refers to a figure in the sheet of figures.
func (b *comparisonBook) figureCell(name string, row, i int) any {
	at := slices.IndexFunc(b.c.Figures, func(f FigureRow) bool { return f.Figure == name })
	value := b.applies(b.c.Figures[at], i, b.c.Figures[at].Values[b.names[i]])
	if value == nil || value == "" {
		return nil
	}
	return workbook.Formula{Text: workbook.On(figuresSheet, workbook.Cell(columnOf(i), row)), Value: value, Rounded: true}
}

// applies is a value of a figure, nil for a number that a candidate's answer
// leaves out.
func (b *comparisonBook) applies(f FigureRow, i int, value any) any {
	if slices.Contains(b.leftOut[i], f.Figure) {
		return nil
	}
	return value
}

// writeFigures puts every figure side by side, with differences as formulas.
func (b *comparisonBook) writeFigures() {
	s := b.Sheet(figuresSheet, 1, 36, 8, 16)
	row := []any{workbook.Head("figure"), workbook.Head("unit")}
	for _, name := range b.names {
		row = append(row, workbook.NumberHead(name))
	}
	for _, name := range b.names[1:] {
		row = append(row, workbook.NumberHead(name+" − "+b.names[0]))
	}
	s.Row(row...)
	b.figureRow = map[string]int{}
	for _, f := range b.c.Figures {
		at := s.Next()
		b.figureRow[f.Figure] = at
		row := []any{f.Figure, f.Unit}
		for i, name := range b.names {
			row = append(row, b.applies(f, i, f.Values[name]))
		}
		for i, name := range b.names[1:] {
			if d, ok := f.Differences[name]; ok && b.applies(f, 0, d) != nil && b.applies(f, i+1, d) != nil {
				row = append(row, workbook.Formula{Text: workbook.Cell(columnOf(i+1), at) + "-" + workbook.Cell(columnOf(0), at), Value: d})
			} else {
				row = append(row, nil)
			}
		}
		s.Row(row...)
	}
}

// inWorkbook is what a workbook tells: months and hours, unless the client says
// what; the hours with the columns that are read most, unless it names them.
func (t telling) inWorkbook(stated bool) telling {
	if !stated {
		t.details = []Detail{Months, Hours}
	}
	if len(t.columns) == 0 {
		t.columns = workbookColumns
	}
	return t
}

// tooMany is the problem of a workbook with hours of too many candidates.
func (t telling) tooMany(candidates int) *Problem {
	if !slices.Contains(t.details, Hours) || candidates <= mostWithHours {
		return nil
	}
	return badParameters(fault.Faults{{Pointer: "/detail", Value: string(Hours), Allowed: "figures, months", Message: fmt.Sprintf("has hours of %d candidates, more than the %d that a workbook takes; Parquet takes them one by one", candidates, mostWithHours)}})
}

// workbookOf is a comparison as a workbook.
func workbookOf(x *comparison, answer *Comparison) *reply {
	body, err := x.workbook(answer)
	if err != nil {
		panic(err) // a workbook that cannot be written is a mistake of the program
	}
	return &reply{mediaType: media.Workbook, body: body, filename: "comparison.xlsx"}
}

func (x *comparison) workbook(answer *Comparison) ([]byte, error) {
	cases := make([]*Case, len(x.candidates))
	for i := range x.candidates {
		cases[i] = x.candidates[i].c
	}
	return encodeWorkbook(answer, cases)
}

// CompareWorkbook is Compare, and gives the answer as a workbook too: with months,
// and hours of at most eight candidates.
func (cs *Cases) CompareWorkbook(raw []byte, details ...Detail) (*Comparison, []byte, error) {
	x, faults, _ := cs.readComparison(raw)
	if len(faults) > 0 {
		return nil, nil, faults
	}
	want := telling{details: append([]Detail{Months}, details...), columns: workbookColumns}
	if len(x.candidates) <= mostWithHours {
		want.details = append(want.details, Hours)
	}
	answer := compare(alone(), x, want, newAnswers(len(x.candidates)))
	book, err := x.workbook(answer)
	return answer, book, err
}
