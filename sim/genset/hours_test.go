package genset

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseHours(t *testing.T) {
	for _, row := range []struct {
		text string
		want []Span
	}{
		{"22-07", []Span{{79200, 25200}}},
		{"22:30-07", []Span{{81000, 25200}}},
		{"9-11", []Span{{32400, 39600}}},
		{"06-09,17-22", []Span{{21600, 32400}, {61200, 79200}}},
		{"06-09, 17-22", []Span{{21600, 32400}, {61200, 79200}}},
		{"22-24,00-07", []Span{{79200, 86400}, {0, 25200}}},
		{"22-00", []Span{{79200, 86400}}},
		{"00-24", []Span{{0, 86400}}},
		{"12-14,14-16", []Span{{43200, 50400}, {50400, 57600}}},
	} {
		got, err := ParseHours(row.text)
		require.NoError(t, err, row.text)
		assert.Equal(t, row.want, got, row.text)
	}
	for _, text := range []string{
		"", "22", "22-", "-07", "22-07-09", "22-22", "00-00", "24-07", "25-07", "22:60-07", "22:5-07", "24:30-07",
		"+2-07", "a-b", "22–07", "06-09,", "06-09,08-10", "22-07,06-08", "06-09,05-07", "06-09,06-09", "123-07", "0x1-07",
	} {
		_, err := ParseHours(text)
		assert.Error(t, err, text)
	}
}

func TestParseTime(t *testing.T) {
	for text, want := range map[string]int{"19:00": 68400, "19": 68400, "7:30": 27000, "00:00": 0, "24:00": 86400, " 19:00 ": 68400} {
		got, err := ParseTime(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	for _, text := range []string{"", ":", "19:", "19:0", "7pm", "19:00:00", "24:01", "-1:00"} {
		_, err := ParseTime(text)
		assert.Error(t, err, text)
	}
}

func TestSpan(t *testing.T) {
	night := Span{79200, 25200}
	assert.Equal(t, 9*3600, night.LengthS())
	assert.Equal(t, DayS, Span{0, DayS}.LengthS())
	assert.Equal(t, "22:00 to 07:00", night.String())
	assert.Equal(t, "22:00 to 24:00", Span{79200, DayS}.String())
	for second, in := range map[int]bool{79199: false, 79200: true, 86399: true, 0: true, 25199: true, 25200: false} {
		assert.Equal(t, in, night.Has(second), "%d s", second)
	}
}

// What is read either fails or covers as many seconds of the day as its spans
// are long together: no second twice, none lost.
func FuzzParseHours(f *testing.F) {
	for _, text := range []string{"22-07", "06-09,17:30-22", "00-24", "24-07", "22-22", "", "9-", "06-09,08-10"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		spans, err := ParseHours(text)
		if err != nil {
			return
		}
		length, covered := 0, 0
		for _, s := range spans {
			length += s.LengthS()
		}
		for second := 0; second < DayS; second += 60 {
			if !MayStartAt(spans, second) {
				covered += 60
			}
		}
		if length != covered || length == 0 {
			t.Fatalf("%q: spans of %d s cover %d s", text, length, covered)
		}
	})
}
