// Package workbook writes Office Open XML workbooks (ECMA-376) row by row: plain
// cells, formulas with the value that they have now, cells that somebody is meant
// to fill in, and charts. The same rows make the same bytes.
package workbook

import (
	"bytes"
	"fmt"
	"math"
	"sort"

	"github.com/xuri/excelize/v2"
)

// Book is a workbook while it is written. The first error is kept, and told by
// Bytes.
type Book struct {
	f      *excelize.File
	sheets int
	open   []*Sheet
	styles map[string]int
	err    error
}

// New begins a workbook.
func New() *Book {
	b := &Book{f: excelize.NewFile(), styles: map[string]int{}}
	fill := func(colour string) excelize.Fill {
		return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
	}
	dated, rounded := "yyyy-mm-dd hh:mm", "#,##0.00"
	for _, one := range []struct {
		name  string
		style *excelize.Style
	}{
		{"head", &excelize.Style{Font: &excelize.Font{Bold: true}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}},
		{"number head", &excelize.Style{Font: &excelize.Font{Bold: true}, Alignment: &excelize.Alignment{Horizontal: "right", WrapText: true, Vertical: "top"}}},
		{"among numbers", &excelize.Style{Alignment: &excelize.Alignment{Horizontal: "right"}}},
		{"title", &excelize.Style{Font: &excelize.Font{Bold: true, Size: 14}}},
		{"entered", &excelize.Style{Fill: fill("FFF2CC"), Protection: &excelize.Protection{Locked: false}}},
		{"wrapped", &excelize.Style{Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}},
		{"time", &excelize.Style{CustomNumFmt: &dated}},
		{"rounded", &excelize.Style{CustomNumFmt: &rounded}},
	} {
		id, err := b.f.NewStyle(one.style)
		b.styles[one.name] = id
		b.keep(err)
	}
	return b
}

func (b *Book) keep(err error) {
	if b.err == nil && err != nil {
		b.err = fmt.Errorf("workbook: %w", err)
	}
}

// The cells of a row: a number, a text, true or false, nil for nothing, or one
// of these.
type (
	// Formula is calculated by whoever opens the workbook; Value is what it comes
	// to with the cells as they are written.
	Formula struct {
		Text    string // without =
		Value   any
		Rounded bool // shown with no more digits than a reader needs
	}
	// Entered is a cell that somebody is meant to change.
	Entered struct{ Value any }
	// Head is the head of a column or a block.
	Head string
	// NumberHead is the head of a column of numbers, and stands above them.
	NumberHead string
	// AmongNumbers is a text in such a column.
	AmongNumbers string
	// Title is that of a sheet.
	Title string
	// Wrapped is a long text.
	Wrapped string
	// Time is a time on the site's clock, as days since 1899-12-30.
	Time float64
)

// Sheet is a sheet while it is written.
type Sheet struct {
	name string
	b    *Book
	w    *excelize.StreamWriter
	row  int
}

// Sheet begins a sheet with columns of the given widths, in characters; the last
// one is that of all further columns. frozen is how many rows stay in sight.
func (b *Book) Sheet(name string, frozen int, widths ...float64) *Sheet {
	if b.sheets++; b.sheets == 1 {
		b.keep(b.f.SetSheetName("Sheet1", name))
	} else {
		_, err := b.f.NewSheet(name)
		b.keep(err)
	}
	landscape, page, wide, long := "landscape", true, 1, 0
	b.keep(b.f.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &page}))
	b.keep(b.f.SetPageLayout(name, &excelize.PageLayoutOptions{Orientation: &landscape, FitToWidth: &wide, FitToHeight: &long}))
	s := &Sheet{name: name, b: b}
	w, err := b.f.NewStreamWriter(name)
	if b.keep(err); err != nil {
		return s
	}
	s.w = w
	for i, width := range widths {
		last := i + 1
		if last == len(widths) {
			last = max(last, 200)
		}
		b.keep(w.SetColWidth(i+1, last, width))
	}
	if frozen > 0 {
		corner, err := excelize.CoordinatesToCellName(1, frozen+1)
		b.keep(err)
		b.keep(w.SetPanes(&excelize.Panes{Freeze: true, YSplit: frozen, TopLeftCell: corner, ActivePane: "bottomLeft"}))
	}
	b.open = append(b.open, s)
	return s
}

// Row writes the next row and tells its number, from 1.
func (s *Sheet) Row(cells ...any) int {
	s.row++
	if s.w == nil {
		return s.row
	}
	line := make([]any, len(cells))
	for i, c := range cells {
		line[i] = s.cell(c)
	}
	s.b.keep(s.w.SetRow(fmt.Sprintf("A%d", s.row), line))
	return s.row
}

// Next is the number of the row that Row writes next.
func (s *Sheet) Next() int { return s.row + 1 }

func (s *Sheet) cell(c any) any {
	style := func(name string, value any) any {
		return excelize.Cell{StyleID: s.b.styles[name], Value: value}
	}
	switch x := c.(type) {
	case Formula:
		out := excelize.Cell{Formula: x.Text, Value: x.Value}
		if n, isNumber := x.Value.(float64); isNumber && x.Rounded && n != math.Trunc(n) {
			out.StyleID = s.b.styles["rounded"]
		} else if _, isText := x.Value.(string); isText {
			out.StyleID = s.b.styles["among numbers"]
		}
		return out
	case Entered:
		return style("entered", x.Value)
	case Head:
		return style("head", string(x))
	case NumberHead:
		return style("number head", string(x))
	case AmongNumbers:
		return style("among numbers", string(x))
	case Title:
		return style("title", string(x))
	case Wrapped:
		return style("wrapped", string(x))
	case Time:
		return style("time", float64(x))
	}
	return c
}

// Bytes ends the workbook. Whoever opens it recalculates every formula.
func (b *Book) Bytes() ([]byte, error) {
	for _, s := range b.open {
		if s.w != nil {
			b.keep(s.w.Flush())
		}
	}
	full := true
	b.keep(b.f.SetCalcProps(&excelize.CalcPropsOptions{FullCalcOnLoad: &full}))
	b.keep(b.f.SetDocProps(&excelize.DocProperties{Creator: "bankyear", LastModifiedBy: "bankyear", Created: epoch, Modified: epoch}))
	if types := b.f.ContentTypes; types != nil {
		sort.Slice(types.Defaults, func(i, j int) bool { return types.Defaults[i].Extension < types.Defaults[j].Extension })
	}
	var out bytes.Buffer
	if b.err == nil {
		_, err := b.f.WriteTo(&out)
		b.keep(err)
	}
	b.keep(b.f.Close())
	if b.err != nil {
		return nil, b.err
	}
	packed, err := ordered(out.Bytes())
	b.keep(err)
	return packed, b.err
}

// epoch stands for the time of writing, which is no part of a workbook that is
// the same for the same answer.
const epoch = "2000-01-01T00:00:00Z"
