package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"bankyear/api"
)

// readRequest reads a request's file, and makes the reader of the files that the
// request names, relative to its own place. kind is what the command takes.
func readRequest(name string, kind requestKind, s streams) ([]byte, *api.Cases, error) {
	dir := filepath.Dir(name)
	var raw []byte
	var err error
	if name == "-" {
		dir = "."
		raw, err = io.ReadAll(s.in)
	} else {
		raw, err = os.ReadFile(name)
	}
	if err != nil {
		return nil, nil, err
	}
	if is := kindOf(raw); is != "" && is != kind {
		return nil, nil, fmt.Errorf("%s is a %s, and this command takes a %s: %s", name, is, kind, takers[is])
	}
	return raw, &api.Cases{Open: openBeside(dir)}, nil
}

// requestKind is what a request asks for.
type requestKind string

const (
	oneSystem  requestKind = "system"
	comparison requestKind = "comparison"
	manyRuns   requestKind = "study"
)

var takers = map[requestKind]string{
	oneSystem:  "bankyear simulate and bankyear sheet take it",
	comparison: "bankyear compare takes it",
	manyRuns:   "bankyear study takes it",
}

// kindOf is the kind that a request has by its members, empty where they do not tell.
func kindOf(raw []byte) requestKind {
	var has map[string]json.RawMessage
	if json.Unmarshal(raw, &has) != nil {
		return ""
	}
	switch _, based := has["base"]; {
	case based && has["kind"] != nil:
		return manyRuns
	case based && has["candidates"] != nil:
		return comparison
	case !based && has["bank"] != nil:
		return oneSystem
	}
	return ""
}

func openBeside(dir string) func(string) (io.ReadCloser, error) {
	return func(name string) (io.ReadCloser, error) {
		if !filepath.IsAbs(name) {
			name = filepath.Join(dir, name)
		}
		return os.Open(name)
	}
}

// writeFile writes a file whole or not at all: a failed run leaves the old file,
// or none.
func writeFile(name string, body []byte) (err error) {
	f, err := os.CreateTemp(filepath.Dir(name), ".bankyear-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = os.Remove(f.Name())
		}
	}()
	if _, err = f.Write(body); err != nil {
		_ = f.Close()
		return err
	}
	if err = f.Chmod(0o644); err != nil {
		_ = f.Close()
		return err
	}
	if err = f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), name)
}
