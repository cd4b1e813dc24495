package api

import (
	"bytes"
	"context"
	"encoding/binary"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/ipc"
	allocator "github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/file"
	"github.com/apache/arrow-go/v18/parquet/metadata"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/media"
	"bankyear/sim"
)

// Apache Arrow's own reader of Parquet, which shares no code with the writer,
// reads the same rows, types and sums, and finds statistics and page bounds.
func TestEncodeParquet_IndependentReader(t *testing.T) {
	c, h := yearOfHours(t)
	body, err := EncodeParquet(h, c.Hash)
	require.NoError(t, err)
	f, err := file.NewParquetReader(bytes.NewReader(body))
	require.NoError(t, err)
	defer f.Close()
	require.Equal(t, int64(h.Len()), f.NumRows())
	require.Equal(t, 1, f.NumRowGroups())
	r, err := pqarrow.NewFileReader(f, pqarrow.ArrowReadProperties{BatchSize: 1024}, allocator.DefaultAllocator)
	require.NoError(t, err)
	table, err := r.ReadTable(context.Background())
	require.NoError(t, err)
	defer table.Release()
	require.Equal(t, int64(h.Len()), table.NumRows())
	sameAsHours(t, h, table.Schema(), func(name string) []arrow.Array {
		return table.Column(table.Schema().FieldIndices(name)[0]).Data().Chunks()
	})
	for _, key := range []string{"schema", "engine", "hash", "utc_offset_s", "unit:bank_w"} {
		assert.NotNil(t, f.MetaData().KeyValueMetadata().FindValue(key), key)
	}
	assert.Equal(t, hoursForm, *f.MetaData().KeyValueMetadata().FindValue("schema"))
	t.Run("statistics", func(t *testing.T) {
		for k, column := range sim.NumberColumns() {
			chunk, err := f.MetaData().RowGroup(0).ColumnChunk(1 + k)
			require.NoError(t, err)
			statistics, err := chunk.Statistics()
			require.NoError(t, err)
			s, ok := statistics.(*metadata.Float32Statistics)
			require.True(t, ok && s.HasMinMax(), column.Name)
			lowest, highest := extremes(h.Values[k])
			assert.Equal(t, lowest, float64(s.Min()), column.Name)
			assert.Equal(t, highest, float64(s.Max()), column.Name)
		}
	})
	t.Run("a query for outages skips", func(t *testing.T) {
		index := f.MetaData().Schema.ColumnIndexByName("downtime_fraction")
		pages, err := f.GetPageIndexReader().RowGroup(0)
		require.NoError(t, err)
		bounds, err := pages.GetColumnIndex(index)
		require.NoError(t, err)
		places, err := pages.GetOffsetIndex(index)
		require.NoError(t, err)
		locations := places.GetPageLocations()
		require.Len(t, locations, 12, "a page a month")
		darkest := make([]float64, len(locations))
		for i, raw := range bounds.(*metadata.TypedColumnIndex[float32]).GetMaxValues() {
			darkest[i] = float64(math.Float32frombits(binary.LittleEndian.Uint32(raw)))
		}
		values, dark, skipped := h.Values[index-1], 0, 0
		for i, ends := range monthEnds(h) {
			first := int(locations[i].FirstRowIndex)
			rows := values[first:ends]
			_, highest := extremes(rows)
			assert.Equal(t, highest, darkest[i], "month %d", i+1)
			if darkest[i] == 0 {
				skipped++
				continue
			}
			for _, x := range rows {
				if x > 0 {
					dark++
				}
			}
		}
		all := 0
		for _, x := range values {
			if x > 0 {
				all++
			}
		}
		assert.Positive(t, all)
		assert.Equal(t, all, dark, "nothing is missed")
		assert.GreaterOrEqual(t, skipped, 6, "a summer without outages is not read")
	})
}

// sameAsHours compares columns with the year that they were written from.
func sameAsHours(t *testing.T, h *sim.Hours, schema *arrow.Schema, chunks func(name string) []arrow.Array) {
	t.Helper()
	require.Equal(t, len(Columns()), schema.NumFields())
	for i, c := range Columns() {
		assert.Equal(t, c.Name, schema.Field(i).Name)
	}
	starts := 0
	for _, chunk := range chunks(startColumn) {
		for _, ms := range chunk.(*array.Timestamp).TimestampValues() {
			require.Equal(t, h.StartLocalMs[starts], int64(ms))
			starts++
		}
	}
	assert.Equal(t, h.Len(), starts)
	assert.Empty(t, schema.Field(0).Type.(*arrow.TimestampType).TimeZone, "the site's clock")
	assert.Equal(t, arrow.Millisecond, schema.Field(0).Type.(*arrow.TimestampType).Unit)
	for k, c := range sim.NumberColumns() {
		want, got := 0.0, 0.0
		for _, x := range h.Values[k] {
			want += float64(x)
		}
		for _, chunk := range chunks(c.Name) {
			assert.Zero(t, chunk.NullN())
			for _, x := range chunk.(*array.Float32).Float32Values() {
				got += float64(x)
			}
		}
		assert.Equal(t, want, got, "sum of %s", c.Name)
	}
	for name, causes := range map[string][]sim.Cause{downtimeColumn: h.Downtime, curtailedColumn: h.Curtailed} {
		row := 0
		for _, chunk := range chunks(name) {
			for i := range chunk.Len() {
				require.Equal(t, causes[row].String(), chunk.ValueStr(i))
				row++
			}
		}
		assert.Equal(t, h.Len(), row)
	}
	row := 0
	for _, chunk := range chunks(linkColumn) {
		for i := range chunk.Len() {
			require.Equal(t, h.LinkUp[row], chunk.(*array.Boolean).Value(i))
			row++
		}
	}
	assert.Equal(t, h.Len(), row)
}

// The columns that form 1 promises are there, in their order, with type and unit;
// others may have been added. testdata/hours_form_1.txt is never edited but for
// additions.
func TestHoursForm(t *testing.T) {
	text, err := os.ReadFile("testdata/hours_form_1.txt")
	require.NoError(t, err)
	_, h := yearOfHours(t)
	body, err := EncodeParquet(h, "")
	require.NoError(t, err)
	f, err := file.NewParquetReader(bytes.NewReader(body))
	require.NoError(t, err)
	defer f.Close()
	var have []string
	for i := range f.MetaData().Schema.NumColumns() {
		column := f.MetaData().Schema.Column(i)
		kind := column.PhysicalType().String()
		if column.PhysicalType() != parquet.Types.Float && column.PhysicalType() != parquet.Types.Boolean {
			kind += " " + column.LogicalType().String()
		}
		unit := ""
		if u := f.MetaData().KeyValueMetadata().FindValue("unit:" + column.Name()); u != nil {
			unit = *u
		}
		have = append(have, strings.TrimSpace(column.Name()+" | "+kind+" | "+unit))
	}
	at := 0
	for line := range strings.SplitSeq(strings.TrimSpace(string(text)), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		for at < len(have) && have[at] != strings.TrimSpace(line) {
			at++
		}
		require.Less(t, at, len(have), "%s is there, after the one before it; there are\n%s", line, strings.Join(have, "\n"))
		at++
	}
	assert.Positive(t, at)
}

// The Arrow stream has what the Parquet file has.
func TestEncodeArrow(t *testing.T) {
	c, h := yearOfHours(t)
	s := New(Config{})
	w := call(t, s, "POST", "/v1/simulations", text(t, complete(t)), "Accept", media.Arrow)
	require.Equal(t, 200, w.Code, w.Body.String())
	assert.Equal(t, media.Arrow, w.Header().Get("Content-Type"))
	r, err := ipc.NewReader(w.Body)
	require.NoError(t, err)
	defer r.Release()
	require.True(t, r.Next())
	batch := r.RecordBatch()
	batch.Retain()
	defer batch.Release()
	assert.Equal(t, int64(h.Len()), batch.NumRows())
	sameAsHours(t, h, r.Schema(), func(name string) []arrow.Array {
		return []arrow.Array{batch.Column(r.Schema().FieldIndices(name)[0])}
	})
	hash, _ := r.Schema().Metadata().GetValue("hash")
	assert.Equal(t, c.Hash, hash)
	unit, _ := r.Schema().Field(4).Metadata.GetValue("unit")
	assert.Equal(t, "°C", unit)
	assert.False(t, r.Next())
}

func BenchmarkEncodeArrow(b *testing.B) {
	c, h := yearOfHours(b)
	b.ReportAllocs()
	size := 0
	for b.Loop() {
		body, err := EncodeArrow(h, c.Hash)
		require.NoError(b, err)
		size = len(body)
	}
	b.ReportMetric(float64(size), "bytes")
}
