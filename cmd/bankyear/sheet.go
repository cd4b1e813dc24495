package main

import (
	"context"
	"flag"
	"io"
)

// sheet prints the settings sheet and the fit check of a system.
func sheet(ctx context.Context, args []string, s streams) error {
	flags := flag.NewFlagSet("sheet", flag.ContinueOnError)
	server := flags.String("server", "", "")
	rest, err := parse(flags, args, s)
	if err != nil {
		return err
	}
	name, err := oneFile(rest)
	if err != nil {
		return err
	}
	raw, cases, err := readRequest(name, oneSystem, s)
	if err != nil {
		return err
	}
	if *server != "" {
		c, raw, err := at(ctx, *server, raw, cases)
		if err != nil {
			return err
		}
		told, err := c.Sheet(ctx, raw)
		if err != nil {
			return err
		}
		_, err = io.WriteString(s.out, told.Text())
		return err
	}
	told, faults, _ := cases.Sheet(raw)
	if len(faults) > 0 {
		return faults
	}
	_, err = io.WriteString(s.out, told.Text())
	return err
}
