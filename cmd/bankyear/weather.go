package main

import (
	"flag"
	"fmt"
	"io"
	"net/url"
	"os"
	"strings"

	"bankyear/api"
	"bankyear/weather"
)

// checkWeather reads a weather file and prints whether it can be trusted.
func checkWeather(args []string, s streams) error {
	rest, err := parse(flag.NewFlagSet("weather", flag.ContinueOnError), args, s)
	if err != nil {
		return err
	}
	if len(rest) == 0 {
		return errUsage{"FILE is missing"}
	}
	options, err := readOptions(rest[1:])
	if err != nil {
		return err
	}
	var in io.Reader = s.in
	if rest[0] != "-" {
		f, err := os.Open(rest[0])
		if err != nil {
			return err
		}
		defer f.Close()
		in = f
	}
	p := printer{w: s.out}
	years := 0
	err = weather.ReadYears(in, options, func(r *weather.Reading) {
		if years++; years > 1 {
			p.linef("")
		}
		p.weather(api.DescribeWeather(r))
	})
	if err != nil {
		return err
	}
	return p.err
}

// readOptions reads arguments such as site.latitude_deg=44.5: what the file does
// not say of itself, by the names that the service takes in a query.
func readOptions(args []string) (weather.ReadOptions, error) {
	query := url.Values{}
	for _, a := range args {
		name, value, ok := strings.Cut(a, "=")
		if !ok {
			return weather.ReadOptions{}, errUsage{fmt.Sprintf("%q is not member=value", a)}
		}
		query.Add(name, value)
	}
	o, faults := api.WeatherOptions(query)
	if len(faults) > 0 {
		return o, faults
	}
	return o, nil
}

// weather prints what was read, and the checks.
func (p *printer) weather(w *api.StoredWeather) {
	p.title(fmt.Sprintf("%s, %d: %s", w.Format, w.CalendarYear, w.Verdict))
	p.table([][]string{
		{"site", fmt.Sprintf("latitude %g°, longitude %g°, %g m, UTC offset %g h", w.Site.LatitudeDeg, w.Site.LongitudeDeg, w.Site.ElevationM, w.Site.UTCOffsetH)},
		{"coverage", fmt.Sprintf("%s to %s, %d intervals of %d s", w.From, w.To, w.Rows, w.StepS)},
		{"columns", strings.Join(w.Columns, ", ")},
		{"hash", w.Hash},
	})
	for _, c := range w.Quality.Checks {
		p.check(&c)
	}
	var filled, assumed [][]string
	for _, f := range w.Filled {
		filled = append(filled, []string{f.Member, f.Rule, fmt.Sprintf("%d samples", f.Samples)})
	}
	for _, a := range w.Assumed {
		assumed = append(assumed, []string{a.Member, given(a.Value), a.Basis})
	}
	for _, list := range []struct {
		heading string
		rows    [][]string
	}{{"Filled", filled}, {"Assumed", assumed}} {
		if len(list.rows) > 0 {
			p.section(list.heading)
			p.table(list.rows)
		}
	}
}

// check prints one check: the verdict, what was found, by which rule, and where
// it is worst.
func (p *printer) check(c *weather.QualityCheck) {
	p.linef("\n%s: %s", c.Name, words(c.Verdict))
	p.linef("  %s", c.Message)
	p.linef("  %s", c.Rule)
	var rows [][]string
	for _, w := range c.Worst {
		rows = append(rows, []string{"  " + w.Start, w.Member, given(w.Value) + " " + w.Unit, "allowed " + w.Allowed})
	}
	p.table(rows)
	rows = nil
	for _, m := range c.Months {
		if m.Verdict != weather.VerdictPass {
			rows = append(rows, []string{fmt.Sprintf("  month %d", m.Month), words(m.Verdict), fmt.Sprintf("%+.0f min", m.ShiftM)})
		}
	}
	p.table(rows)
}

func words(verdict string) string { return strings.ReplaceAll(verdict, "_", " ") }
