package weather

import (
	"errors"
	"fmt"
	"io"
	"math"
	"time"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/format"
)

// parquetRows goes through the columns of interest of a row group in step.
type parquetRows struct {
	columns [columns]*parquetColumn
	clock   *parquetColumn
	marks   *parquetColumn
	field   [columns]int
}

// parquetColumn reads one column value by value, a page at a time.
type parquetColumn struct {
	pages  parquet.Pages
	values parquet.ValueReader
	buffer []parquet.Value
	at, n  int
	value  parquet.Value
}

func newParquetRows(group parquet.RowGroup, h *header) *parquetRows {
	chunks := group.ColumnChunks()
	open := func(field int) *parquetColumn {
		if field == 0 {
			return nil
		}
		return &parquetColumn{pages: chunks[field-1].Pages(), buffer: make([]parquet.Value, 512)}
	}
	r := &parquetRows{clock: open(h.time.whole), marks: open(h.filled), field: h.field}
	for c := range columns {
		r.columns[c] = open(h.field[c])
	}
	return r
}

// next moves all columns to the next row; false at the end of the group.
func (r *parquetRows) next() (bool, error) {
	ok, err := r.clock.next()
	if err != nil || !ok {
		return false, err
	}
	for _, c := range append(r.columns[:], r.marks) {
		if c == nil {
			continue
		}
		ok, err := c.next()
		if err != nil {
			return false, err
		}
		if !ok {
			return false, errors.New("a column is shorter than the time")
		}
	}
	return true, nil
}

func (r *parquetRows) close() {
	for _, c := range append(r.columns[:], r.marks, r.clock) {
		if c != nil {
			c.pages.Close()
		}
	}
}

func (c *parquetColumn) next() (bool, error) {
	for c.at == c.n {
		if c.values == nil {
			page, err := c.pages.ReadPage()
			if errors.Is(err, io.EOF) {
				return false, nil
			}
			if err != nil {
				return false, err
			}
			c.values = page.Values()
		}
		n, err := c.values.ReadValues(c.buffer)
		if err != nil && !errors.Is(err, io.EOF) {
			return false, err
		}
		c.at, c.n = 0, n
		if err != nil || n == 0 {
			c.values = nil
		}
	}
	c.value = c.buffer[c.at]
	c.at++
	return true, nil
}

func (r *parquetRows) time() parquet.Value { return r.clock.value }

func (r *parquetRows) filled() string {
	if r.marks == nil || r.marks.value.IsNull() || r.marks.value.Kind() != parquet.ByteArray {
		return ""
	}
	return string(r.marks.value.ByteArray())
}

// number is the value of a column in the unit of the Year: NaN for a null, bad
// for what a problem was reported for.
func (r *parquetRows) number(k *cells, c column, line int) float64 {
	if r.columns[c] == nil {
		return math.NaN()
	}
	v := r.columns[c].value
	var x float64
	switch v.Kind() {
	case parquet.Double:
		x = v.Double()
	case parquet.Float:
		x = float64(v.Float())
	case parquet.Int32:
		x = float64(v.Int32())
	case parquet.Int64:
		x = float64(v.Int64())
	default:
		if v.IsNull() {
			return math.NaN()
		}
		x = math.NaN()
	}
	if math.IsNaN(x) || math.IsInf(x, 0) {
		info := &columnInfos[c]
		k.p.add(Problem{Line: line, Column: k.field[c], Member: info.name, Index: -1, Value: v.String(), Allowed: info.allowed(), Unit: info.unit,
			Message: "is not a finite number (leave a gap null)", Cause: ErrNumber})
		return bad
	}
	return k.inRange(c, line, k.unit[c].of(x))
}

// parquetClock turns the values of a time column into minutes.
type parquetClock struct {
	perMinute int64 // units of the timestamp, 0 for text
	utc       bool
}

func newParquetClock(file *parquet.File, field int) (*parquetClock, error) {
	path := file.Schema().Columns()[field-1]
	leaf, _ := file.Schema().Lookup(path...)
	kind := leaf.Node.Type()
	wrong := Problem{Column: field, Member: "time", Index: -1, Value: fmt.Sprint(kind), Allowed: "a timestamp or text", Message: "has a type that is no time", Cause: ErrColumn}
	if kind.Kind() == parquet.ByteArray {
		return &parquetClock{}, nil
	}
	logical := kind.LogicalType()
	if kind.Kind() != parquet.Int64 || logical == nil {
		return nil, wrong
	}
	stamp, ok := logical.Value.(*format.TimestampType)
	if !ok {
		return nil, wrong
	}
	if stamp.Unit.Value == nil {
		return nil, wrong
	}
	return &parquetClock{utc: stamp.IsAdjustedToUTC, perMinute: int64(time.Minute / stamp.Unit.Value.Duration())}, nil
}

func (c *parquetClock) stamp(v parquet.Value, order string) (stamp, error) {
	switch {
	case v.IsNull():
		return stamp{}, errNoTime
	case c.perMinute == 0:
		return parseStamp(v.ByteArray(), order)
	}
	x := v.Int64()
	if x%c.perMinute != 0 {
		return stamp{}, errSeconds
	}
	minute := x / c.perMinute
	if year := yearOf(minute); minute > 1<<40 || minute < -(1<<40) || year < 1900 || year > 2101 {
		return stamp{}, errNoSuchDay
	}
	return stamp{minute: minute, hasOffset: c.utc}, nil
}
