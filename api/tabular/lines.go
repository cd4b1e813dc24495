package tabular

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"strings"

	"bankyear/api/document"
)

// CSV writes a table as comma-separated values (RFC 4180) with a header, and no
// value as an empty field. Numbers are as in JSON.
type CSV struct {
	w       io.Writer
	columns []Column
	buffer  []byte
	begun   bool
}

// NewCSV writes to w.
func NewCSV(w io.Writer, columns []Column) *CSV { return &CSV{w: w, columns: columns} }

// header is written once.
func (c *CSV) header(out []byte) []byte {
	if c.begun {
		return out
	}
	c.begun = true
	for i, column := range c.columns {
		out = field(append(out, separator(i)...), column.Name)
	}
	return append(out, "\r\n"...)
}

// Write writes a block.
func (c *CSV) Write(b *Block) error {
	out := c.header(c.buffer[:0])
	for r := range b.Rows {
		for i := range b.Columns {
			out = append(out, separator(i)...)
			switch {
			case b.Columns[i].Kind == Text:
				out = field(out, b.Texts[i][r])
			case !math.IsNaN(b.Numbers[i][r]):
				out = document.AppendNumber(out, b.Numbers[i][r])
			}
		}
		out = append(out, "\r\n"...)
		if len(out) >= pieceBytes {
			if _, err := c.w.Write(out); err != nil {
				return err
			}
			out = out[:0]
		}
	}
	c.buffer = out
	_, err := c.w.Write(out)
	return err
}

// pieceBytes is about how much is written at once.
const pieceBytes = 64 << 10

// Close ends the table; one without rows has its header all the same.
func (c *CSV) Close() error {
	_, err := c.w.Write(c.header(nil))
	return err
}

func separator(i int) string {
	if i == 0 {
		return ""
	}
	return ","
}

func field(out []byte, text string) []byte {
	if !strings.ContainsAny(text, ",\"\r\n") {
		return append(out, text...)
	}
	out = append(out, '"')
	out = append(out, strings.ReplaceAll(text, `"`, `""`)...)
	return append(out, '"')
}

// Lines writes a table as JSON lines: an object a row, without members that have
// no value.
type Lines struct {
	w      io.Writer
	buffer []byte
	names  [][]byte // as JSON, with the colon
}

// NewLines writes to w.
func NewLines(w io.Writer) *Lines { return &Lines{w: w} }

// Write writes a block.
func (l *Lines) Write(b *Block) error {
	for i := len(l.names); i < len(b.Columns); i++ {
		l.names = append(l.names, append(quoted(nil, b.Columns[i].Name), ':'))
	}
	out := l.buffer[:0]
	for r := range b.Rows {
		out = append(out, '{')
		first := true
		for i := range b.Columns {
			isText := b.Columns[i].Kind == Text
			if isText && b.Texts[i][r] == "" || !isText && math.IsNaN(b.Numbers[i][r]) {
				continue
			}
			if !first {
				out = append(out, ',')
			}
			first = false
			out = append(out, l.names[i]...)
			if isText {
				out = quoted(out, b.Texts[i][r])
			} else {
				out = document.AppendNumber(out, b.Numbers[i][r])
			}
		}
		out = append(out, "}\n"...)
		if len(out) >= pieceBytes {
			if _, err := l.w.Write(out); err != nil {
				return err
			}
			out = out[:0]
		}
	}
	l.buffer = out
	_, err := l.w.Write(out)
	return err
}

// Close has nothing left to write.
func (l *Lines) Close() error { return nil }

// quoted is a text in JSON.
func quoted(out []byte, text string) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(text); err != nil {
		panic("tabular: a text that is no JSON: " + err.Error())
	}
	return append(out, bytes.TrimSuffix(b.Bytes(), []byte("\n"))...)
}
