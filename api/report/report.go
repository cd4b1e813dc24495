// Package report writes what the customer gets on paper: a PDF with the answer in
// plain words, the figures, charts as vectors, what to program, what was assumed,
// and what is needed to make it again.
//
// The same report gives the same bytes: it holds no clock.
package report

import (
	"bytes"
	"fmt"
	"time"

	"bankyear/sim"
	"bankyear/sim/advice"
	"bankyear/sim/cost"
	"bankyear/sim/fault"
)

// MostBanks is how many banks stand side by side on a sheet of paper.
const MostBanks = 4

// Report is everything that is printed.
type Report struct {
	Title  string // what the customer calls the system; "" for none
	Engine string
	Paper  Paper
	Units  Units
	Banks  []Bank // 1 to MostBanks, of the same year and step
	// Verdict says in words which bank and why, the first in one sentence.
	Verdict []string
	// Years are the dark hours by bank in other years with the same monthly means,
	// sorted; none when there are none.
	Years [][]float64
	// Inputs are those that were stated; Differs those that are not the same in all
	// banks, with a value for each.
	Inputs, Differs []Line
	Assumed         []Assumed
	Weather         []string // what the weather is and where it comes from
	Notes, Cautions []string
}

// Bank is one candidate with its year.
type Bank struct {
	Title        string // what it is in a few words
	Hash         string
	CalendarYear int
	StepS        int
	Year         *sim.Year // with its hours
	Findings     []string
	Sheet        advice.Sheet
	Fit          []advice.Finding
	Wake         []string // how it would be woken, a sentence a chain
	// ChargeColdC and ChargeHotC are the ends of the charge window, °C.
	ChargeColdC, ChargeHotC float64
	Reserve                 []string   // how long it lasts, how much the load may grow, and what breaks first
	People                  [2]Dark    // with somebody always on site; with nobody there
	Reliefs                 []Relief   // what each limit costs
	Money                   *cost.Bill // nil without prices
}

// Dark is the dark time of a year, and how often somebody came.
type Dark struct {
	H      float64
	Visits int
}

// Line is an input: its dotted path, and its value for each bank or one for all.
type Line struct {
	Path   string
	Values []string
}

// Assumed is a value that nobody stated.
type Assumed struct{ Path, Value, Basis string }

// Relief is what lifting one limit saves in a year; below 0 it costs.
type Relief struct {
	Doc    string
	SavesH float64
}

// Inputs lists what differs and what does not of the stated values of banks.
func Inputs(banks []map[string]string) (same, differs []Line) {
	all := map[string]bool{}
	for _, b := range banks {
		for path := range b {
			all[path] = true
		}
	}
	for _, path := range sortedKeys(all) {
		line := Line{Path: path}
		alike := true
		for _, b := range banks {
			value, there := b[path]
			if !there {
				value = "–"
			}
			line.Values = append(line.Values, value)
			alike = alike && value == line.Values[0]
		}
		if alike {
			line.Values = line.Values[:1]
			same = append(same, line)
		} else {
			differs = append(differs, line)
		}
	}
	return same, differs
}

// NameOf is what a bank is called in the words that a report is given.
func NameOf(i, banks int) string {
	if banks == 1 {
		return "this system"
	}
	return "bank " + letters[i]
}

// Capital begins a sentence.
func Capital(s string) string { return capital(s) }

// PDF writes the report. It panics when there are no banks or more than MostBanks.
func (r *Report) PDF() []byte {
	if len(r.Banks) == 0 || len(r.Banks) > MostBanks {
		panic(fmt.Sprintf("report: %d banks", len(r.Banks)))
	}
	p := newPaper(r)
	p.summary()
	p.money()
	p.pictures()
	p.week()
	p.outages()
	for i := range r.Banks {
		p.settings(i)
	}
	for i := range r.Banks {
		p.fit(i)
	}
	p.inputs()
	p.assumed()
	p.again()
	var out bytes.Buffer
	if err := p.pdf.Output(&out); err != nil {
		panic("report: " + err.Error()) // nothing is read and nothing is written but memory
	}
	return out.Bytes()
}

// epoch stands where a PDF states when it was made.
var epoch = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// unitOf is the unit of a figure by its name.
func unitOf(name string) string { return fault.UnitOf(name) }
