package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
	"text/tabwriter"
)

// printer writes plain text and remembers the first error.
type printer struct {
	w     io.Writer
	err   error
	blank bool // the last line is empty
}

// Write implements io.Writer for tables.
func (p *printer) Write(b []byte) (int, error) {
	if p.err == nil {
		_, p.err = p.w.Write(b)
	}
	p.blank = bytes.HasSuffix(b, []byte("\n\n"))
	return len(b), p.err
}

func (p *printer) linef(format string, args ...any) { fmt.Fprintf(p, format+"\n", args...) }

func (p *printer) title(text string) {
	if text != "" {
		p.linef("%s\n%s\n", text, strings.Repeat("=", len([]rune(text))))
	}
}

// section begins what follows under a heading, with an empty line before it.
func (p *printer) section(text string) {
	if !p.blank {
		p.linef("")
	}
	p.linef("%s", text)
}

// list writes sentences under a heading, nothing when there are none.
func (p *printer) list(heading string, sentences []string) {
	if len(sentences) == 0 {
		return
	}
	p.section(heading)
	for _, s := range sentences {
		p.linef("- %s", s)
	}
}

// table aligns rows to the left.
func (p *printer) table(rows [][]string) {
	t := tabwriter.NewWriter(p, 0, 0, 2, ' ', 0)
	for _, r := range rows {
		fmt.Fprintln(t, "  "+strings.Join(r, "\t"))
	}
	t.Flush()
}

// numbers aligns rows of numbers under their headings, to the right.
func (p *printer) numbers(rows [][]string) {
	t := tabwriter.NewWriter(p, 0, 0, 2, ' ', tabwriter.AlignRight)
	for _, r := range rows {
		fmt.Fprintln(t, strings.Join(r, "\t")+"\t")
	}
	t.Flush()
}

// shown writes a value: numbers as people read them.
func shown(v any) string {
	switch x := v.(type) {
	case float64:
		return rounded(x)
	case nil:
		return ""
	case string:
		return x
	}
	return fmt.Sprint(v)
}

// given writes a value of an input as it is in JSON, text without quotes and
// numbers with at most six digits, all of them before the point.
func given(v any) string {
	out, err := json.Marshal(v)
	if err != nil {
		return fmt.Sprint(v)
	}
	var plain any // the same whether the answer was made here or came from a service
	if err := json.Unmarshal(out, &plain); err != nil {
		return string(out)
	}
	switch x := plain.(type) {
	case string:
		return x
	case float64:
		if a := max(x, -x); a >= 1e5 && a < 1e21 {
			return strconv.FormatFloat(x, 'f', 0, 64)
		}
		return strconv.FormatFloat(x, 'g', 6, 64)
	}
	if out, err = json.Marshal(plain); err != nil {
		return fmt.Sprint(v)
	}
	return string(out)
}

// rounded writes a number with at most three decimals, fewer the larger it is.
func rounded(x float64) string {
	decimals := 0
	switch a := max(x, -x); {
	case x == float64(int64(x)):
	case a < 1:
		decimals = 3
	case a < 10:
		decimals = 2
	case a < 1000:
		decimals = 1
	}
	return strconv.FormatFloat(x, 'f', decimals, 64)
}
