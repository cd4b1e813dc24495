package api

import (
	"bytes"
	"encoding/json"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// nodeModules is where .ci/run puts what .ci/openapi/package-lock.json pins.
// Without it the tests that need it are skipped, and fail when CI=true.
func nodeModules(t testing.TB) (dir string) {
	t.Helper()
	dir, err := filepath.Abs("../.ci/openapi")
	require.NoError(t, err)
	_, noNode := exec.LookPath("node")
	_, noModules := os.Stat(filepath.Join(dir, "node_modules"))
	if noNode == nil && noModules == nil {
		return dir
	}
	const missing = "needs node, and `npm ci` in .ci/openapi"
	if os.Getenv("CI") == "true" {
		t.Fatal(missing)
	}
	t.Skip(missing)
	return ""
}

// node runs a tool in a directory.
func node(t testing.TB, dir string, args ...string) string {
	t.Helper()
	c := exec.CommandContext(t.Context(), "node", args...)
	c.Dir = dir
	out, err := c.CombinedOutput()
	require.NoError(t, err, "%s", out)
	return string(out)
}

// The document passes a linter's strict rules, examples against their schemas
// among them, and the linter does find what is wrong.
func TestOpenAPI_Lints(t *testing.T) {
	tools := nodeModules(t)
	file := filepath.Join(t.TempDir(), "openapi.json")
	document := New(Config{}).openAPI
	require.NoError(t, os.WriteFile(file, document, 0o600))
	assert.Contains(t, node(t, tools, "lint.mjs", file), "0 findings")
	spoilt := bytes.Replace(document, []byte(`"operationId":"figures"`), []byte(`"operationId":"figure"`), 1)
	require.NotEqual(t, document, spoilt)
	require.NoError(t, os.WriteFile(file, spoilt, 0o600))
	out, err := exec.CommandContext(t.Context(), "node", filepath.Join(tools, "lint.mjs"), file).CombinedOutput()
	require.Error(t, err)
	assert.Contains(t, string(out), "operation-operationId-unique")
}

// A client generated from the document compiles under strict types and works: it
// gets the figures and hours that a request gets and the faults of a wrong one, compares,
// waits for a study, opens a run, which it simulates as it is typed, and simulates with weather that it has uploaded.
func TestOpenAPI_TypeScript(t *testing.T) {
	tools := nodeModules(t)
	s := studying(t, t.TempDir())
	server := httptest.NewServer(s)
	defer server.Close()
	// Beside the modules, so that they are found.
	dir, err := os.MkdirTemp(filepath.Join(tools, "node_modules"), ".client-")
	require.NoError(t, err)
	defer os.RemoveAll(dir)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "openapi.json"), s.openAPI, 0o600))
	source, err := os.ReadFile(filepath.Join(tools, "client.ts"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "client.ts"), source, 0o600))
	node(t, dir, "../openapi-typescript/bin/cli.js", "openapi.json", "--default-non-nullable=false", "-o", "openapi.ts")
	node(t, dir, "../typescript/bin/tsc", "--strict", "--skipLibCheck", "--target", "es2022", "--module", "nodenext", "client.ts")
	require.NoError(t, os.Rename(filepath.Join(dir, "client.js"), filepath.Join(dir, "client.mjs")))
	hut, _ := exampleOf("simulate")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "hut.json"), hut.body(nil), 0o600))
	got := node(t, dir, "client.mjs", server.URL, "hut.json")
	dark := func(patch string) float64 {
		return read(t, with(t, unmarshalled(t, hut.body(nil)), patch)).Plan().Run(false).Figures.DowntimeH
	}
	want := strings.TrimSpace(string(text(t, map[string]any{
		"downtime_h": dark(`{}`), "months": 12, "lines": 8761, "faults": []string{"/bank/modules", "/bank/initial_soc_fraction"},
		"compared": []float64{dark(`{}`), dark(`{"bank":{"modules":3}}`)},
		"study":    "done", "run": []map[string]any{{"path": "bank.modules", "value": 3}}, "modules": 3,
		"larger": dark(`{"bank":{"modules":3},"array":{"planes":{"roof":{"rated_kw":9}}}}`), "by_id": dark(`{}`),
	})))
	assert.JSONEq(t, want, got)
}

func unmarshalled(t testing.TB, raw []byte) (out map[string]any) {
	t.Helper()
	require.NoError(t, json.Unmarshal(raw, &out))
	return out
}
