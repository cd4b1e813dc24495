package api

import (
	"fmt"
	"slices"

	"bankyear/api/workbook"
)

// writeCharts draws what the other sheets hold.
func (b *comparisonBook) writeCharts(s *workbook.Sheet) {
	n := len(b.names)
	heads := workbook.On(figuresSheet, workbook.Fixed(columnOf(0), 1)+":"+workbook.Fixed(columnOf(n-1), 1))
	across := func(row int) string {
		return workbook.On(figuresSheet, workbook.Fixed(columnOf(0), row)+":"+workbook.Fixed(columnOf(n-1), row))
	}
	of := func(figure string) workbook.Series {
		return workbook.Series{Name: workbook.On(figuresSheet, workbook.Fixed(1, b.figureRow[figure])), Categories: heads, Values: across(b.figureRow[figure])}
	}
	row := 1
	const rows = 24 // of the lowest height that is usual are more than a chart
	place := func() string { row += rows; return fmt.Sprintf("A%d", row-rows) }
	beside := func() string { return fmt.Sprintf("J%d", row-rows) }
	b.Chart(s, place(), workbook.Columns, "Dark hours a year", "candidate", "h", []workbook.Series{of("downtime_h")})
	b.Chart(s, beside(), workbook.Columns, "Generator hours and litres a year", "candidate", "h, l", []workbook.Series{of("generator_h"), of("fuel_l")})
	var costs []workbook.Series
	for _, name := range []string{"capital", "bought again, present value", "fuel, present value", "service, present value", "visits and the like, present value"} {
		row := b.cost[slices.IndexFunc(b.cost, func(r costRow) bool { return r.name == name })].row
		costs = append(costs, workbook.Series{Name: workbook.On(costSheet, workbook.Fixed(1, row)), Categories: heads, Values: workbook.On(costSheet, workbook.Fixed(columnOf(0), row)+":"+workbook.Fixed(columnOf(n-1), row))})
	}
	b.Chart(s, place(), workbook.Stacked, "Cost over the horizon, with the prices that are entered", "candidate", "present value", costs)
	if b.months != nil {
		byMonth := func(measure string) (list []workbook.Series) {
			for i := range b.names {
				column := b.months[measure] + i
				list = append(list, workbook.Series{Name: workbook.On(monthsSheet, workbook.Fixed(column, 1)), Categories: workbook.Down(monthsSheet, 1, 2, 13), Values: workbook.Down(monthsSheet, column, 2, 13)})
			}
			return list
		}
		b.Chart(s, place(), workbook.Columns, "Dark hours by month", "month", "h", byMonth("downtime_h"))
		b.Chart(s, beside(), workbook.Columns, "Generator hours by month", "month", "h", byMonth("generator_h"))
		b.Chart(s, place(), workbook.Lines, "Lowest state of charge by month", "month", "fraction", byMonth("lowest_soc_fraction"))
		b.Chart(s, beside(), workbook.Columns, "Solar energy that nothing took, by month", "month", "kWh", byMonth("curtailed_kwh"))
	}
	if len(b.hours) == n {
		last := 1 + b.cases[0].Weather.Len()
		var list []workbook.Series
		for _, name := range b.names {
			list = append(list, workbook.Series{Name: workbook.On(hoursSheet, workbook.Fixed(b.hours[name], 1)), Categories: workbook.Down(hoursSheet, 1, 2, last), Values: workbook.Down(hoursSheet, b.hours[name], 2, last)})
		}
		b.YearChart(s, place(), "State of charge", "January to December", "fraction", list)
	}
}
