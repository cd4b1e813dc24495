package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The request that --run prints is the run: simulated, it has the hash and the downtime of
// the run's row.
func TestStudy_OneRun(t *testing.T) {
	weather, err := filepath.Abs("../../testdata/weather/burlington_vt_tmy3.csv.gz")
	require.NoError(t, err)
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	require.NoError(t, os.WriteFile(at("study.json"), []byte(`{"kind":"sweep","axes":[{"path":"bank.modules","numbers":[1,2]},{"path":"array.planes.roof.rated_kw","numbers":[1,2.4]}],
		"base":{"weather":{"file":"`+weather+`"},"load":{"appliances":{"lights":{"w":60,"hours":"05-08,16-23"},"refrigerator":{"w":110,"duty_fraction":0.35}}},
		"array":{"planes":{"roof":{"rated_kw":2.4,"tilt_deg":60,"azimuth_deg":180,"charger":"south"}},"chargers":{"south":{"key":"solar_charger_120a"}}},
		"bank":{"module":{"key":"lfp_16s_100ah"},"modules":1,"operation":"data_linked"},"inverter":{"key":"inverter_3kw"}}}`), 0o600))
	program := func(args ...string) []byte {
		var out, complaints bytes.Buffer
		require.Equal(t, done, run(context.Background(), args, streams{strings.NewReader(""), &out, &complaints}), complaints.String())
		return out.Bytes()
	}
	program("study", at("study.json"), "--out", at("runs.jsonl"))
	rows, err := os.ReadFile(at("runs.jsonl"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(at("run.json"), program("study", at("study.json"), "--run", "2"), 0o600))
	program("simulate", at("run.json"), "--out", at("year.json"))
	year, err := os.ReadFile(at("year.json"))
	require.NoError(t, err)
	type figures struct {
		Run       int     `json:"run"`
		Hash      string  `json:"hash"`
		DowntimeH float64 `json:"downtime_h"`
		ServedKWh float64 `json:"served_kwh"`
	}
	var row figures
	require.NoError(t, json.Unmarshal([]byte(strings.Split(string(rows), "\n")[2]), &row))
	var single struct {
		Hash    string  `json:"hash"`
		Figures figures `json:"figures"`
	}
	require.NoError(t, json.Unmarshal(year, &single))
	assert.Equal(t, 2, row.Run)
	assert.Equal(t, row.Hash, single.Hash)
	assert.Positive(t, row.DowntimeH)
	assert.Equal(t, row.DowntimeH, single.Figures.DowntimeH)
	assert.Equal(t, row.ServedKWh, single.Figures.ServedKWh)
}

// A time that is expected is about so long, but not about less than a second.
func TestExpected(t *testing.T) {
	for seconds, text := range map[float64]string{0.4: "less than a second", 8: "about 8 s", 600: "about 10 min", 36000: "about 10.0 h"} {
		assert.Equal(t, text, expected(seconds))
	}
}
