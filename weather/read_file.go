package weather

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
)

// Formats that Read knows, as ReadOptions and Reading name them.
const (
	FormatTMY3      = "tmy3"
	FormatEPW       = "epw"
	FormatSatellite = "satellite_csv"
	FormatPlain     = "plain_csv"
	FormatParquet   = "parquet"
)

// ReadOptions says what a file does not say of itself.
type ReadOptions struct {
	Format        string            `json:"format,omitzero" required:"false" enum:"tmy3,epw,satellite_csv,plain_csv,parquet" doc:"Format of the file; left out: recognised by its first lines."`
	Site          *Site             `json:"site,omitzero" required:"false" doc:"Where a plain CSV was measured. The other formats carry it."`
	CalendarYear  int               `json:"calendar_year,omitzero" required:"false" minimum:"1900" maximum:"2100" doc:"Dates a typical year and a file without times. Of a file that holds several years it picks one."`
	IntervalLabel string            `json:"interval_label,omitzero" required:"false" enum:"start,end,middle,instant" doc:"What a time in a plain or satellite CSV stands for: start, end or middle of the interval that the row is the mean of, or an instant. Left out: start in a plain CSV, instant in a satellite CSV."`
	TimeZone      string            `json:"time_zone,omitzero" required:"false" enum:"site,utc" doc:"Clock of the times in a plain CSV that carry no offset: the site's standard time (left out: this) or UTC."`
	DateOrder     string            `json:"date_order,omitzero" required:"false" enum:"ymd,mdy,dmy" doc:"Order of day and month in dates such as 03/04/2016, which can be read two ways."`
	Columns       map[string]string `json:"columns,omitzero" required:"false" doc:"Header text of a plain CSV's column for time, ghi_w_m2, dni_w_m2, dhi_w_m2, plane_w_m2, ambient_c or wind_m_s, where it is not recognised."`
	Units         map[string]string `json:"units,omitzero" required:"false" doc:"Unit of a plain CSV's column, for example ghi_w_m2: kW/m2, where the header does not say it."`
}

// Reading is what a reader got from one file.
type Reading struct {
	// Format is one of the Format constants.
	Format string `json:"format"`
	// Year is the weather on its regular grid, complete and within range.
	Year *Year `json:"-"`
	// Assumed lists what was not stated and what was changed, in a fixed order.
	Assumed []Assumed `json:"assumed"`
}

// Assumed is something that the data did not state, or that was changed in
// them, with the value taken and why.
type Assumed struct {
	Member string `json:"member"`
	Value  any    `json:"value"`
	Basis  string `json:"basis"`
}

// typicalCalendarYear dates a typical year when nobody else does: a common
// year that starts on a Sunday, as typical-year files do.
const typicalCalendarYear = 2023

// Read reads one year of weather in any of the formats, plain or compressed
// with gzip or zstd. The error of unusable data is a *Problems that holds
// everything found wrong, with line and column; other errors come from r.
func Read(r io.Reader, o ReadOptions) (*Reading, error) {
	var p Problems
	got, err := read(r, o, &p)
	if err != nil {
		var one Problem
		if !errors.As(err, &one) {
			return nil, fmt.Errorf("weather: reading: %w", err)
		}
		p.add(one)
	}
	if err := p.Err(); err != nil {
		return nil, err
	}
	return got, nil
}

// read returns a Problem as its error where the reading had to stop.
func read(r io.Reader, o ReadOptions, p *Problems) (*Reading, error) {
	plain, closeAll, err := unpack(r)
	if err != nil {
		return nil, err
	}
	defer closeAll()
	b := bufio.NewReaderSize(plain, maxLineBytes)
	format := o.Format
	if format == "" {
		format = sniff(b)
	}
	switch format {
	case FormatTMY3:
		return readTMY3(newLines(b), o, p)
	case FormatEPW:
		return readEPW(newLines(b), o, p)
	}
	return nil, Problem{Index: -1, Value: format, Allowed: "tmy3, epw, satellite_csv, plain_csv, parquet", Message: "unknown format", Cause: ErrFormat}
}

// sniff recognises the format by the first two lines.
func sniff(b *bufio.Reader) string {
	head, _ := b.Peek(4096)
	head = bytes.TrimPrefix(head, byteOrderMark)
	first, rest, _ := bytes.Cut(head, []byte{'\n'})
	second, _, _ := bytes.Cut(rest, []byte{'\n'})
	switch {
	case bytes.HasPrefix(head, []byte("PAR1")):
		return FormatParquet
	case bytes.HasPrefix(first, []byte("LOCATION,")):
		return FormatEPW
	case bytes.HasPrefix(second, []byte("Date (MM/DD/YYYY),Time (HH:MM)")):
		return FormatTMY3
	case bytes.HasPrefix(first, []byte("Source,Location ID,")):
		return FormatSatellite
	}
	return FormatPlain
}
