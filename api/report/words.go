package report

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// words are the titles and notes of the report, in English; heads of tables stand
// with their tables, and what the engine says comes as it is.
var words = struct {
	report, foot, untitled, twoBanks, oneBank         string
	darkAYear, inShort, sideBySide                    string
	figure, difference, beforeRounding                string
	typicalYear, yearsTitle, reliefsTitle             string
	reliefsNote, aloneTitle, causesTitle, gridTitle   string
	gridNote, socTitle, socNote, servedTitle          string
	solarTitle, monthsNote, refusedTitle, cellsTitle  string
	cellsNote, weekTitle, outagesTitle, noOutages     string
	findingsTitle, settingsTitle, wakeTitle, fitTitle string
	inputsTitle, differsTitle, assumedTitle           string
	assumedNote, againTitle, weatherTitle             string
	cautionsTitle, notesTitle, voltage, current, soc  string
	yearsNote, verdictTitle, reserveTitle, moneyTitle string
	pageOf                                            func(n int) string
}{
	report:         "report of a simulated year",
	foot:           "A simulation is no design approval. Local codes and licensed practice decide.",
	untitled:       "A stand-alone power system",
	twoBanks:       "Battery banks on one site, one year of sun and load, side by side",
	oneBank:        "A battery bank on its site, one year of sun and load",
	darkAYear:      "dark in the year",
	inShort:        "In short",
	sideBySide:     "The figures",
	figure:         "Figure",
	difference:     "B against A",
	beforeRounding: "Differences are taken before the figures are rounded.",
	typicalYear:    "One typical year has no bad winter in it: expect darker years.",
	yearsTitle:     "Twenty years behind it",
	yearsNote:      "Made from the monthly means of this weather, each year with other days; every full square is a year, the open one the year of this report. Whether that one is darker or milder than most is chance of the file: its months stand for many years, its days do not. No month of these is darker as a whole than in the file; a real bad winter is.",
	verdictTitle:   "What it rests on",
	reserveTitle:   "What is in reserve",
	moneyTitle:     "What it costs",
	reliefsTitle:   "What each limit costs",
	reliefsNote:    "The year again with one limit lifted or one thing bought: hours of darkness saved (to the right) or added (to the left).",
	aloneTitle:     "With somebody there, and with nobody",
	causesTitle:    "Why it is dark",
	gridTitle:      "When it is dark",
	gridNote:       "Hours of darkness in the year by month and time of day.",
	socTitle:       "State of charge through the year",
	socNote:        "From the lowest to the highest of each day. Marks below a curve are days with darkness.",
	servedTitle:    "What served the load",
	solarTitle:     "Where the solar went",
	monthsNote:     "kWh a month, the banks beside each other in their order.",
	refusedTitle:   "Why sun was not taken",
	cellsTitle:     "Cell temperature",
	cellsNote:      "Coldest and warmest hour of each day. Outside the dotted lines the cells take no charge.",
	weekTitle:      "The worst week, hour by hour",
	outagesTitle:   "The longest outages",
	noOutages:      "None in this year.",
	findingsTitle:  "What the figures say",
	settingsTitle:  "What to program",
	wakeTitle:      "How a bank that sleeps after over-discharge would be woken",
	fitTitle:       "Do the parts fit each other?",
	inputsTitle:    "What was stated",
	differsTitle:   "In what the banks differ",
	assumedTitle:   "What was assumed",
	assumedNote:    "Nobody stated these. Each can be stated instead.",
	againTitle:     "To make this again",
	weatherTitle:   "Weather",
	cautionsTitle:  "Cautions",
	notesTitle:     "How to read this",
	voltage:        "Voltage at the bank, V",
	current:        "Charge current of the bank, A; dotted: its ceiling",
	soc:            "State of charge, %",
	pageOf:         func(n int) string { return "page " + strconv.Itoa(n) + " of " + pages },
}

var bankWord = "Bank "

// title is what stands at the head of the report.
func (r *Report) title() string {
	if r.Title == "" {
		return words.untitled
	}
	return r.Title
}

// inShort says a year in plain words.
func (r *Report) inShort(i int) string {
	f, q := &r.Banks[i].Year.Figures, r.Units.quantity
	var s []string
	say := func(format string, args ...any) { s = append(s, fmt.Sprintf(format, args...)) }
	subject := "The site"
	if len(r.Banks) > 1 {
		subject = "With bank " + letters[i] + " the site"
	}
	switch {
	case f.DowntimeH == 0:
		say("%s is never dark in this year.", subject)
	case f.Outages+f.ShortOutages == 1:
		say("%s is dark once in this year, for %s from %s.", subject, q(f.LongestOutageH, "h"), stamp(f.LongestOutageStart))
	default:
		say("%s is dark for about %s, on %s; the longest outage lasts %s and begins on %s.", subject, q(f.DowntimeH, "h"), count(f.DarkNights, "night"), q(f.LongestOutageH, "h"), stamp(f.LongestOutageStart))
	}
	if f.GeneratorH > 0 {
		say("The generator runs %s, starts %s and burns %s.", q(f.GeneratorH, "h"), count(f.GeneratorStarts, "time"), q(f.FuelL, "l"))
	}
	if f.GridH > 0 {
		say("The site is on the grid for %s and takes %s from it.", q(f.GridH, "h"), q(f.GridKWh, "kWh"))
	}
	say("The sun serves %s of the load that is served.", percent(f.SolarFraction))
	if f.YearsTo80Pct > 0 {
		say("At this pace the cells keep 80 %% of their capacity for about %s.", count(int(f.YearsTo80Pct+0.5), "year"))
	}
	if float := f.YearsOnFloat; float > 0 && (f.YearsByCycles == 0 || float < f.YearsByCycles) {
		say("At the temperatures of this year the float life of the plates is over after about %s.", count(int(float+0.5), "year"))
	} else if f.YearsByCycles > 0 {
		say("At this pace the cycle life of the cells is used up after about %s.", count(int(f.YearsByCycles+0.5), "year"))
	}
	if f.ChargedTooColdH > 0 {
		say("The cells were charged with more than they allow in the cold for %s: that is damage.", q(f.ChargedTooColdH, "h"))
	}
	return strings.Join(s, " ")
}

// yearsSay says in words how dark other years are.
func yearsSay(i, banks int, sorted []float64, typical float64) string {
	subject := "The site is"
	if banks > 1 {
		subject = "With bank " + letters[i] + " the site is"
	}
	n := len(sorted)
	none, darker := 0, 0
	for _, h := range sorted {
		if h < typical {
			darker++
		}
		if h < 0.05 {
			none++
		}
	}
	if none == n {
		return fmt.Sprintf("%s dark in none of %d years.", subject, n)
	}
	last := fmt.Sprintf("no dark hour in %d of %d years", none, n)
	if none == 0 {
		last = fmt.Sprintf("every one of %d years has dark hours", n)
	}
	return fmt.Sprintf("%s dark for %s to %s h a year, %s h in the middle one; %s. The year of this report is darker than %s of them.", subject, round(sorted[0]), round(sorted[n-1]), round((sorted[(n-1)/2]+sorted[n/2])/2), last, some(darker, n))
}

// some says how many of so many.
func some(n, of int) string {
	switch n {
	case 0:
		return "none"
	case of:
		return "all"
	}
	return strconv.Itoa(n)
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

// stamp is a local time of an answer for people.
func stamp(at string) string {
	t, err := time.Parse("2006-01-02T15:04:05", at)
	if err != nil {
		return at
	}
	return t.Format("2 January, 15:04")
}

// named are the words for the names of causes and reasons that are not plain.
var named = map[string]string{
	"empty": "bank empty", "sudden_stop": "sudden stop", "charge_trip": "charge trip took the load", "link_loss": "link lost", "asleep": "bank asleep",
	"over_current": "too much current", "inrush": "motor did not start", "inverter_limit": "inverter too small", "bank_full": "bank full", "voltage_taper": "voltage limit",
	"charger_limit": "charger too small", "module_out": "a module out of service", "charge_blocked_cold": "cells too cold to charge", "charge_blocked_hot": "cells too hot to charge",
	"generator_failed": "a generator that did not start", "no_fuel": "a generator without fuel", "no_start_hours": "a generator that might not start at that hour",
	"estimate_wrong": "a wrong estimate of the state of charge", "settings": "settings that keep chargers or the generator back", "grid_outage": "an outage of the grid", "ceiling": "limits on the charge", "low_sun": "little sun",
	"visit": "somebody who came", "reset": "somebody who reset it", "link_back": "link that came back", "disconnect_closed": "disconnect that closed", "cells_in_window": "temperature of the cells", "bus_in_window": "voltage that fell",
	"load_fell": "less load", "voltage_recovered": "voltage that recovered", "restart": "inverter's restart", "year_end": "nothing in this year",
}

func word(name string) string {
	if w, ok := named[name]; ok {
		return w
	}
	return strings.ReplaceAll(name, "_", " ")
}

// headline are the figures that a quote uses, with their names on paper.
var headline = []struct{ figure, name string }{
	{"downtime_h", "Dark hours"}, {"dark_nights", "Dark nights"}, {"outages", "Outages over 5 min"}, {"longest_outage_h", "Longest outage"}, {"unserved_kwh", "Energy not served, flexible load included"},
	{"generator_h", "Generator hours"}, {"generator_starts", "Generator starts"}, {"fuel_l", "Fuel"}, {"grid_h", "Hours on the grid"}, {"grid_kwh", "Taken from the grid"}, {"load_met_by_solar_fraction", "Load met by the sun"},
	{"curtailed_kwh", "Sun not taken"}, {"lowest_soc_fraction", "Lowest state of charge"}, {"equivalent_full_cycles", "Full cycles"}, {"throughput_mwh", "Energy through the bank"},
	{"cycle_wear_fraction", "Cycle life used"}, {"years_to_80_pct", "Years to 80 % of capacity"}, {"years_by_cycles", "Years by cycle life"}, {"years_on_float", "Years by float life"}, {"charged_too_cold_h", "Charged too cold (damage)"}, {"lowest_cell_c", "Coldest cells"}, {"link_down_h", "Data link down"},
}
