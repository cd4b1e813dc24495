package main

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// The scripts of testdata/script run the program as its users do.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"bankyear": func() { os.Exit(run(context.Background(), os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr})) },
	})
}

func TestScripts(t *testing.T) {
	weather, err := filepath.Abs("../../testdata/weather/burlington_vt_tmy3.csv.gz")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("WEATHER", weather)
			return nil
		},
		RequireExplicitExec: true,
	})
}
