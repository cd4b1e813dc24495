package sim_test

import (
	"bytes"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The reference computes nothing with the code that it is compared with: of our
// packages its files use types, fields and constants, and these functions alone. What
// the functions of other tests do that it calls is listed too.
func TestReference_Arrow(t *testing.T) {
	allowed := []string{
		"(*bankyear/weather.Year).Sun", // an input: when the sun is up
		// The comparison: what is compared with, and how it names its columns.
		"bankyear/sim.Compile", "(*bankyear/sim.Plan).Run", "(*bankyear/sim.Plan).EventTimes", "(*bankyear/sim.Year).Months",
		"bankyear/sim.NumberColumns", "bankyear/sim.DowntimeCauses", "bankyear/sim.CurtailmentCauses", "(bankyear/sim.Cause).String",
		// Other tests: the decoded system, and the completed one that is compared with.
		"bankyear/sim_test.given", "bankyear/sim_test.system",
	}
	fset := token.NewFileSet()
	names, err := filepath.Glob("*_test.go")
	require.NoError(t, err)
	var files []*ast.File
	for _, name := range names {
		file, err := parser.ParseFile(fset, name, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		if file.Name.Name == "sim_test" {
			files = append(files, file)
		}
	}
	info := types.Info{Uses: map[*ast.Ident]types.Object{}}
	conf := types.Config{Importer: importer.ForCompiler(fset, "gc", compiled(t))}
	_, err = conf.Check("bankyear/sim_test", fset, files, &info)
	require.NoError(t, err)

	reference := func(at token.Pos) bool {
		return strings.HasPrefix(filepath.Base(fset.Position(at).Filename), "reference_")
	}
	seen := map[string]bool{}
	for ident, of := range info.Uses {
		if !reference(ident.Pos()) || of.Pkg() == nil || !strings.HasPrefix(of.Pkg().Path(), "bankyear/") || reference(of.Pos()) {
			continue
		}
		name := of.Pkg().Path() + "." + of.Name()
		switch of := of.(type) {
		case *types.Func:
			name = of.FullName()
		case *types.Var:
			if of.IsField() || of.Parent() != of.Pkg().Scope() {
				continue
			}
		default:
			continue
		}
		seen[name] = true
		assert.True(t, slices.Contains(allowed, name), "%s uses %s", fset.Position(ident.Pos()), name)
	}
	for _, name := range allowed {
		assert.True(t, seen[name], "%s is not used any more", name)
	}
}

// compiled finds the packages that these tests are compiled against.
func compiled(t *testing.T) importer.Lookup {
	t.Helper()
	list := exec.Command("go", "list", "-export", "-deps", "-test", "-f", "{{.ImportPath}}\t{{.Export}}", ".")
	var problems bytes.Buffer
	list.Stderr = &problems
	out, err := list.Output()
	require.NoError(t, err, problems.String())
	at := map[string]string{}
	for line := range strings.Lines(string(out)) {
		path, file, _ := strings.Cut(strings.TrimSpace(line), "\t")
		path, variant, _ := strings.Cut(path, " ")
		if file != "" && (variant != "" || at[path] == "") { // with export_test.go
			at[path] = file
		}
	}
	return func(path string) (io.ReadCloser, error) { return os.Open(at[path]) }
}
