package sitelog_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/sitelog"
)

var columns = []sitelog.Column{
	{Name: "v", Unit: "V", Min: 0, Max: 100, Required: true, Filled: true},
	{Name: "cell_c", Unit: "°C", Min: -60, Max: 100},
	{Name: "status", Text: true},
}

func TestRead(t *testing.T) {
	for name, c := range map[string]struct {
		text     string
		headings map[string]string
	}{
		"comma":     {"time,v,cell_c,status,other\n2025-01-15T08:00,52.5,-3,ok,1\n2025-01-15 08:10,52.6,,trip,2\n", nil},
		"semicolon": {"\ufeff# from a logger\r\nTime;V;Cell_C;Status;other\r\n15.01.2025 08:00;52,5;-3;ok;1\r\n15.01.2025 08:10:00;52,6;;trip;2\r\n", nil},
		"named":     {"when\tU\tcell_c\tstatus\tother\n2025-01-15T08:00:00Z\t52.5\t-3\tok\t\n2025-01-15T10:10:00+02:00\t52.6\t\ttrip\t\n", map[string]string{"time": "when", "v": "U"}},
	} {
		table, problems := sitelog.Read(c.text, columns, c.headings)
		require.Empty(t, problems, name)
		assert.Equal(t, 600., table.Seconds[1]-table.Seconds[0], name)
		assert.Equal(t, "2025-01-15T08:00:00", sitelog.Show(table.Seconds[0]), name)
		assert.Equal(t, []float64{52.5, 52.6}, table.Numbers["v"], name)
		assert.Equal(t, -3., table.Numbers["cell_c"][0], name)
		assert.True(t, math.IsNaN(table.Numbers["cell_c"][1]), name)
		assert.Equal(t, []string{"ok", "trip"}, table.Texts["status"], name)
		assert.Equal(t, []string{"other"}, table.Ignored, name)
	}
}

// Every problem names its line, its field and its value, all at once.
func TestRead_Problems(t *testing.T) {
	_, problems := sitelog.Read("time,v,cell_c\n"+
		"01/02/2025 08:00,52,1\n"+ // two ways to read it
		"2025-01-15T08:10,101,1\n"+
		"2025-01-15T08:20,,1\n"+
		"2025-01-15T08:30,warm,NaN\n"+
		"2025-01-15T08:40Z,0x10,1\n"+
		"1890-01-15T08:40,5\n", columns, nil)
	type place struct {
		line, field int
		value       any
		message     string
	}
	var got []place
	for _, p := range problems {
		got = append(got, place{p.Line, p.Field, p.Value, p.Message})
	}
	assert.Equal(t, []place{
		{2, 1, "01/02/2025 08:00", "is not a time stamp"},
		{3, 2, 101., "is outside the allowed range"},
		{4, 2, "", "is missing"},
		{5, 2, "warm", "is not a number"},
		{5, 3, "NaN", "is not a number"},
		{6, 1, "2025-01-15T08:40Z", "carries a zone where others do not, or the other way round"},
		{6, 2, "0x10", "is not a number"},
		{7, 1, "1890-01-15T08:40", "is in a year that no log is from"},
	}, got)
	for text, message := range map[string]string{
		"":                                     "holds no rows",
		"time,v\n":                             "holds no rows",
		"v\n1\n":                               "is not a heading of the table",
		"time,v,V\n2025-01-15T08:10,1,1\n":     "is the heading of two columns",
		"time,v\n\"2025-01-15T08:10,1,1\n":     "cannot be read as a table: ",
		"time,cell_c\n2025-01-15T08:10,1,1\n":  "is not a heading of the table",
		"time,v\n2025-01-15T08:10,1\n\"x\"y,1": "cannot be read as a table: ",
	} {
		table, problems := sitelog.Read(text, columns, nil)
		require.Len(t, problems, 1, text)
		assert.True(t, strings.HasPrefix(problems[0].Message, message), "%s: %s", text, problems[0].Message)
		assert.Nil(t, table)
	}
}

// A column of nothing but faults does not hide the others.
func TestRead_ManyProblems(t *testing.T) {
	text := "time,v,cell_c\n" + strings.Repeat("2025-01-15T08:10,900,1\n", 500) + "2025-01-15T08:10,1,900\n"
	_, problems := sitelog.Read(text, columns, nil)
	require.Len(t, problems, 22)
	assert.Equal(t, "cell_c", problems[20].Member)
	assert.Equal(t, 480, problems[21].Value)
}

func TestInOrder(t *testing.T) {
	table, problems := sitelog.Read("time,v,status\n2025-01-15T08:00,1,a\n2025-01-15T08:00,1,b\n2025-01-15T08:00,1,a\n2025-01-15T07:00,1,b\n2025-01-15T09:00,1,b\n", columns, nil)
	require.Empty(t, problems)
	got := table.InOrder(table.Texts["status"])
	require.Len(t, got, 2)
	assert.Equal(t, 4, got[0].Line)
	assert.Equal(t, "is there twice", got[0].Message)
	assert.Equal(t, 5, got[1].Line)
	assert.Contains(t, got[1].Allowed, "2025-01-15T08:00:00")
	assert.Len(t, table.InOrder(nil), 3)
}

func FuzzRead(f *testing.F) {
	f.Add("time,v,cell_c,status\n2025-01-15T08:00,52.5,-3,ok\n")
	f.Add("# logger\ntime;v\n15.01.2025 08:00;52,5\n")
	f.Add("time\tv\n2025-01-15T08:00:00+02:00\t1e1\n\n")
	f.Add("time,v\n\"2025-01-15T08:00\"\"\",1\n")
	f.Fuzz(func(t *testing.T, text string) {
		table, problems := sitelog.Read(text, columns, nil)
		if (table == nil) != (len(problems) > 0) {
			t.Fatal(table, problems)
		}
		for _, p := range problems {
			if p.Message == "" {
				t.Fatalf("%+v", p)
			}
		}
		if table == nil {
			return
		}
		for i, v := range table.Numbers["v"] {
			if !(v >= 0 && v <= 100) || len(table.Numbers["v"]) != len(table.Seconds) {
				t.Fatal(i, v)
			}
		}
		if len(table.Check(columns)) > 0 {
			t.Fatal("Check does not agree")
		}
		table.InOrder(nil)
	})
}
