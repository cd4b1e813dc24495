package api

import (
	"bytes"
	"fmt"
	"strconv"
	"sync"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/compress/zstd"

	"bankyear/sim"
)

// EncodeParquet writes the hours as one row group: start as a local timestamp in
// milliseconds, numbers as float32, causes as strings with a dictionary, link_up
// as boolean, all compressed with zstd. The file's metadata name the engine, the
// content hash, the UTC offset and, under unit:COLUMN, every unit.
func EncodeParquet(h *sim.Hours, hash string) ([]byte, error) {
	options := []parquet.WriterOption{hoursSchema(),
		parquet.CreatedBy("bankyear", sim.EngineVersion, ""),
		parquet.KeyValueMetadata("engine", Engine()),
		parquet.KeyValueMetadata("hash", hash),
		parquet.KeyValueMetadata("utc_offset_s", strconv.Itoa(h.UTCOffsetS)),
	}
	for _, c := range Columns() {
		if c.Unit != "" {
			options = append(options, parquet.KeyValueMetadata("unit:"+c.Name, c.Unit))
		}
	}
	rows := parquet.NewBuffer(hoursSchema(), parquet.ColumnBufferCapacity(h.Len()))
	if err := fill(rows.ColumnBuffers(), h); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	w := parquet.NewGenericWriter[any](&out, options...)
	if _, err := w.WriteRowGroup(rows); err != nil {
		return nil, fmt.Errorf("api: parquet: %w", err)
	}
	if err := w.Close(); err != nil {
		return nil, fmt.Errorf("api: parquet: %w", err)
	}
	return out.Bytes(), nil
}

// fill writes each column whole.
func fill(columns []parquet.ColumnBuffer, h *sim.Hours) error {
	_, err := columns[0].(parquet.Int64Writer).WriteInt64s(h.StartLocalMs)
	for i := 0; i < len(h.Values) && err == nil; i++ {
		_, err = columns[1+i].(parquet.FloatWriter).WriteFloats(h.Values[i])
	}
	rest := columns[1+len(h.Values):]
	values := make([]parquet.Value, h.Len())
	write := func(c parquet.ColumnBuffer, value func(i int) parquet.Value) {
		if err != nil {
			return
		}
		for i := range values {
			values[i] = value(i)
		}
		_, err = c.WriteValues(values)
	}
	write(rest[0], func(i int) parquet.Value { return parquet.ByteArrayValue([]byte(h.Downtime[i].String())) })
	write(rest[1], func(i int) parquet.Value { return parquet.ByteArrayValue([]byte(h.Curtailed[i].String())) })
	write(rest[2], func(i int) parquet.Value { return parquet.BooleanValue(h.LinkUp[i]) })
	if err != nil {
		return fmt.Errorf("api: parquet: %w", err)
	}
	return nil
}

// hoursSchema has the columns of Columns in their order.
var hoursSchema = sync.OnceValue(func() *parquet.Schema {
	cause := func() parquet.Node { return parquet.Encoded(parquet.String(), &parquet.RLEDictionary) }
	group := ordered{Group: parquet.Group{
		startColumn:     parquet.TimestampAdjusted(parquet.Millisecond, false),
		downtimeColumn:  cause(),
		curtailedColumn: cause(),
		linkColumn:      parquet.Leaf(parquet.BooleanType),
	}}
	for _, c := range sim.NumberColumns() {
		group.Group[c.Name] = parquet.Leaf(parquet.FloatType)
	}
	// The fastest level takes half the time of the default for 1 % more bytes.
	codec := &zstd.Codec{Level: zstd.SpeedFastest}
	for _, c := range Columns() {
		group.names = append(group.names, c.Name)
		group.Group[c.Name] = parquet.Compressed(group.Group[c.Name], codec)
	}
	return parquet.NewSchema("hours", group)
})

// ordered is a group whose fields keep an order of their own.
type ordered struct {
	parquet.Group
	names []string
}

func (g ordered) Fields() []parquet.Field {
	byName := map[string]parquet.Field{}
	for _, f := range g.Group.Fields() {
		byName[f.Name()] = f
	}
	fields := make([]parquet.Field, len(g.names))
	for i, name := range g.names {
		fields[i] = byName[name]
	}
	return fields
}
