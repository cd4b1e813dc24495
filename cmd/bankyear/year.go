package main

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"bankyear/api"
	"bankyear/sim"
	"bankyear/weather"
)

// printYear prints an answer for people.
func printYear(out io.Writer, a *api.Answer) error {
	p := printer{w: out}
	p.title(a.Name)
	p.headline(&a.Figures)
	p.bands(a)
	p.downtime(&a.Figures)
	p.months(a.Months)
	p.solar(&a.Books, &a.Figures)
	p.served(&a.Books)
	p.need(a.Need)
	p.list("What it says", a.Findings)
	p.further(a, "")
	p.assumed(a)
	p.list("Notes", a.Notes)
	p.list("Cautions", a.Cautions)
	p.linef("\nhash    %s\nengine  %s", a.Hash, a.Engine)
	return p.err
}

// headline prints every figure that is one value and that the answer has.
func (p *printer) headline(f *sim.Figures) {
	p.linef("Figures of the year")
	var rows [][]string
	for _, x := range api.FiguresOf(f) {
		if strings.Contains(x.Name, ".") || x.LeftOut || x.Value == "" {
			continue // by cause, further down; or there is none
		}
		rows = append(rows, []string{x.Name, shown(x.Value) + " " + x.Unit, gist(x.Doc)})
	}
	p.table(rows)
}

// bands prints the figures that a chaotic year has as ranges.
func (p *printer) bands(a *api.Answer) {
	b := a.Bands
	switch {
	case b == nil:
		return
	case !b.Chaotic:
		p.list("Ranges", []string{"No generator, shedding or darkness decides this year: its figures stand as they are."})
		return
	}
	p.section(fmt.Sprintf("Ranges, of %d years with a load within %s of the load", b.Members, share(b.LoadSpread, 1)))
	var rows [][]string
	for _, x := range api.FiguresOf(&a.Figures) {
		if f, told := b.Figures[x.Name]; told && f.Low < f.High {
			rows = append(rows, []string{x.Name, f.Words})
		}
	}
	if len(rows) == 0 {
		rows = [][]string{{"every figure is the same in all of them"}}
	}
	p.table(rows)
}

// gist is the first clause of a definition; the reference has all of it.
func gist(doc string) string {
	if i := strings.IndexAny(doc, ";(:"); i > 0 {
		doc = doc[:i]
	}
	return strings.TrimRight(doc, " .")
}

func (p *printer) downtime(f *sim.Figures) {
	p.section("Downtime by cause")
	rows := byCause(f.DowntimeByCauseH, f.DowntimeH, "h")
	if len(rows) == 0 {
		rows = [][]string{{"none"}}
	}
	p.table(rows)
}

// byCause lists what is not zero, the largest first, with its share.
func byCause(values map[string]float64, whole float64, unit string) [][]string {
	names := slices.SortedFunc(maps.Keys(values), func(a, b string) int {
		switch {
		case values[a] > values[b]:
			return -1
		case values[a] < values[b]:
			return 1
		}
		return strings.Compare(a, b)
	})
	var rows [][]string
	for _, n := range names {
		if values[n] > 0 {
			rows = append(rows, []string{n, rounded(values[n]) + " " + unit, share(values[n], whole)})
		}
	}
	return rows
}

func share(part, whole float64) string {
	if whole == 0 {
		return ""
	}
	return fmt.Sprintf("%.1f %%", 100*part/whole)
}

func (p *printer) months(months []sim.Month) {
	p.section("Months")
	rows := [][]string{{"month", "solar kWh", "curtailed", "load kWh", "unserved", "generator h", "fuel l", "dark h", "lowest SoC", "SoC off", "at most"}}
	for _, m := range months {
		rows = append(rows, []string{
			fmt.Sprint(m.Month), whole(m.Books.SolarAvailableKWh), whole(m.Books.CurtailedKWh), whole(m.Books.LoadKWh),
			rounded(m.Books.UnservedKWh), rounded(m.GeneratorH), rounded(m.FuelL), rounded(m.DowntimeH), fmt.Sprintf("%.2f", m.LowestSoC),
			fmt.Sprintf("%.2f", m.SoCErrorMean), fmt.Sprintf("%.2f", m.SoCErrorMax),
		})
	}
	p.numbers(rows)
}

func whole(x float64) string { return fmt.Sprintf("%.0f", x) }

// solar prints where the solar energy went.
func (p *printer) solar(b *sim.Books, f *sim.Figures) {
	p.section("Where the solar went")
	part := func(name string, kWh float64) []string {
		return []string{name, rounded(kWh) + " kWh", share(kWh, b.SolarAvailableKWh)}
	}
	rows := [][]string{
		part("available", b.SolarAvailableKWh), part("to load", b.SolarToLoadKWh), part("to bank", b.SolarToBankKWh),
		part("charger loss", b.SolarLossKWh), part("curtailed", b.CurtailedKWh),
	}
	for _, r := range byCause(f.CurtailedByCause, b.SolarAvailableKWh, "kWh") {
		rows = append(rows, append([]string{"  " + r[0]}, r[1:]...))
	}
	p.table(rows)
}

// served prints what served the load.
func (p *printer) served(b *sim.Books) {
	p.section("What served the load")
	part := func(name string, kWh float64) []string {
		return []string{name, rounded(kWh) + " kWh", share(kWh, b.LoadKWh)}
	}
	p.table([][]string{
		part("demand", b.LoadKWh), part("sun", b.LoadFromSolarKWh), part("bank", b.LoadFromBankKWh),
		part("generator", b.LoadFromGeneratorKWh), part("not served", b.UnservedKWh),
	})
}

// need prints what array and load ask of a store.
func (p *printer) need(n *weather.Need) {
	if n == nil {
		return
	}
	p.section("What array and load ask of a store")
	rows := [][]string{{"storage", rounded(n.StorageKWh) + " kWh", "largest shortfall of the array, nights included"},
		{"autonomy", rounded(n.AutonomyD) + " d", "that in mean days of load"}}
	if s := &n.Spell; s.Start != "" {
		rows = append(rows, []string{"dark spell", fmt.Sprintf("%d d", s.Days), fmt.Sprintf("from %s: %s kWh less than the load", s.Start, rounded(s.DeficitKWh))})
	}
	p.table(rows)
}

// assumed prints what nobody stated.
func (p *printer) assumed(a *api.Answer) {
	p.section("Assumed")
	var rows [][]string
	for _, x := range a.Assumed {
		rows = append(rows, []string{x.Pointer, strings.TrimSpace(given(x.Value) + " " + x.Unit), x.Basis})
	}
	p.table(rows)
	if len(a.Catalogue) == 0 {
		return
	}
	p.section("From the catalogue")
	rows = nil
	for _, x := range a.Catalogue {
		changed := "unchanged"
		if len(x.Overrides) > 0 {
			changed = "changed: " + strings.Join(x.Overrides, ", ")
		}
		rows = append(rows, []string{x.Pointer, x.Key, changed})
	}
	p.table(rows)
}
