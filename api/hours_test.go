package api

import (
	"bytes"
	"encoding/csv"
	"math"
	"slices"
	"strconv"
	"testing"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/format"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
)

func yearOfHours(t testing.TB) (*Case, *sim.Hours) {
	t.Helper()
	c := read(t, complete(t))
	return c, c.Plan().Run(true).Hours
}

// The columns that the format promises, in their order.
func TestColumns(t *testing.T) {
	want := []string{"start", "sun_zenith_deg", "sun_azimuth_deg", "plane_w_m2", "ambient_c", "bank_c", "solar_available_w", "solar_used_w", "curtailed_w",
		"load_w", "served_w", "bank_w", "bank_a", "bank_v", "soc_fraction", "reported_soc_fraction", "charge_ceiling_a", "generator_w", "fuel_l",
		"inverter_loss_w", "downtime_fraction", "downtime_cause", "curtailed_cause", "link_up"}
	var got []string
	for _, c := range Columns() {
		got = append(got, c.Name)
		assert.NotEmpty(t, c.Doc, c.Name)
	}
	at := -1
	for _, name := range want {
		next := -1
		for i, n := range got {
			if n == name {
				next = i
			}
		}
		assert.Greater(t, next, at, "%s is there, after the one before it", name)
		at = next
	}
	for _, c := range sim.DowntimeCauses() {
		assert.Contains(t, got, "downtime_"+c.String()+"_fraction")
	}
}

func TestEncodeCSV(t *testing.T) {
	_, h := yearOfHours(t)
	rows, err := csv.NewReader(bytes.NewReader(EncodeCSV(h))).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 8761)
	at := map[string]int{}
	for i, c := range Columns() {
		assert.Equal(t, c.Name, rows[0][i])
		at[c.Name] = i
	}
	assert.Equal(t, "2025-01-01T00:00:00", rows[1][at["start"]])
	assert.Equal(t, "2025-12-31T23:00:00", rows[8760][at["start"]])
	for i, row := range rows[1:] {
		for j, c := range sim.NumberColumns() {
			x, err := strconv.ParseFloat(row[at[c.Name]], 32)
			require.NoError(t, err)
			require.Equal(t, h.Values[j][i], float32(x), "%s of row %d reads back the same", c.Name, i)
		}
		require.Equal(t, h.Downtime[i].String(), row[at["downtime_cause"]])
		require.Equal(t, strconv.FormatBool(h.LinkUp[i]), row[at["link_up"]])
	}
}

// The file is read back by the library's own reader of the format.
func TestEncodeParquet(t *testing.T) {
	c, h := yearOfHours(t)
	body, err := EncodeParquet(h, c.Hash)
	require.NoError(t, err)
	assert.Less(t, len(body), 600_000, "design: at most 600 kB for 8760 rows")
	again, err := EncodeParquet(h, c.Hash)
	require.NoError(t, err)
	assert.True(t, bytes.Equal(body, again), "the same bytes twice")

	f, err := parquet.OpenFile(bytes.NewReader(body), int64(len(body)))
	require.NoError(t, err)
	assert.Equal(t, int64(8760), f.NumRows())
	t.Run("metadata", func(t *testing.T) {
		for key, want := range map[string]string{"engine": Engine(), "hash": c.Hash, "utc_offset_s": "-18000", "unit:bank_w": "W", "unit:ambient_c": "°C"} {
			got, ok := f.Lookup(key)
			assert.True(t, ok, key)
			assert.Equal(t, want, got)
		}
	})
	t.Run("types", func(t *testing.T) {
		elements := f.Metadata().Schema[1:]
		require.Len(t, elements, len(Columns()))
		for i, column := range Columns() {
			e := elements[i]
			assert.Equal(t, column.Name, e.Name)
			switch column.Name {
			case startColumn:
				stampType, ok := e.LogicalType.Value.(*format.TimestampType)
				require.True(t, ok)
				assert.False(t, stampType.IsAdjustedToUTC, "local time")
				assert.IsType(t, &format.MilliSeconds{}, stampType.Unit.Value)
			case downtimeColumn, curtailedColumn:
				assert.IsType(t, &format.StringType{}, e.LogicalType.Value)
			case linkColumn:
				assert.Equal(t, parquet.Boolean, parquet.Kind(e.Type.V))
			default:
				assert.Equal(t, parquet.Float, parquet.Kind(e.Type.V))
			}
		}
		for _, chunk := range f.Metadata().RowGroups[0].Columns {
			assert.Equal(t, format.Zstd, chunk.MetaData.Codec)
			if name := chunk.MetaData.PathInSchema[0]; name == downtimeColumn || name == curtailedColumn {
				assert.Contains(t, chunk.MetaData.Encoding, format.RLEDictionary)
			}
		}
	})
	t.Run("values", func(t *testing.T) {
		for i, chunk := range f.RowGroups()[0].ColumnChunks() {
			pages := chunk.Pages()
			row := 0
			for {
				page, err := pages.ReadPage()
				if err != nil {
					break
				}
				values := make([]parquet.Value, page.NumValues())
				_, _ = page.Values().ReadValues(values)
				for _, v := range values {
					switch {
					case i == 0:
						require.Equal(t, h.StartLocalMs[row], v.Int64())
					case i <= len(h.Values):
						require.Equal(t, math.Float32bits(h.Values[i-1][row]), math.Float32bits(v.Float()))
					case i == len(h.Values)+1:
						require.Equal(t, h.Downtime[row].String(), v.String())
					case i == len(h.Values)+2:
						require.Equal(t, h.Curtailed[row].String(), v.String())
					default:
						require.Equal(t, h.LinkUp[row], v.Boolean())
					}
					row++
				}
			}
			require.Equal(t, 8760, row)
			require.NoError(t, pages.Close())
		}
	})
}

func BenchmarkEncodeParquet(b *testing.B) {
	c, h := yearOfHours(b)
	b.ReportAllocs()
	size := 0
	for b.Loop() {
		body, err := EncodeParquet(h, c.Hash)
		require.NoError(b, err)
		size = len(body)
	}
	b.ReportMetric(float64(size), "bytes")
}

func BenchmarkEncodeCSV(b *testing.B) {
	_, h := yearOfHours(b)
	b.ReportAllocs()
	for b.Loop() {
		EncodeCSV(h)
	}
}

func BenchmarkEncodeJSONHours(b *testing.B) {
	c := read(b, complete(b))
	y := c.Plan().Run(true)
	b.ReportAllocs()
	for b.Loop() {
		_, err := encodeJSON(NewAnswer(c, y, Hours))
		require.NoError(b, err)
	}
}

// Where nothing reports a state of charge, none is told: not the one that the year began with.
func TestHours_NothingReported(t *testing.T) {
	c := read(t, with(t, complete(t), `{"bank":{"estimate":{"kind":"none"}}}`))
	y := c.Plan().Run(true)
	rows, err := csv.NewReader(bytes.NewReader(EncodeCSV(y.Hours))).ReadAll()
	require.NoError(t, err)
	k := slices.Index(rows[0], "reported_soc_fraction")
	for _, row := range rows[1:] {
		require.Empty(t, row[k])
		require.NotEmpty(t, row[k-1], "the true one")
	}
	told, err := encodeJSON(hourColumns(y.Hours, []string{"reported_soc_fraction"}))
	require.NoError(t, err)
	assert.Contains(t, string(told), `"values":[null,null,`)
	assert.Nil(t, hourCell(floats(y.Hours.Values[k-1]), 0), "a cell of a workbook")
	require.NotEmpty(t, y.Outages)
	events, err := encodeJSON(y.Outages)
	require.NoError(t, err)
	assert.NotContains(t, string(events), "reported_soc_fraction")
	body, err := EncodeParquet(y.Hours, c.Hash)
	require.NoError(t, err)
	f, err := parquet.OpenFile(bytes.NewReader(body), int64(len(body)))
	require.NoError(t, err)
	values := make([]parquet.Value, 24)
	pages := f.RowGroups()[0].ColumnChunks()[k].Pages()
	defer pages.Close()
	page, err := pages.ReadPage()
	require.NoError(t, err)
	n, err := page.Values().ReadValues(values)
	require.NoError(t, err)
	require.Len(t, values, n)
	for _, v := range values {
		assert.True(t, math.IsNaN(float64(v.Float())))
	}
}
