package main

import (
	"context"

	"bankyear/api"
	"bankyear/api/client"
)

// at makes a client of a service, and a request that it can take of one that
// names weather files.
func at(ctx context.Context, server string, raw []byte, cases *api.Cases) (*client.Client, []byte, error) {
	c, err := client.New(server, nil)
	if err != nil {
		return nil, nil, errUsage{"--server: " + err.Error()}
	}
	raw, err = c.WithFiles(ctx, raw, cases.Open)
	return c, raw, err
}

// simulateAt has a service simulate a request; it prints and writes what simulate
// does.
func simulateAt(ctx context.Context, server string, raw []byte, cases *api.Cases, mediaType, out string, details []api.Detail, s streams) error {
	c, raw, err := at(ctx, server, raw, cases)
	if err != nil {
		return err
	}
	answer, err := c.Simulate(ctx, raw, append([]api.Detail{api.Months}, details...)...)
	if err != nil {
		return err
	}
	if out != "" {
		body, err := c.SimulateHours(ctx, raw, mediaType)
		if err != nil {
			return err
		}
		if err := writeFile(out, body); err != nil {
			return err
		}
	}
	return printYear(s.out, answer)
}

// compareAt has a service compare.
func compareAt(ctx context.Context, server string, raw []byte, cases *api.Cases, out string, details []api.Detail, s streams) error {
	c, raw, err := at(ctx, server, raw, cases)
	if err != nil {
		return err
	}
	answer, err := c.Compare(ctx, raw, details...)
	if err != nil {
		return err
	}
	if out != "" {
		book, err := c.CompareWorkbook(ctx, raw)
		if err != nil {
			return err
		}
		if err := writeFile(out, book); err != nil {
			return err
		}
	}
	return printComparison(s.out, answer)
}
