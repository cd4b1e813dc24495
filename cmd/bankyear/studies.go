package main

import (
	"context"
	"flag"
	"fmt"
	"log/slog"
	"path/filepath"
	"time"

	"bankyear/api"
)

// studyFlags are those of a service or a worker that runs studies.
type studyFlags struct {
	nats, credentials string
	replicas, workers int
	keepDays, silentS float64
}

func (s *studyFlags) add(flags *flag.FlagSet) {
	flags.StringVar(&s.nats, "nats", "", "")
	flags.StringVar(&s.credentials, "nats-credentials", "", "")
	flags.IntVar(&s.replicas, "nats-replicas", 3, "")
	flags.IntVar(&s.workers, "workers", 0, "")
	flags.Float64Var(&s.keepDays, "keep-days", 30, "")
	flags.Float64Var(&s.silentS, "silent-s", 10, "")
}

func (s *studyFlags) check() error {
	switch {
	case s.workers < -1 || s.workers > 4096:
		return errUsage{fmt.Sprintf("--workers %d is not -1 (none), 0 (one a processor) or up to 4096", s.workers)}
	case !(s.keepDays >= 0 && s.keepDays <= 36500):
		return errUsage{fmt.Sprintf("--keep-days %g is not 0 (for ever) to 36500", s.keepDays)}
	case !(s.silentS >= 1 && s.silentS <= 3600):
		return errUsage{fmt.Sprintf("--silent-s %g is not 1 to 3600", s.silentS)}
	case s.replicas < 1 || s.replicas > 5:
		return errUsage{fmt.Sprintf("--nats-replicas %d is not 1 to 5", s.replicas)}
	case s.nats == "" && s.credentials != "":
		return errUsage{"--nats-credentials goes with --nats"}
	}
	return nil
}

// open opens the studies: on NATS servers outside, or in a directory. Where there
// is none, or another process has it and nobody stated it, there are no studies.
func (s *studyFlags) open(ctx context.Context, dir string, stated bool, log *slog.Logger) (*api.Studies, error) {
	c := api.StudiesConfig{URL: s.nats, Credentials: s.credentials, Replicas: s.replicas, Workers: s.workers,
		Keep: time.Duration(s.keepDays * float64(24*time.Hour)), Silent: time.Duration(s.silentS * float64(time.Second)), Log: log}
	if dir != "" {
		c.KeysDir = filepath.Join(dir, "studies")
	}
	if s.nats == "" {
		if dir == "" {
			return nil, nil
		}
		c.Dir = c.KeysDir
	}
	studies, err := api.OpenStudies(ctx, c)
	if err != nil && s.nats == "" && !stated {
		log.Warn("no studies can be run; --data names a directory of their own", "error", err)
		return nil, nil
	}
	return studies, err
}

// serversPatience is how long a service waits for servers outside before it answers what
// needs none.
const serversPatience = 5 * time.Second

// opening is studies that are being opened.
type opening struct {
	outside bool
	done    chan struct{} // closed when what follows holds
	desk    *api.Studies
	err     error
}

// opening opens the studies beside what its caller does.
func (s *studyFlags) opening(ctx context.Context, dir string, stated bool, log *slog.Logger) *opening {
	o := &opening{outside: s.nats != "", done: make(chan struct{})}
	go func() {
		defer close(o.done)
		o.desk, o.err = s.open(ctx, dir, stated, log)
	}()
	return o
}

// wait is true when the studies are open, or cannot be. For servers outside it has
// patience, for a directory all the time that it takes.
func (o *opening) wait() bool {
	var late <-chan time.Time
	if o.outside {
		late = time.After(serversPatience)
	}
	select {
	case <-o.done:
		return true
	case <-late:
		return false
	}
}

// close waits until the studies are open or given up, and closes them.
func (o *opening) close() {
	<-o.done
	if o.desk != nil {
		o.desk.Close()
	}
}

// work computes runs of studies for NATS servers outside until the context ends.
func work(ctx context.Context, args []string, s streams) error {
	flags := flag.NewFlagSet("worker", flag.ContinueOnError)
	var studies studyFlags
	studies.add(flags)
	rest, err := parse(flags, args, s)
	if err != nil {
		return err
	}
	if err := studies.check(); err != nil {
		return err
	}
	switch {
	case len(rest) > 0:
		return errUsage{fmt.Sprintf("worker takes no %q", rest[0])}
	case studies.nats == "":
		return errUsage{"--nats is missing: the servers to work for"}
	case studies.workers < 0:
		return errUsage{"a worker without workers does nothing"}
	}
	studies.keepDays = 0 // the services say how long
	desk, err := studies.open(ctx, "", true, slog.New(slog.NewTextHandler(s.err, nil)))
	switch {
	case err != nil && ctx.Err() != nil:
		return nil // ended before the servers were there
	case err != nil:
		return err
	}
	defer desk.Close()
	fmt.Fprintln(s.out, "bankyear works")
	<-ctx.Done()
	return nil
}
