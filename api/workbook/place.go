package workbook

import (
	"strings"

	"github.com/xuri/excelize/v2"
)

// Column is the letters of column n, from 1.
func Column(n int) string {
	name, err := excelize.ColumnNumberToName(n)
	if err != nil {
		panic("workbook: " + err.Error())
	}
	return name
}

// Cell is the address of a cell in its own sheet, column and row from 1.
func Cell(column, row int) string {
	name, err := excelize.CoordinatesToCellName(column, row)
	if err != nil {
		panic("workbook: " + err.Error())
	}
	return name
}

// Fixed is the address that stays the same when a formula is copied.
func Fixed(column, row int) string {
	name, err := excelize.CoordinatesToCellName(column, row, true)
	if err != nil {
		panic("workbook: " + err.Error())
	}
	return name
}

// On is an address in a sheet of the workbook.
func On(sheet, address string) string {
	return "'" + strings.ReplaceAll(sheet, "'", "''") + "'!" + address
}

// Down is a column of a sheet from one row to another, as an address.
func Down(sheet string, column, from, to int) string {
	return On(sheet, Fixed(column, from)+":"+Fixed(column, to))
}
