package main

import (
	"cmp"
	"context"
	"flag"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"bankyear/api"
)

// compare runs the candidates of a comparison and prints them side by side.
func compare(ctx context.Context, args []string, s streams) error {
	flags := flag.NewFlagSet("compare", flag.ContinueOnError)
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
	if *out != "" && !strings.EqualFold(filepath.Ext(*out), ".xlsx") {
		return errUsage{fmt.Sprintf("--out %q does not end in .xlsx", *out)}
	}
	details, err := detailsOf(*list, *out)
	if err != nil {
		return err
	}
	raw, cases, err := readRequest(name, comparison, s)
	if err != nil {
		return err
	}
	if *server != "" {
		return compareAt(ctx, *server, raw, cases, *out, details, s)
	}
	if *out != "" {
		c, book, err := cases.CompareWorkbook(raw, details...)
		if err != nil {
			return err
		}
		if err := writeFile(*out, book); err != nil {
			return err
		}
		return printComparison(s.out, c)
	}
	c, faults := cases.Compare(raw, details...)
	if len(faults) > 0 {
		return faults
	}
	return printComparison(s.out, c)
}

// nothing is true for a figure that says nothing of any candidate.
func nothing(row api.FigureRow) bool {
	for _, v := range row.Values {
		if !saysNothing(row.Figure, v) {
			return false
		}
	}
	return true
}

// cell is a figure of a candidate: as a range where the year is chaotic.
func cell(row api.FigureRow, candidate string) string {
	if text := row.Shown[candidate]; text != "" {
		if row.Unit != "" { // it has a column of its own
			text = strings.Replace(text, " "+row.Unit, "", 1)
		}
		return text
	}
	return shown(row.Values[candidate])
}

func printComparison(out io.Writer, c *api.Comparison) error {
	p := printer{w: out}
	p.title(cmp.Or(c.Name, c.Candidates[0].Answer.Name))
	p.linef("%s", c.Verdict.Title)
	p.list("Why", c.Verdict.Words)
	p.section("Figures")
	t := tabwriter.NewWriter(&p, 0, 0, 2, ' ', 0)
	fmt.Fprint(t, "figure\tunit")
	for _, x := range c.Candidates {
		fmt.Fprintf(t, "\t%s", x.Candidate)
	}
	for _, x := range c.Candidates[1:] {
		fmt.Fprintf(t, "\t%s against %s", x.Candidate, c.Reference)
	}
	fmt.Fprintln(t)
	for _, row := range c.Figures {
		if nothing(row) {
			continue
		}
		fmt.Fprintf(t, "%s\t%s", row.Figure, row.Unit)
		for _, x := range c.Candidates {
			fmt.Fprintf(t, "\t%s", cell(row, x.Candidate))
		}
		for _, x := range c.Candidates[1:] {
			fmt.Fprintf(t, "\t%s", row.Words[x.Candidate])
		}
		fmt.Fprintln(t)
	}
	t.Flush()
	if m := c.ManyYears; m != nil {
		p.list(fmt.Sprintf("%d further years", len(m.Years)), m.Words)
	}
	for _, x := range c.Candidates {
		p.list("What "+x.Candidate+" says", x.Answer.Findings)
		p.further(x.Answer, x.Candidate+": ")
	}
	p.list("Notes", c.Notes)
	p.list("Cautions", c.Cautions)
	p.section("Hashes")
	for _, x := range c.Candidates {
		p.linef("%s  %s", x.Answer.Hash, x.Candidate)
	}
	p.linef("engine %s", c.Engine)
	return p.err
}
