package api

import "bankyear/api/workbook"

// costRow is a row of the sheet of costs that the summary repeats.
type costRow struct {
	name, unit string
	row        int
	values     []any
}

func (b *comparisonBook) writeCost(*workbook.Sheet) {}
