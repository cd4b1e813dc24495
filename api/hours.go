package api

import (
	"bytes"
	"encoding/json"
	"slices"
	"strconv"
	"time"

	"bankyear/sim"
)

// The columns of an hourly year, the same in CSV, Parquet and JSON: start, the
// number columns of the simulation, and these three.
const (
	startColumn     = "start"
	downtimeColumn  = "downtime_cause"
	curtailedColumn = "curtailed_cause"
	linkColumn      = "link_up"
)

// otherColumns describes what is not a number.
var otherColumns = map[string]sim.Column{
	startColumn:     {Name: startColumn, Doc: "Start of the interval on the site's standard clock."},
	downtimeColumn:  {Name: downtimeColumn, Doc: "Largest cause of downtime in the interval; empty for none."},
	curtailedColumn: {Name: curtailedColumn, Doc: "Largest cause of curtailed solar in the interval; empty for none."},
	linkColumn:      {Name: linkColumn, Doc: "False where the data link was down at any time of the interval, or there is none."},
}

// Columns describes the columns of an hourly year in their order.
func Columns() []sim.Column {
	all := []sim.Column{otherColumns[startColumn]}
	all = append(all, sim.NumberColumns()...)
	return append(all, otherColumns[downtimeColumn], otherColumns[curtailedColumn], otherColumns[linkColumn])
}

// stampLayout writes a local time without zone (ISO 8601).
const stampLayout = "2006-01-02T15:04:05"

// stamp is the start of an interval on the site's clock.
func stamp(localMs int64) string { return time.UnixMilli(localMs).UTC().Format(stampLayout) }

// HourColumns is an hourly year in JSON: what a column is, and its values.
type HourColumns struct {
	UTCOffsetS int          `json:"utc_offset_s" doc:"Site standard time minus UTC."`
	Columns    []HourColumn `json:"columns" doc:"The columns, in the order that CSV and Parquet have them."`
}

// HourColumn is one column; values has one item an interval: numbers or null, text for
// start and the causes, true or false for link_up.
type HourColumn struct {
	Name   string `json:"name" doc:"Name of the column."`
	Unit   string `json:"unit,omitzero" required:"false" doc:"Unit of its numbers."`
	Doc    string `json:"doc" doc:"What it is."`
	Values any    `json:"values" doc:"One item an interval; null for no value."`
}

// hourColumns tells the columns of these names, all of them for none.
func hourColumns(h *sim.Hours, names []string) *HourColumns {
	out := &HourColumns{UTCOffsetS: h.UTCOffsetS}
	wants := func(name string) bool { return len(names) == 0 || slices.Contains(names, name) }
	add := func(c sim.Column, values any) {
		if wants(c.Name) {
			out.Columns = append(out.Columns, HourColumn{Name: c.Name, Unit: c.Unit, Doc: c.Doc, Values: values})
		}
	}
	if wants(startColumn) {
		starts := make([]string, h.Len())
		for i, ms := range h.StartLocalMs {
			starts[i] = stamp(ms)
		}
		add(otherColumns[startColumn], starts)
	}
	for i, c := range sim.NumberColumns() {
		add(c, floats(h.Values[i]))
	}
	add(otherColumns[downtimeColumn], h.Downtime)
	add(otherColumns[curtailedColumn], h.Curtailed)
	add(otherColumns[linkColumn], h.LinkUp)
	return out
}

// floats writes a column of numbers with the fewest digits that read back the
// same float32, faster than element by element through reflection.
type floats []float32

// MarshalJSON writes the list; NaN, no value, is null.
func (f floats) MarshalJSON() ([]byte, error) {
	out := append(make([]byte, 0, 8*len(f)+2), '[')
	for i, x := range f {
		if i > 0 {
			out = append(out, ',')
		}
		if none(x) {
			out = append(out, "null"...)
		} else {
			out = appendFloat(out, x)
		}
	}
	return append(out, ']'), nil
}

// none tells whether a column has no value here.
func none(x float32) bool { return x != x }

// appendFloat writes a float32 in the fewest digits, never with an exponent.
func appendFloat(out []byte, x float32) []byte {
	if x == 0 {
		return append(out, '0') // −0 too
	}
	return strconv.AppendFloat(out, float64(x), 'f', -1, 32)
}

// encodeJSON writes an answer: members in the order of the type, one line.
func encodeJSON(v any) ([]byte, error) {
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}
