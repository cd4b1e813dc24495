package api

import (
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Data flow one way: what each package may import of ours, and what nothing but
// one place may import from outside.
func TestArrows(t *testing.T) {
	const leaf = "bankyear/sim/fault"
	allowed := map[string][]string{
		"bankyear/weather":      {},
		"bankyear/profiles":     {},
		"bankyear/sim/fault":    {},
		"bankyear/sim/bank":     {leaf},
		"bankyear/sim/array":    {leaf},
		"bankyear/sim/inverter": {leaf},
		"bankyear/sim/genset":   {leaf},
		"bankyear/sim/grid":     {leaf},
		"bankyear/sim":          {"bankyear/weather", leaf, "bankyear/sim/bank", "bankyear/sim/array", "bankyear/sim/inverter", "bankyear/sim/genset", "bankyear/sim/grid"},
		"bankyear/sim/advice":   {"bankyear/weather", leaf, "bankyear/sim", "bankyear/sim/bank", "bankyear/sim/array", "bankyear/sim/inverter", "bankyear/sim/genset", "bankyear/sim/grid"},
		"bankyear/sim/cost":     {"bankyear/weather", leaf, "bankyear/sim", "bankyear/sim/bank", "bankyear/sim/array", "bankyear/sim/inverter", "bankyear/sim/genset", "bankyear/sim/grid"},
		"bankyear/sim/study":    {"bankyear/weather", leaf, "bankyear/sim", "bankyear/sim/bank", "bankyear/sim/array", "bankyear/sim/inverter", "bankyear/sim/genset", "bankyear/sim/grid"},
		"bankyear/sim/backtest": {leaf, "bankyear/sim/bank", "bankyear/sim/inverter"},
		"bankyear/api/sitelog":  {},
		"bankyear/sim/queue":    {},
		"bankyear/api/document": {leaf},
		"bankyear/api/media":    {},
		"bankyear/api/store":    {},
		"bankyear/api/tabular":  {leaf, "bankyear/api/document"},
		"bankyear/api/workbook": {},
	}
	for pkg, may := range allowed {
		for _, dep := range deps(t, pkg) {
			if strings.HasPrefix(dep, "bankyear/") && dep != pkg {
				assert.Contains(t, may, dep, "imported by %s", pkg)
			}
		}
	}
	// The simulation itself does no input or output, and knows no network, clock,
	// log and format. (The readers of weather do.)
	for _, dep := range imports(t, "bankyear/sim", "bankyear/sim/bank", "bankyear/sim/array", "bankyear/sim/inverter", "bankyear/sim/genset", "bankyear/sim/grid", "bankyear/sim/advice", "bankyear/sim/study", "bankyear/sim/backtest", "bankyear/sim/fault") {
		assert.NotContains(t, []string{"os", "io", "io/fs", "net", "net/http", "log", "log/slog", "encoding/json", "math/rand"}, dep)
		assert.False(t, strings.HasPrefix(dep, "github.com/"), dep)
	}
	for _, pkg := range goList(t, "bankyear/...") {
		for _, dep := range imports(t, pkg) {
			if strings.HasPrefix(dep, "github.com/nats-io/") {
				assert.Equal(t, "bankyear/sim/queue", pkg, "only the queue imports NATS")
			}
			if strings.HasPrefix(dep, "github.com/xuri/") {
				assert.Equal(t, "bankyear/api/workbook", pkg, "only the package of workbooks imports excelize")
			}
			assert.False(t, strings.HasPrefix(dep, "bankyear/cmd/"), "%s imports %s", pkg, dep)
		}
		assert.NotRegexp(t, "/(util|common|types|models|helpers)$", pkg, "a package is named for what it holds")
	}
}

func goList(t *testing.T, args ...string) []string {
	t.Helper()
	out, err := exec.Command("go", append([]string{"list"}, args...)...).CombinedOutput()
	require.NoError(t, err, string(out))
	return strings.Fields(string(out))
}

// deps are all packages that a package needs.
func deps(t *testing.T, pkg string) []string { return goList(t, "-deps", pkg) }

// imports are those that packages name themselves.
func imports(t *testing.T, pkgs ...string) []string {
	return goList(t, append([]string{"-f", `{{join .Imports "\n"}}`}, pkgs...)...)
}
