package api

import (
	"bytes"
	"fmt"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/ipc"
	allocator "github.com/apache/arrow-go/v18/arrow/memory"

	"bankyear/sim"
)

// causeType is a cause in Arrow: an index into its texts.
var causeType = &arrow.DictionaryType{IndexType: arrow.PrimitiveTypes.Uint8, ValueType: arrow.BinaryTypes.String}

// arrowSchema is hoursSchema in Arrow's types, with the same metadata, and unit
// and meaning at each column.
func arrowSchema(h *sim.Hours, hash string) *arrow.Schema {
	var fields []arrow.Field
	for _, c := range Columns() {
		f := arrow.Field{Name: c.Name, Type: arrow.PrimitiveTypes.Float32, Metadata: arrow.NewMetadata([]string{"unit", "doc"}, []string{c.Unit, c.Doc})}
		switch c.Name {
		case startColumn:
			f.Type = &arrow.TimestampType{Unit: arrow.Millisecond} // without a zone: the site's clock
		case downtimeColumn, curtailedColumn:
			f.Type = causeType
		case linkColumn:
			f.Type = arrow.FixedWidthTypes.Boolean
		}
		fields = append(fields, f)
	}
	var keys, values []string
	for _, m := range hoursMetadata(h, hash) {
		keys, values = append(keys, m[0]), append(values, m[1])
	}
	metadata := arrow.NewMetadata(keys, values)
	return arrow.NewSchema(fields, &metadata)
}

// EncodeArrow writes the hours as an Arrow IPC stream of one record batch, the
// same columns and metadata as EncodeParquet.
func EncodeArrow(h *sim.Hours, hash string) ([]byte, error) {
	schema := arrowSchema(h, hash)
	b := array.NewRecordBuilder(allocator.DefaultAllocator, schema)
	defer b.Release()
	starts := b.Field(0).(*array.TimestampBuilder)
	starts.Reserve(h.Len())
	for _, ms := range h.StartLocalMs {
		starts.UnsafeAppend(arrow.Timestamp(ms))
	}
	for k, column := range h.Values {
		b.Field(1+k).(*array.Float32Builder).AppendValues(column, nil)
	}
	rest := 1 + len(h.Values)
	for k, causes := range [][]sim.Cause{h.Downtime, h.Curtailed} {
		texts := b.Field(rest + k).(*array.BinaryDictionaryBuilder)
		for _, c := range causes {
			if err := texts.AppendString(c.String()); err != nil {
				return nil, fmt.Errorf("api: arrow: %w", err)
			}
		}
	}
	b.Field(rest+2).(*array.BooleanBuilder).AppendValues(h.LinkUp, nil)
	batch := b.NewRecordBatch()
	defer batch.Release()
	var out bytes.Buffer
	out.Grow(160 * h.Len())
	w := ipc.NewWriter(&out, ipc.WithSchema(schema))
	if err := w.Write(batch); err != nil {
		return nil, fmt.Errorf("api: arrow: %w", err)
	}
	if err := w.Close(); err != nil {
		return nil, fmt.Errorf("api: arrow: %w", err)
	}
	return out.Bytes(), nil
}
