// Command bankyear simulates a year of a stand-alone power system: from the
// command line, or as a service over HTTP.
package main

import (
	"context"
	"io"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	code := run(ctx, os.Args[1:], streams{os.Stdin, os.Stdout, os.Stderr})
	stop()
	os.Exit(code)
}

// streams are those of the process, or of a test.
type streams struct {
	in       io.Reader
	out, err io.Writer
}
