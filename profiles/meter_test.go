package profiles

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // the public time zone database, to check daylight saving against

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// kwAt is a load that tells weekdays and hours apart.
func kwAt(t time.Time) float64 { return 1 + float64(t.Weekday()) + float64(t.Hour())/100 }

// export writes a table of kwAt from a standard-time instant on; stamp says how
// an instant is written.
func export(from time.Time, days, stepS int, row func(t time.Time, kw float64) string) string {
	var b strings.Builder
	for i := range days * dayS / stepS {
		t := from.Add(time.Duration(i*stepS) * time.Second)
		b.WriteString(row(t, kwAt(t)))
	}
	return b.String()
}

func plain(t time.Time, kw float64) string {
	return fmt.Sprintf("%s,%g\n", t.Format("2006-01-02 15:04"), kw)
}

var april = time.Date(2023, 4, 1, 0, 0, 0, 0, time.UTC)

// A table from April to March makes a calendar year whose days have the
// weekday that they have in that year.
func TestMeter_KeepsWeekdays(t *testing.T) {
	s := &Spec{Meter: &Meter{CSV: export(april, 366, 1800, plain), Unit: "kw", Label: "start", Clock: "standard"}}
	load := build(t, s, 2025, 3600)
	for row, w := range load.ACEssentialW {
		at := time.Date(2025, 1, 1, row, 0, 0, 0, time.UTC)
		require.InDelta(t, 1000*kwAt(at), w, 1e-9, at.String())
	}
	r := load.Meter
	assert.Equal(t, []any{1800, "2023-04-01T00:00", "2024-03-31T23:30", 366 * 48, 0, 0}, []any{r.StepS, r.First, r.Last, r.Rows, r.Missing, r.Repeated})
	sum := 0.0
	for _, w := range load.ACEssentialW {
		sum += w / 1000
	}
	assert.InDelta(t, sum, r.YearKWh, 1e-6)

	s.Occupancy = &Occupancy{Holidays: []string{"12-25"}} // a Thursday
	christmas := build(t, s, 2025, 3600).ACEssentialW[358*24]
	assert.InDelta(t, 1000, christmas, 1e-9, "a holiday takes a Sunday")
}

// The same year in every form that a table may have.
func TestMeter_Forms(t *testing.T) {
	want := build(t, &Spec{Meter: &Meter{CSV: export(april, 366, 1800, plain), Unit: "kw"}}, 2025, 1800)
	offset := 1.0
	for name, m := range map[string]*Meter{
		"energy": {Unit: "kwh", CSV: export(april, 366, 1800, func(t time.Time, kw float64) string { return plain(t, kw/2) })},
		"Wh":     {Unit: "wh", CSV: export(april, 366, 1800, func(t time.Time, kw float64) string { return plain(t, kw*500) })},
		"watts":  {Unit: "w", CSV: export(april, 366, 1800, func(t time.Time, kw float64) string { return plain(t, kw*1000) })},
		"heading, semicolons, decimal comma, end labels, CRLF": {Unit: "kw", Label: "end", CSV: "\ufeffstamp;load\r\n" + export(april, 366, 1800, func(t time.Time, kw float64) string {
			number := strings.Replace(fmt.Sprint(kw), ".", ",", 1)
			return t.Add(30*time.Minute).Format("02.01.2006 15:04:05") + ";" + number + "\r\n"
		})},
		"24:00": {Unit: "kw", Label: "end", CSV: export(april, 366, 1800, func(t time.Time, kw float64) string {
			stamp := t.Add(30 * time.Minute).Format("2006-01-02T15:04")
			if strings.HasSuffix(stamp, "T00:00") {
				stamp = t.Format("2006-01-02") + "T24:00"
			}
			return stamp + "," + fmt.Sprint(kw) + "\n"
		})},
		"columns by heading": {Unit: "kw", TimeColumn: "when", ValueColumn: "total", CSV: "site\ttotal\twhen\n" + export(april, 366, 1800, func(t time.Time, kw float64) string {
			return fmt.Sprintf("7\t%g\t%s\n", kw, t.Format("2006-01-02 15:04"))
		})},
		"zone in the stamps": {Unit: "kw", UTCOffsetH: &offset, CSV: export(april, 366, 1800, func(t time.Time, kw float64) string {
			return fmt.Sprintf("%s,%g\n", t.Add(-time.Hour).Format(time.RFC3339), kw)
		})},
	} {
		load := build(t, &Spec{Meter: m}, 2025, 1800)
		for i, w := range want.ACEssentialW {
			require.InDelta(t, w, load.ACEssentialW[i], 1e-6, "%s, row %d", name, i)
		}
	}
}

// Local clocks of both hemispheres against the public time zone database:
// stamps as a wall clock shows them come out in standard time, and the jumps
// are those of the law in force.
func TestMeter_DaylightSaving(t *testing.T) {
	for _, row := range []struct {
		zone  string
		hours int
		stepS int
		jumps []string
	}{
		{"Europe/Paris", 1, 1800, []string{"2023-10-29T02:00", "2024-03-31T03:00"}},
		{"Europe/Paris", 1, 3600, []string{"2023-10-29T02:00", "2024-03-31T03:00"}},
		{"Europe/Paris", 1, 900, []string{"2023-10-29T02:00", "2024-03-31T03:00"}},
		{"America/Denver", -7, 1800, []string{"2023-11-05T01:00", "2024-03-10T03:00"}},
		{"Australia/Sydney", 10, 1800, []string{"2023-04-02T02:00", "2023-10-01T03:00", "2024-04-07T02:00"}},
		{"Australia/Brisbane", 10, 1800, nil},
	} {
		t.Run(fmt.Sprint(row.zone, row.stepS), func(t *testing.T) {
			zone, err := time.LoadLocation(row.zone)
			require.NoError(t, err)
			wall := func(at time.Time, kw float64) string {
				return plain(at.Add(-time.Duration(row.hours)*time.Hour).In(zone), kw)
			}
			m := &Meter{CSV: export(april, 380, row.stepS, wall), Unit: "kw", Clock: "local"}
			load := build(t, &Spec{Meter: m}, 2025, 3600)
			assert.Equal(t, row.jumps, load.Meter.ClockJumps)
			assert.Zero(t, load.Meter.Missing)
			for hour, w := range load.ACEssentialW {
				at := time.Date(2025, 1, 1, hour, 0, 0, 0, time.UTC)
				require.InDelta(t, 1000*kwAt(at), w, 1e-9, at.String())
			}
			if row.jumps == nil {
				return
			}
			m.Clock = "standard"
			_, problems := (&Spec{Meter: m}).Build(2025, 3600, nil)
			require.NotEmpty(t, problems, "the same table is no standard time")
			assert.Contains(t, problems[0].Message, `"clock": "local"`)
		})
	}
}

func TestMeter_Gaps(t *testing.T) {
	drop := func(from, to string) func(time.Time, float64) string {
		return func(at time.Time, kw float64) string {
			if s := at.Format(stampLayout); from <= s && s < to {
				return ""
			}
			return plain(at, kw)
		}
	}
	build2023 := func(csv string) (*Load, []Problem) {
		return (&Spec{Meter: &Meter{CSV: csv, Unit: "kw"}}).Build(2024, 3600, nil)
	}
	// A Wednesday, 4.10 to 4.14 kW from 10 to 14: one hour missing lies on the
	// line between its neighbours.
	load, problems := build2023(export(april, 366, 3600, drop("2024-01-10T12:00", "2024-01-10T13:00")))
	require.Empty(t, problems)
	assert.InDelta(t, 4120, load.ACEssentialW[9*24+12], 1e-9)
	assert.Equal(t, []any{1, 1, 0, 1.0}, []any{load.Meter.Missing, load.Meter.Bridged, load.Meter.Borrowed, load.Meter.LongestGapH})
	// Five days: from the weeks beside.
	load, problems = build2023(export(april, 366, 3600, drop("2024-01-08T00:00", "2024-01-13T00:00")))
	require.Empty(t, problems)
	for hour := 7 * 24; hour < 12*24; hour++ {
		at := time.Date(2024, 1, 1, hour, 0, 0, 0, time.UTC)
		assert.InDelta(t, 1000*kwAt(at), load.ACEssentialW[hour], 1e-9)
	}
	assert.Equal(t, []any{120, 0, 120, 120.0}, []any{load.Meter.Missing, load.Meter.Bridged, load.Meter.Borrowed, load.Meter.LongestGapH})
	// Too much.
	_, problems = build2023(export(april, 366, 3600, drop("2024-01-01T00:00", "2024-02-15T00:00")))
	require.Len(t, problems, 1)
	assert.Equal(t, "/meter/csv", problems[0].Pointer)
	_, problems = build2023(export(april, 300, 3600, plain))
	require.Len(t, problems, 1)
	assert.Equal(t, 300, problems[0].Value)
}

func TestMeter_Problems(t *testing.T) {
	table := func(lines ...string) string { return strings.Join(lines, "\n") }
	for _, row := range []struct {
		name string
		m    Meter
		want string // part of the first message
	}{
		{"nothing", Meter{}, "holds no readings"},
		{"a heading only", Meter{CSV: "time,kwh\n"}, "holds no readings"},
		{"slashes", Meter{CSV: table("03/04/2024 00:00,1", "03/04/2024 01:00,1")}, "line 2: is not a time stamp"},
		{"text", Meter{CSV: table("2024-01-01 00:00,x")}, "line 1: is not a reading"},
		{"negative", Meter{CSV: table("2024-01-01 00:00,-1")}, "line 1: is not a reading"},
		{"infinite", Meter{CSV: table("2024-01-01 00:00,Inf")}, "line 1: is not a reading"},
		{"one column", Meter{CSV: table("2024-01-01 00:00,1", "2024-01-01 01:00")}, "line 2: has too few columns"},
		{"zone", Meter{CSV: table("2024-01-01T00:00Z,1")}, "line 1: carries a zone"},
		{"no such heading", Meter{CSV: table("a,b", "2024-01-01 00:00,1"), ValueColumn: "c"}, "is not a heading"},
		{"heading asked for but none there", Meter{CSV: table("2024-01-01 00:00,1"), ValueColumn: "b"}, "is not a heading"},
		{"odd step", Meter{CSV: table("2024-01-01 00:00,1", "2024-01-01 00:07,1", "2024-01-01 00:14,1")}, "is how far most stamps are apart"},
		{"odd start", Meter{CSV: table("2024-01-01 00:07,1", "2024-01-01 01:07,1", "2024-01-01 02:07,1")}, "line 1: does not start"},
		{"off the grid", Meter{CSV: table("2024-01-01 00:00,1", "2024-01-01 01:00,1", "2024-01-01 02:00,1", "2024-01-01 03:10,1")}, "line 4: does not fit"},
		{"back in time", Meter{CSV: table("2024-01-01 00:00,1", "2024-01-01 01:00,1", "2024-01-01 02:00,1", "2024-01-01 00:00,1")}, "line 4: goes back in time"},
		{"two values", Meter{CSV: table("2024-01-01 00:00,1", "2024-01-01 01:00,1", "2024-01-01 02:00,1", "2024-01-01 02:00,3")}, "line 4: comes twice"},
		{"an age", Meter{CSV: table("1900-01-01 00:00,1", "1900-01-01 01:00,1", "2024-01-01 02:00,1", "1900-01-01 02:00,1")}, "is more than twenty years"},
	} {
		t.Run(row.name, func(t *testing.T) {
			row.m.Unit = "kwh"
			_, problems := (&Spec{Meter: &row.m}).Build(2025, 3600, nil)
			require.NotEmpty(t, problems)
			assert.Contains(t, problems[0].Message, row.want)
			assert.True(t, strings.HasPrefix(problems[0].Pointer, "/meter/csv"))
		})
	}
	many := &Meter{Unit: "kwh", CSV: strings.Repeat("2024-01-01 00:00,x\n", 100)}
	_, problems := (&Spec{Meter: many}).Build(2025, 3600, nil)
	require.Len(t, problems, mostReportedLines+1)
	assert.Contains(t, problems[mostReportedLines].Message, "80 more lines")
}

// Same reading twice counts once.
func TestMeter_RepeatedRows(t *testing.T) {
	csv := export(april, 366, 3600, plain) + plain(april.Add((366*24-1)*time.Hour), kwAt(april.Add((366*24-1)*time.Hour)))
	load := build(t, &Spec{Meter: &Meter{CSV: csv, Unit: "kw"}}, 2025, 3600)
	assert.Equal(t, 1, load.Meter.Repeated)
	assert.Equal(t, 366*24, load.Meter.Rows)
}

// A meter's steps against grids that neither divide nor are divided by them:
// the day's energy stays.
func TestMeter_OtherGrids(t *testing.T) {
	for _, grid := range []int{3600, 1800, 900, 600, 300} {
		for _, step := range []int{600, 900, 1800} {
			s := &Spec{Meter: &Meter{CSV: export(april, 366, step, plain), Unit: "kw"}}
			load := build(t, s, 2025, grid)
			require.InDelta(t, load.Meter.YearKWh/365, load.MeanKWhPerDay(), 1e-9, "grid %d s, meter %d s", grid, step)
		}
	}
}

// Reading never panics, and what is read lies on its grid.
func FuzzMeter(f *testing.F) {
	f.Add("2024-01-01 00:00,1\n2024-01-01 01:00,2\n", true, true)
	f.Add("time;kWh\r\n31.03.2024 00:30;1,5\r\n31.03.2024 01:00;\r\n31.03.2024 01:30;2\r\n", false, true)
	f.Add("2024-10-27T02:30,1\n2024-10-27T03:00,1\n2024-10-27T02:30,1\n2024-10-27T03:00,1\n2024-10-27T24:00,0\n", true, false)
	f.Add("2024-01-01T00:00+02:00\t5\n2024-01-01T00:15+02:00\t5\n", false, false)
	f.Fuzz(func(t *testing.T, csv string, local, end bool) {
		offset := 1.5
		m := &Meter{CSV: csv, Unit: "kwh", Label: "start", Clock: "standard", UTCOffsetH: &offset}
		if local {
			m.Clock = "local"
		}
		if end {
			m.Label = "end"
		}
		p := problems{list: new([]Problem)}
		list := m.read(p)
		if len(*p.list) > 0 {
			return
		}
		grid, report := regular(list, m, p)
		if len(*p.list) > 0 {
			return
		}
		read := 0
		for _, w := range grid.w {
			if !math.IsNaN(w) {
				read++
			}
		}
		if read != report.Rows || read+report.Repeated != len(list) || math.IsNaN(grid.w[0]) || math.IsNaN(grid.w[len(grid.w)-1]) {
			t.Fatalf("%d readings in the table, %d and %d repeated in the report, %d on the grid", len(list), report.Rows, report.Repeated, read)
		}
	})
}

func BenchmarkMeterHalfHours(b *testing.B) {
	s := &Spec{Meter: &Meter{CSV: export(april, 366, 1800, plain), Unit: "kw"}}
	build(b, s, 2025, 3600)
	b.ReportAllocs()
	for b.Loop() {
		s.Build(2025, 3600, nil)
	}
}
