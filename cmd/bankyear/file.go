package main

import (
	"io"
	"os"
	"path/filepath"

	"bankyear/api"
)

// readRequest reads a request's file, and makes the reader of the files that the
// request names, relative to its own place.
func readRequest(name string, s streams) ([]byte, *api.Cases, error) {
	if name == "-" {
		raw, err := io.ReadAll(s.in)
		return raw, &api.Cases{Open: openBeside(".")}, err
	}
	raw, err := os.ReadFile(name)
	return raw, &api.Cases{Open: openBeside(filepath.Dir(name))}, err
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
