package weather

import (
	"fmt"
	"io"
	"reflect"
	"strconv"

	"github.com/parquet-go/parquet-go"
)

// parquetFormat names the layout of our Parquet files; a change of meaning
// changes the number.
const parquetFormat = "weather-year/1"

// WriteParquet writes a year as Parquet, which Read reads back exactly: `start`
// as a local timestamp in milliseconds (the interval's start, site standard
// time), each given column as float64 under its member's name, and, when
// filled is not empty, `filled` as text with a dictionary (as WriteCSV writes
// it). All is compressed with zstd. The file's metadata hold the format, the
// site, the interval label, the calendar year, the step, and every unit under
// unit:COLUMN. The same year gives the same bytes. It must have passed Check.
func WriteParquet(w io.Writer, y *Year, filled []Fill) error {
	var given []column
	for c := range columns {
		if *y.values(c) != nil {
			given = append(given, c)
		}
	}
	marks := marksOf(filled)
	schema := yearSchema(given, marks != nil)
	rows := parquet.NewBuffer(schema, parquet.ColumnBufferCapacity(y.Len()))
	if err := fillBuffers(rows.ColumnBuffers(), y, given, marks); err != nil {
		return fmt.Errorf("weather: parquet: %w", err)
	}
	options := []parquet.WriterOption{schema, parquet.CreatedBy("bankyear", "", "")}
	for key, value := range parquetMetadata(y, given) {
		options = append(options, parquet.KeyValueMetadata(key, value))
	}
	out := parquet.NewGenericWriter[any](w, options...)
	if _, err := out.WriteRowGroup(rows); err != nil {
		return fmt.Errorf("weather: parquet: %w", err)
	}
	if err := out.Close(); err != nil {
		return fmt.Errorf("weather: parquet: %w", err)
	}
	return nil
}

// yearSchema is made from a struct type, whose fields keep their order.
func yearSchema(given []column, marked bool) *parquet.Schema {
	fields := []reflect.StructField{{Name: "Start", Type: reflect.TypeFor[int64](), Tag: `parquet:"start,timestamp(millisecond:local),delta,zstd"`}}
	for _, c := range given {
		fields = append(fields, reflect.StructField{Name: "C" + strconv.Itoa(int(c)), Type: reflect.TypeFor[float64](),
			Tag: reflect.StructTag(fmt.Sprintf(`parquet:"%s,zstd"`, c))})
	}
	if marked {
		fields = append(fields, reflect.StructField{Name: "Filled", Type: reflect.TypeFor[string](), Tag: `parquet:"filled,dict,zstd"`})
	}
	return parquet.NewSchema("weather_year", parquet.SchemaOf(reflect.New(reflect.StructOf(fields)).Interface()))
}

// fillBuffers writes each column whole.
func fillBuffers(buffers []parquet.ColumnBuffer, y *Year, given []column, marks map[int]string) error {
	minute, err := minuteOf(y.CalendarYear, 1, 1, 0)
	if err != nil {
		return err
	}
	starts := make([]int64, y.Len())
	for i := range starts {
		starts[i] = minute*60_000 + int64(i)*int64(y.StepS)*1000
	}
	if _, err := buffers[0].(parquet.Int64Writer).WriteInt64s(starts); err != nil {
		return err
	}
	for i, c := range given {
		if _, err := buffers[1+i].(parquet.DoubleWriter).WriteDoubles(*y.values(c)); err != nil {
			return err
		}
	}
	if marks == nil {
		return nil
	}
	texts := make([]parquet.Value, y.Len())
	for i := range texts {
		texts[i] = parquet.ByteArrayValue([]byte(marks[i]))
	}
	_, err = buffers[len(buffers)-1].WriteValues(texts)
	return err
}

func parquetMetadata(y *Year, given []column) map[string]string {
	text := func(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
	m := map[string]string{
		"format":         parquetFormat,
		"latitude_deg":   text(y.Site.LatitudeDeg),
		"longitude_deg":  text(y.Site.LongitudeDeg),
		"elevation_m":    text(y.Site.ElevationM),
		"utc_offset_h":   text(y.Site.UTCOffsetH),
		"calendar_year":  strconv.Itoa(y.CalendarYear),
		"step_s":         strconv.Itoa(y.StepS),
		"interval_label": "start",
	}
	for _, c := range given {
		m["unit:"+c.String()] = columnInfos[c].unit
	}
	return m
}
