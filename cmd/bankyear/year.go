package main

import (
	"cmp"
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
	p.title(cmp.Or(a.Name, "The year"))
	p.list("What it says", a.Findings)
	p.headline(&a.Figures)
	p.bands(a)
	p.months(a.Months)
	p.solar(&a.Books, &a.Figures)
	p.served(&a.Books)
	p.bank(&a.Books, &a.Figures)
	p.need(a.Need)
	p.further(a, "")
	p.list("Notes", a.Notes)
	p.list("Cautions", a.Cautions)
	p.assumed(a)
	p.linef("\nhash    %s\nengine  %s", a.Hash, a.Engine)
	return p.err
}

// chapters are the figures that are told first, in this order; what is in none of them
// comes after.
var chapters = []struct {
	heading string
	figures []string
}{
	{"Dark hours", []string{"downtime_h", "dark_nights", "outages", "longest_outage_h", "longest_outage_start", "outages_past_one_hour",
		"outages_past_four_hours", "short_outages", "sudden_stops", "sleeps", "unserved_kwh", "shed_kwh"}},
	{"Generator and grid", []string{"generator_h", "fuel_l", "generator_starts", "generator_failed_starts", "generator_low_load_h", "generator_services",
		"grid_h", "grid_kwh", "grid_cost", "grid_down_h", "kept_on_by_wrong_soc_h"}},
	{"How hard the cells are worked", []string{"years_to_80_pct", "years_by_cycles", "years_on_float", "equivalent_full_cycles", "throughput_mwh", "warranty_used_fraction",
		"daily_depth_winter_median_fraction", "daily_depth_worst_tenth_fraction", "lowest_soc_fraction", "lowest_soc_at", "charged_too_cold_h",
		"charged_too_cold_ah", "highest_charge_module_a", "lowest_cell_c", "highest_cell_c", "cycle_wear_fraction", "calendar_fade_first_year_fraction",
		"capacity_fade_per_year_fraction", "resistance_growth_per_year_fraction"}},
}

// saysNothing is true for a figure that is 0, unless its 0 is what is asked.
func saysNothing(figure string, value any) bool {
	switch figure {
	case "downtime_h", "dark_nights", "generator_h", "charged_too_cold_h":
		return false
	}
	return value == 0.0 || value == ""
}

// headline prints every figure that is one value, that the answer has and that says
// something, what matters most first.
func (p *printer) headline(f *sim.Figures) {
	rows, names := map[string][]string{}, []string{}
	for _, x := range api.FiguresOf(f) {
		if strings.Contains(x.Name, ".") || x.LeftOut || saysNothing(x.Name, x.Value) {
			continue // by cause, further down; or there is none
		}
		rows[x.Name] = []string{x.Name, shown(x.Value) + " " + x.Unit, gist(x.Doc)}
		names = append(names, x.Name)
	}
	tell := func(heading string, figures []string) {
		var chapter [][]string
		for _, name := range figures {
			if row := rows[name]; row != nil {
				chapter = append(chapter, row)
				delete(rows, name)
			}
		}
		if len(chapter) > 0 {
			p.section(heading)
			p.table(chapter)
		}
	}
	for i, c := range chapters {
		tell(c.heading, c.figures)
		if i == 0 && f.DowntimeH > 0 {
			p.section("Downtime by cause")
			p.table(byCause(f.DowntimeByCauseH, f.DowntimeH, "h"))
		}
	}
	tell("Other figures that are not 0", names)
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

// gist is the first clause of a definition; the reference has all of it. Before a colon
// may stand to what it applies alone.
func gist(doc string) string {
	if i := strings.Index(doc, ": "); i > 0 && !strings.ContainsAny(doc[:i], " ;(") {
		return doc[:i] + ": " + gist(doc[i+2:])
	}
	if i := strings.IndexAny(doc, ";(:"); i > 0 {
		doc = doc[:i]
	}
	return strings.TrimRight(doc, " .")
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
	rows := [][]string{{"month", "solar kWh", "curtailed kWh", "load kWh", "unserved kWh", "generator h", "fuel l", "dark h", "lowest SoC", "SoC off", "at most"}}
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

// bank prints where the bank's energy went, what kept it warm or cool, and how long its
// cells were at temperatures that they are charged at.
func (p *printer) bank(b *sim.Books, f *sim.Figures) {
	p.section("What the bank took and gave")
	rows := [][]string{}
	part := func(name string, kWh float64, always bool) {
		if always || kWh > 0 {
			rows = append(rows, []string{name, rounded(kWh) + " kWh"})
		}
	}
	part("charged", b.BankChargeKWh, true)
	part("discharged", b.BankDischargeKWh, true)
	part("lost in its resistance", b.BankResistiveKWh, true)
	part("lost as charge", b.BankCoulombicKWh, true)
	part("lost to hysteresis", b.BankHysteresisKWh, false)
	part("its own draw and self-discharge", b.BankDrawKWh, true)
	part("heater", b.HeaterKWh, false)
	part("  from the sun", b.HeaterSolarKWh, false)
	part("  from the generator", b.HeaterGeneratorKWh, false)
	part("  from the grid", b.HeaterGridKWh, false)
	part("  from the bank", b.HeaterBankKWh, false)
	part("fan", b.FanKWh, false)
	p.table(rows)
	p.section("Cells in the window of charge")
	whole := 0.0
	for _, h := range f.CellHByWindow {
		whole += h
	}
	p.table(byCause(f.CellHByWindow, whole, "h"))
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
