package api

import (
	"archive/zip"
	"bytes"
	"context"
	"io"
	"testing"

	"github.com/apache/arrow-go/v18/arrow/array"
	allocator "github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/file"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/media"
)

// Partitions hold every run once, each under its value, and are read by a reader
// that shares no code with the writer.
func TestStudies_Partitions(t *testing.T) {
	s := studying(t, t.TempDir())
	a := studyAnswer(t, call(t, s, "POST", "/v1/studies", studyOf(t, complete(t), smallSweep)), 201)
	finished(t, s, a.ID)
	target := "/v1/studies/" + a.ID + "/runs"
	for axis, want := range map[string]map[string][]int64{
		"bank.modules":   {"1": {0, 1}, "2": {2, 3}, "3": {4, 5}, "4": {6, 7}},
		"bank.operation": {"data_linked": {0, 2, 4, 6}, "voltage_only": {1, 3, 5, 7}},
	} {
		w := call(t, s, "GET", target+"?partition="+axis, nil)
		require.Equal(t, 200, w.Code, w.Body.String())
		assert.Equal(t, media.Zip, w.Header().Get("Content-Type"))
		z, err := zip.NewReader(bytes.NewReader(w.Body.Bytes()), int64(w.Body.Len()))
		require.NoError(t, err)
		require.Len(t, z.File, len(want))
		for _, f := range z.File { // the date as in MS-DOS: day in 5 bits, month in 4, years since 1980
			assert.EqualValues(t, 0<<9|1<<5|1, f.ModifiedDate, "a day that there is")
		}
		for value, runs := range want {
			f, err := z.Open(axis + "=" + value + "/runs.parquet")
			require.NoError(t, err)
			body, err := io.ReadAll(f)
			require.NoError(t, err)
			table, err := pqarrow.ReadTable(context.Background(), bytes.NewReader(body), parquet.NewReaderProperties(allocator.DefaultAllocator), pqarrow.ArrowReadProperties{}, allocator.DefaultAllocator)
			require.NoError(t, err)
			assert.Empty(t, table.Schema().FieldIndices(axis), "the directory says it")
			column := table.Column(table.Schema().FieldIndices("run")[0]).Data().Chunk(0).(*array.Int64)
			assert.Equal(t, runs, column.Int64Values())
			darkness := table.Column(table.Schema().FieldIndices("downtime_h")[0]).Data().Chunk(0)
			assert.Zero(t, darkness.NullN())
			raw, err := file.NewParquetReader(bytes.NewReader(body))
			require.NoError(t, err)
			form := raw.MetaData().KeyValueMetadata().FindValue("schema")
			require.NotNil(t, form)
			assert.Equal(t, runsForm, *form)
			require.NoError(t, raw.Close())
			table.Release()
		}
	}
	p := problemOf(t, call(t, s, "GET", target+"?partition=bank.cable_ohm", nil), 400)
	assert.Equal(t, "bank.modules, bank.operation", p.Faults[0].Allowed)
	problemOf(t, call(t, s, "GET", target+"?partition=bank.modules", nil, "Accept", "text/csv"), 406)
	narrow := call(t, s, "GET", target+"?partition=bank.modules&columns=fuel_l", nil)
	assert.Equal(t, 200, narrow.Code)
	assert.Less(t, narrow.Body.Len(), 8000)
}
