// Package tabular is a table of runs on its way: in blocks of rows, with a column
// for each axis and each figure. It is written as CSV, JSON lines and Parquet,
// and read from Parquet, a block at a time: no table is ever held whole.
package tabular

import "math"

// Kind is what the values of a column are.
type Kind uint8

// Kinds of column.
const (
	Number Kind = iota
	Whole       // numbers that count
	Text
)

// Column is one column.
type Column struct {
	Name string
	Kind Kind
	Unit string
	Doc  string
}

// Block is some rows of a table, column by column: column i is in Numbers[i] or,
// for texts, in Texts[i]. NaN and the empty text stand for no value.
type Block struct {
	Columns []Column
	Rows    int
	Numbers [][]float64
	Texts   [][]string
}

// New is a block of so many rows without values.
func New(columns []Column, rows int) *Block {
	b := &Block{Columns: columns, Rows: rows, Numbers: make([][]float64, len(columns)), Texts: make([][]string, len(columns))}
	whole := make([]float64, 0, rows*len(columns))
	for i, c := range columns {
		if c.Kind == Text {
			b.Texts[i] = make([]string, rows)
			continue
		}
		at := len(whole)
		whole = whole[:at+rows]
		for r := range rows {
			whole[at+r] = math.NaN()
		}
		b.Numbers[i] = whole[at : at+rows : at+rows]
	}
	return b
}

// Find is the number of the column with a name, −1 when there is none.
func Find(columns []Column, name string) int {
	for i, c := range columns {
		if c.Name == name {
			return i
		}
	}
	return -1
}

// From is the block from a row on.
func (b *Block) From(row int) *Block { return b.rows(row, b.Rows) }

// rows is the block from a row up to another; they share their values.
func (b *Block) rows(from, to int) *Block {
	out := &Block{Columns: b.Columns, Rows: to - from, Numbers: make([][]float64, len(b.Columns)), Texts: make([][]string, len(b.Columns))}
	for i, c := range b.Columns {
		if c.Kind == Text {
			out.Texts[i] = b.Texts[i][from:to]
		} else {
			out.Numbers[i] = b.Numbers[i][from:to]
		}
	}
	return out
}

// In is the block in other columns, by name: those that it has share their values,
// the others are without.
func (b *Block) In(columns []Column) *Block {
	out := New(columns, b.Rows)
	for i, c := range columns {
		if k := Find(b.Columns, c.Name); k >= 0 {
			out.Numbers[i], out.Texts[i] = b.Numbers[k], b.Texts[k]
		}
	}
	return out
}

// Pick is a block of some rows of this one.
func (b *Block) Pick(rows []int) *Block {
	out := New(b.Columns, len(rows))
	for i, c := range b.Columns {
		for k, row := range rows {
			if c.Kind == Text {
				out.Texts[i][k] = b.Texts[i][row]
			} else {
				out.Numbers[i][k] = b.Numbers[i][row]
			}
		}
	}
	return out
}
