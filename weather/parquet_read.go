package weather

import (
	"bytes"
	"fmt"
	"io"

	"github.com/parquet-go/parquet-go"
)

// maxParquetBytes bounds a Parquet file, which is held in memory: its index is
// at its end.
const maxParquetBytes = 256 << 20

// readParquet reads a Parquet file of our own layout (WriteParquet) or of
// another with a time column (timestamp or text) and columns recognised or
// stated by name, as in a plain CSV. Nulls are gaps. Line in a problem counts
// rows from 1.
func readParquet(r io.Reader, o ReadOptions, p *Problems, give giveYear) (err error) {
	data, err := io.ReadAll(io.LimitReader(r, maxParquetBytes+1))
	if err != nil {
		return err
	}
	if len(data) > maxParquetBytes {
		return Problem{Index: -1, Allowed: "256 MiB", Message: "the Parquet file is too large", Cause: ErrTooLarge}
	}
	// The library panics on some damaged files.
	defer func() {
		if broken := recover(); broken != nil {
			err = damagedParquet(fmt.Errorf("%v", broken))
		}
	}()
	if err := boundFooter(data); err != nil {
		return damagedParquet(err)
	}
	file, err := parquet.OpenFile(bytes.NewReader(data), int64(len(data)), parquet.SkipPageIndex(true), parquet.SkipBloomFilters(true))
	if err != nil {
		return damagedParquet(err)
	}
	if err := boundPages(file, data); err != nil {
		return err
	}
	return readParquetRows(file, o, p, give)
}

func damagedParquet(err error) error {
	return Problem{Index: -1, Message: "the Parquet file is damaged or cannot be read (" + err.Error() + ")", Cause: ErrDamaged}
}

func readParquetRows(file *parquet.File, o ReadOptions, p *Problems, give giveYear) error {
	names := leafNames(file)
	h := parseHeader(p, 0, names, o)
	site := parquetSite(file, &o, p)
	d := newDated(p, o, FormatParquet, site, h, give)
	d.requireColumns(0)
	if h.time.whole == 0 {
		p.add(Problem{Member: "time", Index: -1, Message: "no column is recognised as the whole time; state columns", Cause: ErrColumn})
	}
	if len(p.List) > 0 {
		return nil
	}
	clock, err := newParquetClock(file, h.time.whole)
	if err != nil {
		return err
	}
	if err := d.settleParquet(file, clock); err != nil {
		return err
	}
	line := 0
	for _, group := range file.RowGroups() {
		rows := newParquetRows(group, h)
		for {
			ok, err := rows.next()
			if err != nil {
				return damagedParquet(err)
			}
			if !ok {
				break
			}
			if line++; line > maxLines {
				return Problem{Line: line, Index: -1, Allowed: "12 million rows", Message: "the file is too long", Cause: ErrTooLarge}
			}
			d.parquetRow(line, rows, clock)
		}
		rows.close()
	}
	d.end(line)
	return nil
}

// leafNames are the names of the file's leaf columns; what is nested or
// repeated has none.
func leafNames(file *parquet.File) [][]byte {
	paths := file.Schema().Columns()
	names := make([][]byte, len(paths))
	for i, path := range paths {
		if leaf, ok := file.Schema().Lookup(path...); ok && len(path) == 1 && leaf.MaxRepetitionLevel == 0 && leaf.MaxDefinitionLevel <= 1 {
			names[i] = []byte(path[0])
		}
	}
	return names
}

// parquetSite takes the site and the interval label from the metadata.
func parquetSite(file *parquet.File, o *ReadOptions, p *Problems) Site {
	if label, ok := file.Lookup("interval_label"); ok && o.IntervalLabel == "" {
		o.IntervalLabel = statedLabel(p, 0, label)
	}
	var texts [4][]byte
	found := false
	for i, key := range [4]string{"latitude_deg", "longitude_deg", "elevation_m", "utc_offset_h"} {
		if text, ok := file.Lookup(key); ok {
			texts[i], found = []byte(text), true
		}
	}
	return chosenSite(p, 0, texts, found, o.Site)
}

// settleParquet finds the length of the interval in the first rows.
func (d *dated) settleParquet(file *parquet.File, clock *parquetClock) error {
	var times []int64
	for _, group := range file.RowGroups() {
		rows := newParquetRows(group, &header{time: d.header.time})
		for len(times) < aheadRows {
			ok, err := rows.next()
			if err != nil {
				return damagedParquet(err)
			}
			if !ok {
				break
			}
			if s, err := clock.stamp(rows.time(), d.o.DateOrder); err == nil {
				times = append(times, d.onSiteClock(s))
			}
		}
		rows.close()
	}
	return d.settle(1, times)
}

// parquetRow takes one row.
func (d *dated) parquetRow(line int, rows *parquetRows, clock *parquetClock) {
	at := rows.time()
	s, err := clock.stamp(at, d.o.DateOrder)
	one := datedRow{line: line, minute: d.onSiteClock(s) - d.shift}
	if err == nil {
		err = d.onGrid(one.minute)
	}
	for c := range columns {
		one.values[c] = rows.number(&d.cells, c, line)
	}
	one.filled = rows.filled()
	text := ""
	if err != nil {
		text = at.String()
	}
	d.take(&one, d.header.time.whole, text, err)
}
