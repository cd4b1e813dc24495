package api

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// runExample runs a script of testdata/examples against a service, in a directory
// of its own, and gives what it prints and the names of the marks in its plot.
func runExample(t *testing.T, server string, plot string, command ...string) (printed string, marks map[string]int) {
	t.Helper()
	if _, err := exec.LookPath(command[0]); err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("needs " + command[0])
		}
		t.Skip("needs " + command[0])
	}
	dir := t.TempDir()
	for i, name := range command {
		if strings.HasPrefix(name, "../") {
			absolute, err := filepath.Abs(name)
			require.NoError(t, err)
			command[i] = absolute
		}
	}
	c := exec.CommandContext(t.Context(), command[0], command[1:]...)
	c.Dir, c.Env = dir, append(os.Environ(), "BANKYEAR="+server)
	out, err := c.CombinedOutput()
	require.NoError(t, err, "%s", out)
	f, err := os.Open(filepath.Join(dir, plot))
	require.NoError(t, err)
	defer f.Close()
	marks = map[string]int{}
	d := xml.NewDecoder(f)
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return string(out), marks
		}
		require.NoError(t, err, plot)
		if start, ok := token.(xml.StartElement); ok {
			marks[start.Name.Local]++
		}
	}
}

// The examples run, plot, and say what the engine says.
func TestExamples(t *testing.T) {
	s := storing(t, t.TempDir())
	server := httptest.NewServer(s)
	t.Cleanup(server.Close)
	hutExample, _ := exampleOf("simulate")
	hut := unmarshalled(t, hutExample.body(nil))
	dark := func(t *testing.T, patch string) float64 {
		return read(t, with(t, hut, patch)).Plan().Run(false).Figures.DowntimeH
	}
	t.Run("shell", func(t *testing.T) {
		printed, marks := runExample(t, server.URL, "modules.svg", "sh", "../testdata/examples/modules.sh", "../api/examples/hut.json")
		assert.Equal(t, 6, marks["rect"])
		for n := 1; n <= 6; n += 5 {
			assert.Contains(t, printed, fmt.Sprintf("%d modules: %.0f h dark\n", n, math.Floor(dark(t, fmt.Sprintf(`{"bank":{"modules":%d}}`, n))+0.5)))
		}
	})
	t.Run("python", func(t *testing.T) {
		printed, marks := runExample(t, server.URL, "tilt.svg", "python3", "../testdata/examples/tilt.py", "../api/examples/hut.json")
		assert.Equal(t, 2, marks["polyline"])
		assert.Contains(t, printed, fmt.Sprintf("30°: %.0f  ", dark(t, `{"array":{"planes":{"roof":{"tilt_deg":30}}}}`)))
	})
	t.Run("javascript", func(t *testing.T) {
		printed, marks := runExample(t, server.URL, "years.svg", "node", "../testdata/examples/years.mjs", "../api/examples/hut.json")
		assert.Equal(t, 12, marks["rect"])
		assert.Regexp(t, `^dark hours: (\d+ ){11}\d+; no dark hour in \d+ of 12 years\n$`, printed)
		assert.Contains(t, printed, fmt.Sprintf(" %.0f", math.Floor(dark(t, `{"weather":{"member":3}}`)+0.5)))
	})
	t.Run("R", func(t *testing.T) {
		x := newTeller(t, s)
		for _, id := range []string{"uploadWeather", "uploadLoad", "storeSystem"} {
			e, _ := exampleOf(id)
			require.Less(t, x.make(t, &e).Code, 300)
		}
		printed, marks := runExample(t, server.URL, "capacity.svg", "Rscript", "../testdata/examples/capacity.R")
		assert.Greater(t, marks["path"], 10)
		assert.Equal(t, 8, strings.Count(printed, "\n"))
		assert.Contains(t, printed, fmt.Sprintf("100 Ah: %.0f h dark", dark(t, `{}`)))
	})
}

// Wrong input ends an example with the faults that the service answers.
func TestExamples_Faults(t *testing.T) {
	server := httptest.NewServer(New(Config{}))
	t.Cleanup(server.Close)
	hutExample, _ := exampleOf("simulate")
	file := filepath.Join(t.TempDir(), "wrong.json")
	require.NoError(t, os.WriteFile(file, text(t, with(t, unmarshalled(t, hutExample.body(nil)), `{"bank":{"initial_soc_fraction":3},"inverter":{"key":"none"}}`)), 0o600))
	for program, script := range map[string]string{"sh": "modules.sh", "python3": "tilt.py", "node": "years.mjs"} {
		t.Run(program, func(t *testing.T) {
			if _, err := exec.LookPath(program); err != nil && os.Getenv("CI") != "true" {
				t.Skip("needs " + program)
			}
			script, err := filepath.Abs("../testdata/examples/" + script)
			require.NoError(t, err)
			c := exec.CommandContext(t.Context(), program, script, file)
			c.Dir, c.Env = t.TempDir(), append(os.Environ(), "BANKYEAR="+server.URL)
			out, err := c.CombinedOutput()
			require.Error(t, err)
			assert.Contains(t, string(out), `"pointer":"/base/bank/initial_soc_fraction"`)
			assert.Contains(t, string(out), `"pointer":"/base/inverter/key"`)
		})
	}
}

// An example that misses its request or the service says so in one line.
func TestExamples_Missing(t *testing.T) {
	for script, program := range map[string]string{"modules.sh": "sh", "tilt.py": "python3", "years.mjs": "node", "capacity.R": "Rscript"} {
		t.Run(script, func(t *testing.T) {
			if _, err := exec.LookPath(program); err != nil && os.Getenv("CI") != "true" {
				t.Skip("needs " + program)
			}
			path, err := filepath.Abs("../testdata/examples/" + script)
			require.NoError(t, err)
			says := func(word, service string, args ...string) {
				c := exec.CommandContext(t.Context(), program, append([]string{path}, args...)...)
				c.Dir, c.Env = t.TempDir(), append(os.Environ(), "BANKYEAR="+service)
				out, err := c.CombinedOutput()
				require.Error(t, err)
				assert.Contains(t, string(out), word+" is missing")
				assert.Equal(t, 1, strings.Count(string(out), "\n"), "%s", out)
			}
			if script == "capacity.R" { // asks about a stored system
				says("BANKYEAR", "")
				return
			}
			says("BANKYEAR", "", "hut.json")
			says("a request", "http://127.0.0.1:8080")
		})
	}
}
