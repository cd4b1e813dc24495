package api

import (
	"fmt"
	"slices"
	"time"

	"bankyear/api/workbook"
	"bankyear/sim"
)

// monthMeasure is one group of columns of the sheet of months.
type monthMeasure struct {
	name  string
	total string // function of the last row
	value func(m *sim.Month) float64
}

var monthMeasures = []monthMeasure{
	{"downtime_h", "SUM", func(m *sim.Month) float64 { return m.DowntimeH }},
	{"generator_h", "SUM", func(m *sim.Month) float64 { return m.GeneratorH }},
	{"fuel_l", "SUM", func(m *sim.Month) float64 { return m.FuelL }},
	{"load_kwh", "SUM", func(m *sim.Month) float64 { return m.Books.LoadKWh }},
	{"unserved_kwh", "SUM", func(m *sim.Month) float64 { return m.Books.UnservedKWh }},
	{"solar_available_kwh", "SUM", func(m *sim.Month) float64 { return m.Books.SolarAvailableKWh }},
	{"curtailed_kwh", "SUM", func(m *sim.Month) float64 { return m.Books.CurtailedKWh }},
	{"bank_discharge_kwh", "SUM", func(m *sim.Month) float64 { return m.Books.BankDischargeKWh }},
	{"lowest_soc_fraction", "MIN", func(m *sim.Month) float64 { return m.LowestSoC }},
}

// writeMonths puts the months of every candidate side by side, measure by
// measure, with the year as formulas.
func (b *comparisonBook) writeMonths() {
	if b.c.Candidates[0].Answer.Months == nil {
		return
	}
	s := b.Sheet(monthsSheet, 1, 8, 16)
	b.months = map[string]int{}
	head := []any{workbook.Head("month")}
	for _, m := range monthMeasures {
		b.months[m.name] = len(head) + 1
		for _, name := range b.names {
			head = append(head, workbook.Head(m.name+" "+name))
		}
	}
	s.Row(head...)
	columns := make([][]float64, len(head)) // what stands in them
	for month := range 12 {
		row := []any{month + 1}
		for _, m := range monthMeasures {
			for i := range b.names {
				x := m.value(&b.c.Candidates[i].Answer.Months[month])
				columns[len(row)] = append(columns[len(row)], x)
				row = append(row, x)
			}
		}
		s.Row(row...)
	}
	row := []any{workbook.Head("year")}
	for _, m := range monthMeasures {
		for range b.names {
			column := len(row) + 1
			total := slices.Min(columns[column-1])
			if m.total == "SUM" {
				total = 0
				for _, x := range columns[column-1] {
					total += x
				}
			}
			row = append(row, workbook.Formula{Text: fmt.Sprintf("%s(%s:%s)", m.total, workbook.Cell(column, 2), workbook.Cell(column, 13)), Value: total})
		}
	}
	s.Row(row...)
}

// workbookColumns are the columns of the hours in a workbook when nobody names
// others.
var workbookColumns = []string{"load_w", "served_w", "solar_available_w", "curtailed_w", "generator_w", "bank_w", "bank_c", "soc_fraction", "reported_soc_fraction", "downtime_fraction", downtimeColumn}

// mostWithHours is how many candidates a workbook has hours of: more cells than
// that are for Parquet.
const mostWithHours = 8

// writeHours puts the hours of the candidates side by side.
func (b *comparisonBook) writeHours() {
	first := b.c.Candidates[0].Answer.Hours
	if first == nil {
		return
	}
	s := b.Sheet(hoursSheet, 1, 17, 12)
	b.hours = map[string]int{}
	head := []any{workbook.Head(startColumn)}
	var columns []HourColumn
	for i := range b.names {
		for _, c := range b.c.Candidates[i].Answer.Hours.Columns {
			if c.Name == startColumn {
				continue
			}
			if c.Name == "soc_fraction" {
				b.hours[b.names[i]] = len(head) + 1
			}
			head, columns = append(head, workbook.Head(c.Name+" "+b.names[i])), append(columns, c)
		}
	}
	s.Row(head...)
	starts := b.cases[0].Weather
	row := make([]any, len(head))
	for hour := range starts.Len() {
		row[0] = workbook.Time(daysOf(starts.Start(hour)))
		for i, c := range columns {
			row[1+i] = hourCell(c.Values, hour)
		}
		s.Row(row...)
	}
}

// hourCell is one value of a column.
func hourCell(values any, hour int) any {
	switch x := values.(type) {
	case floats:
		if none(x[hour]) {
			return nil
		}
		return float64(x[hour])
	case []bool:
		return x[hour]
	case []sim.Cause:
		if text := x[hour].String(); text != "" {
			return text
		}
		return nil
	}
	panic(fmt.Sprintf("api: a column of hours cannot be %T", values))
}

// daysOf is a local time as spreadsheets count it, days since 1899-12-30
// (ECMA-376 part 1, 18.17.4.1). A tenth of a millisecond more keeps an hour that
// no float64 of days is from being shown as 59 minutes.
func daysOf(t time.Time) float64 {
	local := time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), 0, time.UTC)
	return float64(local.Unix()-time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).Unix())/86400 + 1e-9
}
