package api

import (
	"maps"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"bankyear/api/sitelog"
	"bankyear/sim/fault"
)

// LogSource is how a log is given: as a table of text, or as columns.
type LogSource struct {
	CSV     string            `json:"csv,omitzero" required:"false" doc:"The log as a table of text: a heading, then a row a line; separated by comma, semicolon or tab (the latter two allow decimal commas). Columns go by their names here, headed time for the stamps; others are ignored and listed."`
	Columns map[string]string `json:"columns,omitzero" required:"false" doc:"Headings of the table where they are not the names of the columns here, such as {\"v\": \"Battery voltage\"}."`
	Time    []string          `json:"time,omitzero" required:"false" maxItems:"4000000" doc:"Stamps of columns given as lists: 2025-01-15T08:00, with seconds or a zone if they have them; rising, any step. A row with a mean begins at its stamp."`
	Start   string            `json:"start,omitzero" required:"false" doc:"Instead of time: stamp of the first row..."`
	StepS   float64           `json:"step_s,omitzero" required:"false" minimum:"0.1" maximum:"86400" doc:"... and the step of the rows."`
}

// logColumn is a column of a log, with its values where they are given as a
// list.
type logColumn struct {
	sitelog.Column
	numbers []float64
	texts   []string
}

// logColumns lists the columns of a log by the fields of its type that are
// lists, with the ranges of their tags.
func logColumns(log any) []logColumn {
	v := reflect.Indirect(reflect.ValueOf(log))
	var list []logColumn
	for _, f := range reflect.VisibleFields(v.Type()) {
		name := memberName(f)
		if f.Type.Kind() != reflect.Slice || name == "time" {
			continue
		}
		c := logColumn{Column: sitelog.Column{Name: name, Unit: fault.UnitOf(name), Required: f.Tag.Get("log") != "", Filled: f.Tag.Get("log") == "filled", Min: math.Inf(-1), Max: math.Inf(1)}}
		switch values := v.FieldByIndex(f.Index).Interface().(type) {
		case []float64:
			c.numbers = values
		case []string:
			c.Text, c.texts = true, values
		}
		for tag, limit := range map[string]*float64{"minimum": &c.Min, "maximum": &c.Max} {
			if x, err := strconv.ParseFloat(f.Tag.Get(tag), 64); err == nil {
				*limit = x
			}
		}
		list = append(list, c)
	}
	return list
}

// read makes a table of a log, whose own struct is log. Faults have their
// pointer below the log, and the line and field of a table of text.
func (l *LogSource) read(log any) (*sitelog.Table, []Fault) {
	columns := logColumns(log)
	c := fault.New()
	if l.CSV != "" {
		l.noLists(c, columns)
		return l.readText(c, columns)
	}
	t := &sitelog.Table{Numbers: map[string][]float64{}, Texts: map[string][]string{}}
	if len(l.Columns) > 0 {
		c.At("columns").Addf(nil, "names headings of csv, which is not given")
	}
	rows := l.stamps(c, columns, t)
	for _, col := range columns {
		n := max(len(col.numbers), len(col.texts))
		switch {
		case n == 0 && col.Required:
			c.At(col.Name).Add(nil, "a list, or csv", "", "is missing")
		case n > 0 && n != rows:
			c.At(col.Name).Add(n, strconv.Itoa(rows), "rows", "is not as long as the times")
		case n > 0 && col.Text:
			t.Texts[col.Name] = col.texts
		case n > 0:
			t.Numbers[col.Name] = col.numbers
		}
	}
	if faults := c.Faults(); len(faults) > 0 {
		return nil, toldFaults(faults)
	}
	return t, nil
}

// stamps fills the times of columns given as lists, and tells how many rows
// there are.
func (l *LogSource) stamps(c fault.Collector, columns []logColumn, t *sitelog.Table) int {
	switch {
	case l.Time != nil && l.Start != "":
		c.At("start").Addf(l.Start, "is given beside time")
	case l.Time != nil:
		var problems []sitelog.Problem
		t.Seconds, problems = sitelog.Stamps(l.Time)
		for _, p := range problems {
			at := c.At("time")
			if p.Row >= 0 {
				at = at.At(strconv.Itoa(p.Row))
			}
			at.Add(p.Value, p.Allowed, p.Unit, p.Message)
		}
	case l.Start != "":
		start, problems := sitelog.Stamps([]string{l.Start})
		if len(problems) > 0 {
			c.At("start").Add(l.Start, problems[0].Allowed, "", problems[0].Message)
		}
		if l.StepS == 0 {
			c.At("step_s").Add(nil, "0.1 to 86400", "s", "is missing beside start")
		}
		n := 0
		for _, col := range columns {
			n = max(n, len(col.numbers), len(col.texts))
		}
		for i := range n {
			t.Seconds = append(t.Seconds, start[0]+float64(i)*l.StepS)
		}
	default:
		c.At("time").Add(nil, "a list of stamps, start and step_s, or csv", "", "is missing")
	}
	return max(len(t.Seconds), len(l.Time))
}

// noLists wants nothing beside a table of text.
func (l *LogSource) noLists(c fault.Collector, columns []logColumn) {
	if l.Time != nil || l.Start != "" {
		c.At("time").Addf(nil, "is given beside csv")
	}
	for _, col := range columns {
		if len(col.numbers)+len(col.texts) > 0 {
			c.At(col.Name).Addf(nil, "is given beside csv")
		}
	}
}

func (l *LogSource) readText(c fault.Collector, columns []logColumn) (*sitelog.Table, []Fault) {
	plain := make([]sitelog.Column, len(columns))
	known := []string{"time"}
	for i := range columns {
		plain[i] = columns[i].Column
		known = append(known, columns[i].Name)
	}
	for _, name := range slices.Sorted(maps.Keys(l.Columns)) {
		if !slices.Contains(known, name) {
			c.At("columns", name).Add(l.Columns[name], strings.Join(known, ", "), "", "is not a column of a log")
		}
	}
	faults := toldFaults(c.Faults())
	t, problems := sitelog.Read(l.CSV, plain, l.Columns)
	for _, p := range problems {
		f := Fault{Pointer: "/csv", Line: p.Line, Column: p.Field, Value: tellable(p.Value), Allowed: p.Allowed, Unit: p.Unit, Message: p.Message}
		if p.Member != "" {
			f.Message = p.Member + " " + p.Message
		}
		faults = append(faults, f)
	}
	return t, faults
}

// placed are problems of the meaning of a table: at its line, or at the row of
// the list.
func placed(problems []sitelog.Problem) []Fault {
	var faults []Fault
	for _, p := range problems {
		f := Fault{Pointer: "/csv", Line: p.Line, Value: tellable(p.Value), Allowed: p.Allowed, Unit: p.Unit, Message: p.Member + " " + p.Message}
		if p.Line == 0 {
			f.Pointer, f.Message = fault.New().At(p.Member).Pointer(), p.Message
			if p.Row >= 0 {
				f.Pointer += "/" + strconv.Itoa(p.Row)
			}
		}
		faults = append(faults, f)
	}
	return faults
}

// toldFaults are faults as a problem tells them.
func toldFaults(faults fault.Faults) []Fault {
	var out []Fault
	for _, f := range faults {
		out = append(out, Fault{Pointer: f.Pointer, Value: tellable(f.Value), Allowed: f.Allowed, Unit: f.Unit, Message: f.Message})
	}
	return out
}

// logColumnNames are the names of the columns of a kind of log.
func logColumnNames(log any) []string {
	var names []string
	for _, c := range logColumns(log) {
		names = append(names, c.Name)
	}
	return names
}
