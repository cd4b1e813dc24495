package main

import (
	"cmp"
	"fmt"
	"io"
	"strings"

	"bankyear/api"
)

// mostPrinted rows of a list are printed; the table of runs has all.
const mostPrinted = 20

// asked is what a study is called and what its candidates differ in.
type asked struct {
	name  string
	paths []string
}

// printStudy prints what the runs of a study say.
func printStudy(out io.Writer, s *asked, x *api.RunsSummary) error {
	p := printer{w: out}
	p.title(cmp.Or(s.name, "Study"))
	p.linef("%d runs", x.Runs)
	if x.Faulty > 0 {
		p.linef("%d of them could not be simulated: the column fault says why", x.Faulty)
	}
	p.section("Over all runs")
	rows := [][]string{{"figure", "unit", "lowest", "in run", "highest", "in run", "mean"}}
	for _, f := range x.Figures {
		rows = append(rows, []string{f.Figure, f.Unit, rounded(f.Lowest), fmt.Sprint(f.LowestRun), rounded(f.Highest), fmt.Sprint(f.HighestRun), rounded(f.Mean)})
	}
	p.table(rows)
	p.frontier(s, x)
	p.ranking(x)
	for i, c := range x.Candidates {
		if i == mostPrinted {
			p.linef("\n%d more candidates", len(x.Candidates)-i)
			break
		}
		p.candidate(s, &c)
	}
	p.list("Notes", x.Notes)
	p.list("Cautions", api.Cautions)
	return p.err
}

// candidate prints a candidate over its members.
func (p *printer) candidate(s *asked, c *api.CandidateYears) {
	var parts []string
	for i, path := range s.paths {
		parts = append(parts, path+" "+given(c.Values[i]))
	}
	p.section("Candidate " + fmt.Sprint(c.Candidate) + ": " + cmp.Or(strings.Join(parts, ", "), "the base"))
	rows := [][]string{{"figure", "unit", "P10", "P50", "P90", "P99", "", "in words"}}
	for _, f := range c.Figures {
		row := []string{f.Figure, f.Unit}
		for _, q := range f.Percentiles {
			row = append(row, rounded(q.Value))
		}
		rows = append(rows, append(row, map[bool]string{true: "converged", false: "not converged"}[f.Converged], f.Words))
	}
	p.table(rows)
	if c.DarkFree != "" {
		p.linef("  %s", c.DarkFree)
	}
}

// frontier prints the systems of a sizing that meet its limits.
func (p *printer) frontier(s *asked, x *api.RunsSummary) {
	z := x.Sizing
	if z == nil {
		return
	}
	p.section(fmt.Sprintf("Smallest systems that meet the limits, of %d", z.Of))
	if len(z.Frontier) == 0 {
		p.linef("  none does")
		return
	}
	rows := [][]string{append(append([]string{"candidate"}, s.paths...), "price", "years met")}
	for i, c := range z.Frontier {
		if i == mostPrinted {
			rows = append(rows, []string{fmt.Sprintf("%d more", len(z.Frontier)-i)})
			break
		}
		price := ""
		if c.Price != nil {
			price = rounded(*c.Price)
		}
		if z.Cheapest != nil && *z.Cheapest == c.Candidate {
			price += " (lowest)"
		}
		row := []string{fmt.Sprint(c.Candidate)}
		for _, v := range c.Values {
			row = append(row, given(v))
		}
		rows = append(rows, append(row, price, fmt.Sprintf("%d of %d", c.YearsMet, c.YearsJudged)))
	}
	p.table(rows)
}

// ranking prints what the figures depend on.
func (p *printer) ranking(x *api.RunsSummary) {
	for _, r := range x.Ranking {
		p.section("What " + r.Figure + " depends on")
		rows := [][]string{{"axis", "moves it by " + r.Unit, "first", "total"}}
		shares := map[string][]string{}
		for _, v := range r.Sensitivities {
			shares[v.Path] = []string{fmt.Sprintf("%.2f (%.2f–%.2f)", v.First, v.FirstLow, v.FirstHigh), fmt.Sprintf("%.2f (%.2f–%.2f)", v.Total, v.TotalLow, v.TotalHigh)}
		}
		for _, swing := range r.Swings {
			rows = append(rows, append([]string{swing.Path, rounded(swing.Swing)}, shares[swing.Path]...))
		}
		p.table(rows)
	}
}
