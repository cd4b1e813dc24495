package main

import (
	"context"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"bankyear/api"
)

// The scripts of testdata/script run the program as its users do.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"bankyear": func() { os.Exit(run(context.Background(), os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr})) },
		"natsnode": runNode,
	})
}

func TestScripts(t *testing.T) {
	open, err := filepath.Abs("../../testdata/weather")
	if err != nil {
		t.Fatal(err)
	}
	studies, err := api.OpenStudies(t.Context(), api.StudiesConfig{Dir: t.TempDir(), Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(studies.Close)
	server := httptest.NewServer(api.New(api.Config{Studies: studies}))
	t.Cleanup(server.Close) // the scripts run in parallel, after this returns
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("SERVER", server.URL)
			e.Setenv("WEATHER", filepath.Join(open, "burlington_vt_tmy3.csv.gz"))
			e.Setenv("FAULTY", filepath.Join(open, "honolulu_hi_tmy3.csv.gz"))
			return nil
		},
		RequireExplicitExec: true,
	})
}
