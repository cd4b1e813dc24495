package sitelog

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Read reads a table of text: a heading, then a row a line, fields separated by
// comma, semicolon or tab; with a semicolon or tab, decimal commas are read. The
// column of the stamps is headed time and must be there. headings says which
// heading a column has where that is not its own name. Lines that start with #
// are left out. An empty field is a missing value, and a fault where the column
// must be filled. Problems come all at once; the table is nil when there are any.
func Read(text string, columns []Column, headings map[string]string) (*Table, []Problem) {
	text = strings.TrimPrefix(text, "\ufeff")
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.Comment, r.FieldsPerRecord, r.ReuseRecord = separator(text), '#', -1, true
	r.TrimLeadingSpace = r.Comma != '\t' // which it takes for a blank
	x := reader{table: &Table{Numbers: map[string][]float64{}, Texts: map[string][]string{}}, decimalComma: r.Comma != ','}
	for first := true; ; first = false {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			var wrong *csv.ParseError
			line := 0
			if errors.As(err, &wrong) {
				line, err = wrong.Line, wrong.Err
			}
			x.add(Problem{Line: line, Row: -1, Message: "cannot be read as a table: " + err.Error()})
			break
		}
		line, _ := r.FieldPos(0)
		if first {
			if !x.heading(line, record, columns, headings) {
				return nil, x.all()
			}
			continue
		}
		if len(x.table.Lines) == mostRows {
			x.add(Problem{Line: line, Row: -1, Allowed: strconv.Itoa(mostRows), Unit: "rows", Message: "has too many rows"})
			break
		}
		x.row(line, record)
	}
	if len(x.list) == 0 && len(x.table.Lines) == 0 {
		x.add(Problem{Row: -1, Message: "holds no rows"})
	}
	if out := x.all(); len(out) > 0 {
		return nil, out
	}
	return x.table, nil
}

// separator is the one of semicolon, tab and comma that the heading has.
func separator(text string) rune {
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "#") || strings.TrimSpace(line) == "" {
			continue
		}
		for _, c := range ";\t" {
			if strings.ContainsRune(line, c) {
				return c
			}
		}
		break
	}
	return ','
}

type reader struct {
	problems
	table        *Table
	clock        clock
	decimalComma bool
	timeAt       int
	columns      []Column // those that the table has
	at           []int    // their fields
}

// heading finds the columns.
func (x *reader) heading(line int, record []string, columns []Column, headings map[string]string) bool {
	names := make([]string, len(record))
	used := make([]bool, len(record))
	for i, name := range record {
		names[i] = strings.ToLower(strings.TrimSpace(name))
	}
	find := func(name string, required bool) int {
		heading, stated := headings[name]
		if !stated {
			heading = name
		}
		want := strings.ToLower(strings.TrimSpace(heading))
		i := slices.Index(names, want)
		switch {
		case i < 0 && (required || stated):
			x.add(Problem{Line: line, Member: name, Row: -1, Value: heading, Allowed: strings.Join(record, ", "), Message: "is not a heading of the table"})
		case i >= 0 && slices.Index(names[i+1:], want) >= 0:
			x.add(Problem{Line: line, Field: i + 1, Member: name, Row: -1, Value: heading, Message: "is the heading of two columns"})
		}
		if i >= 0 {
			used[i] = true
		}
		return i
	}
	x.timeAt = find("time", true)
	for _, c := range columns {
		if i := find(c.Name, c.Required); i >= 0 {
			x.columns, x.at = append(x.columns, c), append(x.at, i)
		}
	}
	for i, name := range record {
		if !used[i] {
			x.table.Ignored = append(x.table.Ignored, strings.TrimSpace(name))
		}
	}
	return len(x.list) == 0
}

// row reads one line.
func (x *reader) row(line int, record []string) {
	t := x.table
	row := len(t.Lines)
	field := func(i int) string {
		if i >= len(record) {
			return ""
		}
		return strings.TrimSpace(record[i])
	}
	at, message := x.clock.seconds(field(x.timeAt))
	if message != "" {
		x.add(Problem{Line: line, Field: x.timeAt + 1, Member: "time", Row: row, Value: clip(field(x.timeAt)), Allowed: stampForms, Message: message})
	}
	t.Lines, t.Seconds = append(t.Lines, line), append(t.Seconds, at)
	for k := range x.columns {
		c, text := &x.columns[k], field(x.at[k])
		place := Problem{Line: line, Field: x.at[k] + 1, Member: c.Name, Row: row, Value: clip(text), Allowed: c.allowed(), Unit: c.Unit}
		value, ok := math.NaN(), true
		switch {
		case text == "" && c.Filled:
			place.Message = "is missing"
			x.add(place)
		case text == "" || c.Text:
		default:
			if value, ok = number(text, x.decimalComma); !ok {
				place.Message = "is not a number"
				x.add(place)
			} else if value < c.Min || value > c.Max {
				place.Value, place.Message = value, "is outside the allowed range"
				x.add(place)
			}
		}
		if c.Text {
			t.Texts[c.Name] = append(t.Texts[c.Name], strings.Clone(text))
		} else {
			t.Numbers[c.Name] = append(t.Numbers[c.Name], value)
		}
	}
}

func (c *Column) allowed() string {
	if c.Text {
		return ""
	}
	return fmt.Sprintf("%g to %g", c.Min, c.Max)
}

// clip keeps a field short enough to be shown.
func clip(text string) string {
	const most = 60
	if len(text) <= most {
		return strings.ToValidUTF8(text, "\uFFFD")
	}
	return strings.ToValidUTF8(text[:most], "\uFFFD") + "…"
}
