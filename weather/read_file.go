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
	FillGapsUpToH *float64          `json:"fill_gaps_up_to_h,omitzero" required:"false" minimum:"0" maximum:"720" doc:"Longest gap that is filled, each filled sample marked: up to 3 h by interpolation (left out: 3), longer from the days around. 0: every gap is a fault."`
	Units         map[string]string `json:"units,omitzero" required:"false" doc:"Unit of a plain CSV's column, for example ghi_w_m2: kW/m2, where the header does not say it."`
}

// Reading is what a reader got from one file.
type Reading struct {
	// Format is one of the Format constants.
	Format string `json:"format"`
	// Year is the weather on its regular grid, complete and within range.
	Year *Year `json:"-"`
	// Filled marks the samples that were not in the file, by column and row.
	Filled []Fill `json:"filled,omitzero"`
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
// A file that holds several years needs o.CalendarYear, or ReadYears.
func Read(r io.Reader, o ReadOptions) (*Reading, error) {
	var got *Reading
	years := 0
	err := ReadYears(r, o, func(one *Reading) {
		if years++; years == 1 {
			got = one
		}
	})
	if err == nil && years > 1 {
		p := &Problems{}
		p.add(Problem{Member: "calendar_year", Index: -1, Message: fmt.Sprintf("the file holds %d years, from %d; pick one", years, got.Year.CalendarYear), Cause: ErrCalendar})
		err = p
	}
	if err != nil {
		return nil, err
	}
	return got, nil
}

// ReadYears reads a file of one or more years and gives them one by one, in
// order, holding one at a time. Nothing is given any more after the first
// problem, but the file is read to its end to find the others.
func ReadYears(r io.Reader, o ReadOptions, give func(*Reading)) error {
	p := &Problems{}
	if err := read(r, o, p, give); err != nil {
		var one Problem
		if !errors.As(err, &one) {
			return fmt.Errorf("weather: reading: %w", err)
		}
		p.add(one)
	}
	return p.Err()
}

// read returns a Problem as its error where the reading had to stop.
func read(r io.Reader, o ReadOptions, p *Problems, give giveYear) error {
	text, closeAll, err := unpack(r)
	if err != nil {
		return err
	}
	defer closeAll()
	b := bufio.NewReaderSize(text, maxLineBytes)
	format := o.Format
	if format == "" {
		format = sniff(b)
	}
	if head, _ := b.Peek(2); string(head) == "\xff\xfe" || string(head) == "\xfe\xff" {
		return Problem{Line: 1, Index: -1, Value: "UTF-16", Allowed: "UTF-8", Message: "the text is not in an encoding that can be read", Cause: ErrFormat}
	}
	l := newLines(b)
	switch format {
	case FormatTMY3:
		return readTMY3(l, o, p, give)
	case FormatEPW:
		return readEPW(l, o, p, give)
	case FormatSatellite:
		return readSatellite(l, o, p, give)
	case FormatPlain:
		return readPlain(l, o, p, give)
	case FormatParquet:
		return readParquet(b, o, p, give)
	}
	return Problem{Member: "format", Index: -1, Value: format, Allowed: "tmy3, epw, satellite_csv, plain_csv, parquet", Message: "is not a format that can be read", Cause: ErrFormat}
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
