package api

import (
	"encoding/json"
	"net/http/httptest"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every figure has a formula, and no formula is of a figure that there is not.
func TestReference_Formulas(t *testing.T) {
	names := map[string]bool{}
	for _, f := range figureDocs() {
		names[f.Path] = true
		assert.NotEmpty(t, f.Formula, "%s has a formula: add it to figureFormulas", f.Path)
	}
	for name := range figureFormulas {
		assert.True(t, names[name], name)
	}
}

// The pages of the reference are served without anything from elsewhere, link to
// places that there are, and tell every operation and problem.
func TestReference_Pages(t *testing.T) {
	s := New(Config{})
	ids := map[string]string{}
	paths := []string{"/docs", "/docs/spreadsheets"}
	for _, p := range referencePages {
		paths = append(paths, p.path)
	}
	for _, path := range paths {
		w := call(t, s, "GET", path, nil)
		require.Equal(t, 200, w.Code, path)
		ids[path] = w.Body.String()
		assert.NotContains(t, w.Header().Get("Content-Security-Policy"), "script-src", path)
	}
	link := regexp.MustCompile(`href="([^"]*)"`)
	for path, body := range ids {
		for _, m := range link.FindAllStringSubmatch(body, -1) {
			page, fragment, _ := strings.Cut(m[1], "#")
			if page == "" {
				page = path
			}
			require.True(t, strings.HasPrefix(page, "/"), "%s links to %s", path, m[1])
			if ids[page] == "" {
				assert.Equal(t, 200, call(t, s, "GET", page, nil).Code, "%s links to %s", path, page)
			} else if fragment != "" {
				assert.Contains(t, ids[page], `id="`+fragment+`"`, "%s links to %s", path, m[1])
			}
		}
	}
	for _, o := range s.operations() {
		assert.Contains(t, ids["/docs/resources"], `id="`+o.id+`"`)
	}
	for _, k := range kindsOfProblem {
		assert.Contains(t, ids["/docs"], `id="problem-`+k.name+`"`)
	}
}

// The examples of the page run in a shell as they stand there.
func TestReference_ExamplesRun(t *testing.T) {
	for _, tool := range []string{"bash", "curl"} {
		if _, err := exec.LookPath(tool); err != nil {
			if os.Getenv("CI") == "true" {
				t.Fatal("needs " + tool)
			}
			t.Skip("needs " + tool)
		}
	}
	s := studying(t, t.TempDir())
	server := httptest.NewServer(s)
	defer server.Close()
	x := newTeller(t, s)
	environment := append(os.Environ(), "BANKYEAR="+server.URL)
	for i := range story {
		e := &story[i]
		o := x.operationOf(t, e.id)
		shell := exec.CommandContext(t.Context(), "bash", "-e", "-u", "-c", strings.Replace(o.Example(), "curl -s", "curl -sS --fail-with-body", 1))
		shell.Env = environment
		out, err := shell.CombinedOutput()
		require.NoError(t, err, "%s: %s", o.Example(), out[:min(len(out), 500)])
		if e.leaves != "" {
			var answer struct{ ID, Hash string }
			require.NoError(t, json.Unmarshal(out, &answer))
			id := answer.ID
			if e.leaves == "hash" {
				id = answer.Hash
			}
			environment = append(environment, strings.ToUpper(e.leaves)+"="+id)
		}
	}
}
