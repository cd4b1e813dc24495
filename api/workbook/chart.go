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
	b.chart(s, cell, kind, 1.25, title, excelize.ChartAxis{}, x, y, series)
}

// YearChart is Chart with thin lines over the intervals of a year. They are not labelled:
// some suites would write thousands of labels over each other.
func (b *Book) YearChart(s *Sheet, cell, title, x, y string, series []Series) {
	b.chart(s, cell, Lines, 0.5, title, excelize.ChartAxis{TickLabelPosition: excelize.ChartTickLabelNone}, x, y, series)
}

func (b *Book) chart(s *Sheet, cell string, kind Kind, width float64, title string, across excelize.ChartAxis, x, y string, series []Series) {
	ink := excelize.Font{Color: "333333", Size: 9}
	across.Title, across.Font = excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: x}}}, ink
	c := &excelize.Chart{
		Type:         map[Kind]excelize.ChartType{Columns: excelize.Col, Stacked: excelize.ColStacked, Lines: excelize.Line}[kind],
		Title:        excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: title}}},
		XAxis:        across,
		YAxis:        excelize.ChartAxis{Title: excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: y}}}, Font: ink, MajorGridLines: true},
		VaryColors:   new(bool),
		Legend:       excelize.ChartLegend{Position: "bottom"},
		Dimension:    excelize.ChartDimension{Width: 760, Height: 380},
		ShowBlanksAs: "gap",
	}
	for i, one := range series {
		line := excelize.ChartSeries{Name: one.Name, Categories: one.Categories, Values: one.Values}
		line.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{palette[i%len(palette)]}} // of the line too
		if kind == Lines {
			line.Line = excelize.LineOptions{Type: excelize.LineSolid, Width: width}
			line.Marker = excelize.ChartMarker{Symbol: "none"}
		}
		c.Series = append(c.Series, line)
	}
	b.keep(b.f.AddChart(s.name, cell, c))
}

// palette is told apart also by most people who do not see all colours: Okabe &
// Ito 2008, Color Universal Design.
var palette = []string{"0072B2", "E69F00", "009E73", "CC79A7", "56B4E9", "D55E00", "F0E442", "000000"}
