package study_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/fault"
	"bankyear/sim/study"
)

func TestParseAxis(t *testing.T) {
	for text, want := range map[string][]string{
		"bank.modules:2..10/2":                    {"2", "4", "6", "8", "10"},
		"bank.modules:2..4":                       {"2", "3", "4"},
		"bank.modules:2,4,8":                      {"2", "4", "8"},
		"bank.modules:7":                          {"7"},
		"array.planes.roof.rated_kw:1..16*5":      {"1", "2", "4", "8", "16"},
		"bank.operation:data_linked,voltage_only": {"data_linked", "voltage_only"},
		"bank.x:1,two":                            {"1", "two"},
		"generators.main:null":                    {"null"},
		"bank.x:nan,inf":                          {"nan", "inf"},
		"generators.main.no_start_hours:22:00-07": {"22:00-07"},
		"bank.x:-0.2..0/0.1":                      {"-0.2", "-0.1", "0"},
	} {
		a, err := study.ParseAxis(text)
		require.NoError(t, err, text)
		path, _, _ := strings.Cut(text, ":")
		assert.Equal(t, path, a.Path)
		assert.Equal(t, want, texts(t, a), text)
	}
}

func TestParseAxisRefuses(t *testing.T) {
	for text, pointer := range map[string]string{
		"bank.modules":           "",
		"bank.modules:":          "",
		":1,2":                   "/path",
		"bank..modules:1":        "/path",
		"bank.modules:2..":       "/range/end",
		"bank.modules:a..3":      "/range/start",
		"bank.modules:2..4/0":    "/range/step",
		"bank.modules:2..4/-1":   "/range/step",
		"bank.modules:4..2":      "/range/end",
		"bank.modules:1..1e9":    "/range/step",
		"bank.modules:1..9*1":    "/log_range/count",
		"bank.modules:1..9*0":    "/log_range/count",
		"bank.modules:1..9*x":    "/log_range/count",
		"bank.modules:0..9*3":    "/log_range/start",
		"bank.modules:9..1*3":    "/log_range/end",
		"bank.modules:2,,4":      "/choices/1",
		"bank.modules:2,2":       "/numbers/1",
		"bank.modules:1e999..2":  "/range/start",
		"bank.modules:nan..2":    "/range/start",
		"bank.modules:1..2/1/2":  "/range/step",
		"bank.operation:a,b,c,b": "/choices/3",
	} {
		_, err := study.ParseAxis(text)
		var faults fault.Faults
		require.ErrorAs(t, err, &faults, text)
		assert.Equal(t, pointer, faults[0].Pointer, text)
		assert.NotEmpty(t, faults[0].Message, text)
	}
}

// Any text is refused, or gives an axis whose values can all be swept.
func FuzzParseAxis(f *testing.F) {
	for _, text := range []string{"bank.modules:2..10/2", "a:1..16*5", "a:1,b,null", "a:-1..1/1e-300", "a:0..1e308/1e300", "a:1e-320..1e308*3"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		a, err := study.ParseAxis(text)
		if err != nil {
			var faults fault.Faults
			require.ErrorAs(t, err, &faults)
			require.NotEmpty(t, faults)
			return
		}
		for _, s := range texts(t, a) {
			if s == "" || s == "+Inf" && a.Choices == nil {
				t.Fatalf("value %q", s)
			}
		}
	})
}
