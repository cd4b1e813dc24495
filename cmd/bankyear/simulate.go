package main

import (
	"context"
	"flag"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"bankyear/api"
	"bankyear/api/media"
)

// mediaTypes are the files that simulate writes, by extension.
var mediaTypes = map[string]string{".parquet": media.Parquet, ".csv": media.CSV, ".json": media.JSON, ".arrows": media.Arrow}

// simulate runs one year, prints it, and writes its hours when asked.
func simulate(ctx context.Context, args []string, s streams) error {
	flags := flag.NewFlagSet("simulate", flag.ContinueOnError)
	out := flags.String("out", "", "")
	server := flags.String("server", "", "")
	list := flags.String("detail", "", "")
	rest, err := parse(flags, args, s)
	if err != nil {
		return err
	}
	name, err := oneFile(rest)
	if err != nil {
		return err
	}
	mediaType, known := mediaTypes[strings.ToLower(filepath.Ext(*out))]
	if *out != "" && !known {
		return errUsage{fmt.Sprintf("--out %q ends in none of .parquet, .csv, .json, .arrows", *out)}
	}
	details, err := detailsOf(*list, *out)
	if err != nil {
		return err
	}
	raw, cases, err := readRequest(name, oneSystem, s)
	if err != nil {
		return err
	}
	if *server != "" {
		return simulateAt(ctx, *server, raw, cases, mediaType, *out, details, s)
	}
	c, faults, _ := cases.Read(raw)
	if len(faults) > 0 {
		return faults
	}
	year := c.Plan().Run(*out != "" || slices.ContainsFunc(details, api.Detail.NeedsHours))
	if *out != "" {
		body, err := api.Encode(c, year, mediaType, api.Hours)
		if err != nil {
			return err
		}
		if err := writeFile(*out, body); err != nil {
			return err
		}
	}
	a := api.Tell(ctx, c, year, append([]api.Detail{api.Months}, details...)...)
	if a == nil {
		return ctx.Err()
	}
	return printYear(s.out, a)
}
