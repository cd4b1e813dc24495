package workbook

import "github.com/xuri/excelize/v2"

// Kind is how a chart is drawn.
type Kind int

// Kinds of chart.
const (
	Columns Kind = iota // beside each other
	Stacked             // on top of each other
	Lines
)

// Series is one row of a chart, each part the address of cells.
type Series struct{ Name, Categories, Values string }

// Chart puts a chart with its corner at a cell of a sheet that is not written
// yet. title, x and y say what it shows, with the unit.
func (b *Book) Chart(s *Sheet, cell string, kind Kind, title, x, y string, series []Series) {
	ink := excelize.Font{Color: "333333", Size: 9}
	c := &excelize.Chart{
		Type:         map[Kind]excelize.ChartType{Columns: excelize.Col, Stacked: excelize.ColStacked, Lines: excelize.Line}[kind],
		Title:        excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: title}}},
		XAxis:        excelize.ChartAxis{Title: excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: x}}}, Font: ink},
		YAxis:        excelize.ChartAxis{Title: excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: y}}}, Font: ink, MajorGridLines: true},
		VaryColors:   new(bool),
		Legend:       excelize.ChartLegend{Position: "bottom"},
		Dimension:    excelize.ChartDimension{Width: 760, Height: 380},
		ShowBlanksAs: "gap",
	}
	for i, one := range series {
		line := excelize.ChartSeries{Name: one.Name, Categories: one.Categories, Values: one.Values}
		colour := palette[i%len(palette)]
		if kind == Lines {
			line.Line = excelize.LineOptions{Type: excelize.LineSolid, Width: 1.25, Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}}
			line.Marker = excelize.ChartMarker{Symbol: "none"}
		} else {
			line.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
		}
		c.Series = append(c.Series, line)
	}
	b.keep(b.f.AddChart(s.name, cell, c))
}

// palette is told apart also by most people who do not see all colours: Okabe &
// Ito 2008, Color Universal Design.
var palette = []string{"0072B2", "E69F00", "009E73", "CC79A7", "56B4E9", "D55E00", "F0E442", "000000"}
