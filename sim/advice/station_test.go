package advice

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/document"
	"bankyear/profiles"
	"bankyear/sim"
	"bankyear/sim/fault"
	"bankyear/weather"
)

var update = flag.Bool("update", false, "write the golden files")

// scenario is a request as far as these tests need it.
type scenario struct {
	Name string `json:"name" default:"" hash:"-"`
	sim.System
	Weather *document.Node `json:"weather" required:"false"`
	Load    profiles.Spec  `json:"load" default:"{}"`
}

// station decodes the field station with merge patches on it and completes it.
// Its members are in their ranges; what they mean together is not checked.
func station(t testing.TB, patches ...string) *sim.System {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/scenarios/field-station.json")
	require.NoError(t, err)
	node, faults := document.Parse(raw)
	require.Empty(t, faults)
	for _, p := range patches {
		patch, faults := document.Parse([]byte(p))
		require.Empty(t, faults, p)
		node = document.Merge(node, patch)
	}
	catalogue := document.Catalogue{}
	for _, e := range profiles.List() {
		tree, faults := document.Parse(e.Values)
		require.Empty(t, faults)
		if catalogue[e.Kind] == nil {
			catalogue[e.Kind] = map[string]*document.Node{}
		}
		catalogue[e.Kind][e.Key] = tree
	}
	var s scenario
	node, _, faults = document.Expand(node, reflect.TypeFor[scenario](), catalogue)
	require.Empty(t, faults)
	_, faults = document.Decode(node, &s)
	require.Empty(t, faults)
	s.Complete()
	c := fault.New()
	fault.CheckTags(c, &s.System)
	require.NoError(t, c.Err())
	return &s.System
}

// burlington are the extremes of the field station's weather year: −27.8 and
// 37.2 °C (testdata/SOURCES.md).
func burlington(t testing.TB) Extremes {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "weather", "burlington_vt_tmy3.csv.gz"))
	require.NoError(t, err)
	defer f.Close()
	r, err := weather.Read(f, weather.ReadOptions{CalendarYear: 2025})
	require.NoError(t, err)
	return ExtremesOf(r.Year)
}

func TestExtremesOfAWeatherYear(t *testing.T) {
	e := burlington(t)
	assert.InDelta(t, -27.8, *e.LowestAirC, .05)
	assert.InDelta(t, 37.2, *e.HighestAirC, .05)
	assert.Equal(t, Extremes{}, ExtremesOf(&weather.Year{}))
}

// Golden files: they only prove that nothing changed; the tables beside this
// file check the numbers.
func TestGolden(t *testing.T) {
	site := burlington(t)
	for name, patches := range map[string][]string{
		"field-station":              nil,
		"field-station-voltage-only": {`{"bank": {"operation": "voltage_only"}}`},
		"field-station-lead-acid-settings-left": {`{"bank": {"operation": "voltage_only", "module": {"key": "lfp_16s_100ah_one_switch"},
			"settings": {"absorb_v": 57.6, "tail_a": 16, "float_v": 54, "restart_charge_v": 50.4, "charge_a": 100, "compensation_v_per_c": -0.096},
			"estimate": {"full_seen_at_v": 52.8, "full_seen_a": 16}}}`},
	} {
		t.Run(name, func(t *testing.T) {
			s := station(t, patches...)
			sheet, findings := SheetOf(s), Fit(s, site)
			golden(t, name+".sheet.txt", []byte(sheet.Text()))
			golden(t, name+".fit.txt", []byte(Text(findings)))
			if patches == nil {
				golden(t, name+".sheet.json", indented(t, sheet))
				golden(t, name+".fit.json", indented(t, findings))
			}
			for line := range strings.Lines(Text(findings)) {
				assert.LessOrEqual(t, len([]rune(strings.TrimSuffix(line, "\n"))), textWidth, line)
			}
		})
	}
}

func indented(t *testing.T, v any) []byte {
	raw, err := json.MarshalIndent(v, "", "  ")
	require.NoError(t, err)
	return append(raw, '\n')
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, got, 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	if !bytes.Equal(want, got) {
		w, g := strings.Split(string(want), "\n"), strings.Split(string(got), "\n")
		for i := 0; i < len(w) && i < len(g); i++ {
			require.Equal(t, w[i], g[i], "%s, line %d", path, i+1)
		}
		require.Equal(t, len(w), len(g), "lines of %s", path)
	}
}
