package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"

	"bankyear/api"
)

// Limits of the connections. A body of 64 MiB takes a minute at 9 Mbit/s.
const (
	headerTimeout   = 10 * time.Second
	readTimeout     = 60 * time.Second
	writeTimeout    = 120 * time.Second
	idleTimeout     = 120 * time.Second
	shutdownTimeout = 15 * time.Second
	headerBytes     = 64 << 10
)

// serve answers over HTTP until the context ends, then lets the requests in
// flight finish.
func serve(ctx context.Context, args []string, s streams) error {
	flags := flag.NewFlagSet("serve", flag.ContinueOnError)
	listen := flags.String("listen", "127.0.0.1:8080", "")
	data := flags.String("data", "", "")
	limit := flags.Float64("data-gb", 8, "")
	var origins []string
	flags.Func("allow-origin", "", func(origin string) error {
		origins = append(origins, origin)
		return api.CheckOrigin(origin)
	})
	var studies studyFlags
	studies.add(flags)
	rest, err := parse(flags, args, s)
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return errUsage{fmt.Sprintf("serve takes no %q", rest[0])}
	}
	if !(*limit > 0 && *limit <= 1e6) {
		return errUsage{fmt.Sprintf("--data-gb %g is not above 0 and at most 1000000", *limit)}
	}
	if err := studies.check(); err != nil {
		return err
	}
	log := slog.New(slog.NewTextHandler(s.err, nil))
	listener, err := net.Listen("tcp", *listen) // here, so that a port in use is said before anything else
	if err != nil {
		return err
	}
	disk, dir, err := openStore(*data, int64(*limit*1e9), log)
	if err != nil {
		return errors.Join(err, listener.Close())
	}
	coming := studies.opening(ctx, dir, *data != "", log)
	defer coming.close()
	config := api.Config{Log: log, Store: disk, AllowOrigins: origins}
	if !coming.wait() {
		log.Warn("the servers that keep the studies are not reached yet; all else is answered")
		config.StudiesFollow = true
	} else if config.Studies = coming.desk; coming.err != nil {
		if ctx.Err() != nil {
			return listener.Close() // ended before it began
		}
		return errors.Join(coming.err, listener.Close())
	}
	service := api.New(config)
	server := &http.Server{
		Handler: service, ReadHeaderTimeout: headerTimeout, ReadTimeout: readTimeout, WriteTimeout: writeTimeout,
		IdleTimeout: idleTimeout, MaxHeaderBytes: headerBytes, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}
	fmt.Fprintf(s.out, "bankyear listens on http://%s\n", listener.Addr())
	ended := make(chan error, 2)
	go func() { ended <- server.Serve(listener) }()
	if config.StudiesFollow {
		go func() {
			switch <-coming.done; {
			case coming.err == nil:
				service.RunStudies(coming.desk)
				log.Info("studies can be run now")
			case ctx.Err() == nil:
				ended <- coming.err
			}
		}()
	}
	select {
	case err := <-ended:
		return errors.Join(err, server.Close())
	case <-ctx.Done():
	}
	log.Info("closing")
	service.Close()
	last, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTimeout)
	defer cancel()
	if err := server.Shutdown(last); err != nil {
		return fmt.Errorf("requests in flight did not end: %w", err)
	}
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}
