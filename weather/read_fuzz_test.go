package weather

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The property of every reader: a *Problems that names something, or a year
// that passes Check and comes back the same through our own CSV and Parquet.
func checkRead(t *testing.T, file []byte, o ReadOptions) {
	t.Helper()
	got, err := Read(bytes.NewReader(file), o)
	if err != nil {
		var p *Problems
		if !errors.As(err, &p) || len(p.List) == 0 || len(p.List) > maxProblems || p.Error() == "" {
			t.Fatalf("an error that is no list of problems: %v", err)
		}
		return
	}
	if err := got.Year.Check().Err(); err != nil {
		t.Fatalf("read, but Check says: %v", err)
	}
	var csv, columnar bytes.Buffer
	require.NoError(t, WriteCSV(&csv, got.Year, got.Filled))
	require.NoError(t, WriteParquet(&columnar, got.Year, got.Filled))
	for _, again := range []*bytes.Buffer{&csv, &columnar} {
		back, err := Read(again, ReadOptions{})
		if err != nil {
			t.Fatalf("our own file: %v", err)
		}
		if err := sameYear(got.Year, back.Year); err != nil {
			t.Fatal(err)
		}
		if len(back.Filled) != len(got.Filled) {
			t.Fatalf("filled: %v became %v", got.Filled, back.Filled)
		}
	}
}

// fuzzText fuzzes the head of a good file and one of its lines: a whole year is
// too much to mutate, and a part of one is never read to its end.
func fuzzText(f *testing.F, head string, row func(time.Time) string, o ReadOptions) {
	var body []string
	for h := range 8760 {
		body = append(body, row(time.Date(2023, 1, 1, h, 0, 0, 0, time.UTC)))
	}
	f.Add(head, uint16(12), body[12])
	f.Add(head, uint16(13), "")
	f.Fuzz(func(t *testing.T, head string, line uint16, text string) {
		head, text = head[:min(len(head), 4000)], text[:min(len(text), 1000)] // mutation of whole years finds nothing
		lines := append([]string(nil), body...)
		lines[int(line)%len(lines)] = text
		checkRead(t, []byte(head+"\n"+strings.Join(lines, "\n")), o)
	})
}

func FuzzRead_TMY3(f *testing.F) {
	fuzzText(f, "726170,\"BURLINGTON INTERNATIONAL AP\",VT,-5.0,44.467,-73.150,101\n"+
		"Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2),Dry-bulb (C),Wspd (m/s)",
		func(at time.Time) string {
			return fmt.Sprintf("%s,%02d:00,%d,0,0,-3.5,2.1", at.Format("01/02/2006"), at.Hour()+1, at.Hour())
		}, ReadOptions{})
}

func FuzzRead_EPW(f *testing.F) {
	fuzzText(f, "LOCATION,Tucson,AZ,USA,TMY3,722740,32.13,-110.95,-7.0,777.0\nDESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\n"+
		"GROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,\nCOMMENTS 2,\nDATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31",
		func(at time.Time) string {
			return fmt.Sprintf("2002,%d,%d,%d,0,?,7.2,3.3,76,92600,0,0,291,%d,0,0,0,0,0,0,170,2.1", at.Month(), at.Day(), at.Hour()+1, at.Hour())
		}, ReadOptions{})
}

func FuzzRead_Satellite(f *testing.F) {
	fuzzText(f, "Source,Location ID,Latitude,Longitude,Elevation,Local Time Zone\nNSRDB,616667,33.93,-99.98,512,-6\n"+
		"Year,Month,Day,Hour,Minute,DHI,DNI,Wind Speed,Temperature",
		func(at time.Time) string {
			return fmt.Sprintf("2023,%d,%d,%d,0,%d,0,5.1000000000000005,-3", at.Month(), at.Day(), at.Hour(), at.Hour())
		}, ReadOptions{})
}

func FuzzRead_Plain(f *testing.F) {
	fuzzText(f, "start;ghi_w_m2;ambient_c;filled", func(at time.Time) string {
		return at.Format("2006-01-02T15:04") + fmt.Sprintf(";%d,5;-3;", at.Hour())
	}, ReadOptions{Site: &valley, DateOrder: "mdy"})
}

func FuzzRead_Parquet(f *testing.F) {
	y := &Year{Site: valley, CalendarYear: 2023, StepS: 3600, GHI: make([]float64, 8760), AmbientC: make([]float64, 8760)}
	var file bytes.Buffer
	require.NoError(f, WriteParquet(&file, y, []Fill{{"ghi_w_m2", 5, 2, FillClosure}}))
	f.Add(file.Bytes())
	f.Fuzz(func(t *testing.T, data []byte) {
		checkRead(t, data, ReadOptions{Format: FormatParquet, Site: &valley})
	})
}

// FuzzRead_Any finds the format by itself, through gzip and zstd too.
func FuzzRead_Any(f *testing.F) {
	f.Add([]byte("LOCATION,"))
	f.Add([]byte("\x1f\x8b\x08\x00"))
	f.Add([]byte("\x28\xb5\x2f\xfd\x00"))
	f.Add([]byte("start,ghi,temp\n2023-01-01,1,2\n"))
	f.Fuzz(func(t *testing.T, data []byte) { checkRead(t, data, ReadOptions{Site: &valley}) })
}

// FuzzParseStamp: what is read as a time is shown and read as the same time.
func FuzzParseStamp(f *testing.F) {
	for _, s := range []string{"2016-01-31T13:30:00.000+01:00", "31.01.2016 24:00", "20160131:1330", "1/2/2016 3"} {
		f.Add([]byte(s), "dmy")
	}
	f.Fuzz(func(t *testing.T, text []byte, order string) {
		s, err := parseStamp(text, order)
		if err != nil {
			return
		}
		back, err := parseStamp([]byte(showMinute(s.minute)), "")
		if err != nil || back.minute != s.minute {
			t.Fatalf("%q is %s, which is %v, %v", text, showMinute(s.minute), back, err)
		}
	})
}

// A fuzz target without seeds would pass by testing nothing.
func TestFuzzSeedsAreThere(t *testing.T) {
	for _, name := range []string{"FuzzRead_TMY3", "FuzzRead_EPW", "FuzzRead_Satellite", "FuzzRead_Plain", "FuzzRead_Parquet", "FuzzRead_Any", "FuzzParseStamp"} {
		files, err := os.ReadDir(filepath.Join("testdata", "fuzz", name))
		assert.NoError(t, err)
		assert.NotEmpty(t, files, name)
	}
}
