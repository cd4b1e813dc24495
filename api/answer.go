package api

import (
	"bankyear/api/document"
	"bankyear/sim"
	"bankyear/sim/cost"
	"bankyear/weather"
)

// Detail is how much of the year an answer tells beside the figures.
type Detail string

// Details.
const (
	FiguresOnly Detail = "figures"
	Months      Detail = "months"
	Days        Detail = "days"
	Events      Detail = "events"
	Hours       Detail = "hours"

	// Of other runs than the year itself.
	WithPeople    Detail = "people"    // attended and nobody there
	WithSettings  Detail = "settings"  // settings that differ from their rule, and what came of it
	WithBands     Detail = "bands"     // figures of a chaotic year as ranges
	WithEndurance Detail = "endurance" // autonomy and recharge
	WithHeadroom  Detail = "headroom"  // how much the load may grow, and what breaks
	WithReliefs   Detail = "reliefs"   // what each limit costs
)

// Answer is what a simulation says. Everything but the name, the assumptions and
// the catalogue keys follows from the content hash alone.
type Answer struct {
	Engine    string                `json:"engine" doc:"Version of the engine, processor architecture and its level: the same hash on the same engine gives the same bytes."`
	Hash      string                `json:"hash" doc:"Content hash of the inputs: SHA-256 of the canonical JSON (RFC 8785) of the expanded system, the columns of weather and load, and the engine; names and notes left out."`
	Name      string                `json:"name,omitzero" required:"false" doc:"Name given in the request."`
	Figures   sim.Figures           `json:"figures" doc:"The headline answers, all over the counted year."`
	Rainflow  []sim.CycleBin        `json:"rainflow" doc:"Cycles by depth (ASTM E1049-85) on the true state of charge."`
	Books     sim.Books             `json:"books" doc:"Where the energy of the year went."`
	Sets      []sim.GeneratorYear   `json:"generators,omitzero" required:"false" doc:"What each generator did, in lead order; left out where there is none."`
	Inrush    *sim.InrushAnswer     `json:"inrush,omitzero" required:"false" doc:"What the starts of motors ask of bank and inverter; left out where none starts."`
	Months    []sim.Month           `json:"months,omitzero" required:"false" doc:"The same by calendar month; with detail=months."`
	Need      *weather.Need         `json:"need,omitzero" required:"false" doc:"What this array and load ask of a store in this year: the dark spell, storage and days of autonomy; with detail=months."`
	Days      []Day                 `json:"days,omitzero" required:"false" doc:"The year day by day; with detail=days."`
	Events    []sim.Outage          `json:"events,omitzero" required:"false" doc:"Every outage; with detail=events."`
	Incidents []sim.Event           `json:"incidents,omitzero" required:"false" doc:"What happened in the year, also where the site stayed lit: trips and latches of the disconnect, losses of the data link, sleeps and what woke or failed to wake the bank, modules out, re-sets of the reported charge that were false or went far, motors that did not start, visits, sudden failures. Those of one kind on one day are one; with detail=events."`
	Decisions []sim.Decision        `json:"decisions,omitzero" required:"false" doc:"Decisions by the reported state of charge that would have gone otherwise with the true one, the first 500; with detail=events."`
	Hours     *HourColumns          `json:"hours,omitzero" required:"false" doc:"The year interval by interval, as columns; with detail=hours."`
	People    *People               `json:"people,omitzero" required:"false" doc:"The year with somebody always on site and with nobody there."`
	Wrong     []WrongSetting        `json:"wrong_settings,omitzero" required:"false" doc:"Charger and counter settings that differ from their rule, the one met most often first, and what came of each in this year."`
	Bands     *Bands                `json:"bands,omitzero" required:"false" doc:"The figures as ranges where the year is chaotic; in a comparison, or with detail=bands."`
	Endurance *Endurance            `json:"endurance,omitzero" required:"false" doc:"Autonomy, recharge, and what a bank left dark comes to; in a comparison, or with detail=endurance."`
	Headroom  *Headroom             `json:"headroom,omitzero" required:"false" doc:"How much the load may grow, and what breaks first; with detail=headroom."`
	Reliefs   *Reliefs              `json:"reliefs,omitzero" required:"false" doc:"What each limit costs; with detail=reliefs."`
	Money     *cost.Bill            `json:"money,omitzero" required:"false" doc:"What the system costs over the horizon; with prices."`
	Findings  []string              `json:"findings" doc:"What the figures say, in words."`
	Assumed   []document.Assumption `json:"assumed" doc:"Every value that nobody stated, with its basis."`
	Catalogue []CatalogueUse        `json:"catalogue" doc:"Catalogue entries that were used, with what was changed in them."`
	Notes     []string              `json:"notes" doc:"How to read this answer."`
	Cautions  []string              `json:"cautions" doc:"What a simulation does not settle."`
}

// NewAnswer tells a year in some details. The year must have its hours where one
// of them needs them.
func NewAnswer(c *Case, y *sim.Year, details ...Detail) *Answer {
	a := &Answer{
		Engine: Engine(), Hash: c.Hash, Name: c.Name,
		Figures: y.Figures, Rainflow: orEmpty(y.Cycles), Books: y.Books, Inrush: y.Inrush, Sets: y.Generators,
		Findings: findings(&c.System, y),
		Assumed:  orEmpty(c.Assumed), Catalogue: uses(c.Catalogue), Notes: append(orEmpty(c.Notes), notes...), Cautions: Cautions,
	}
	if c.Prices != nil {
		a.Money = cost.Of(c.Prices, &c.System, y)
	}
	for _, d := range details {
		switch d {
		case Months:
			need := c.Need()
			a.Months, a.Need = orEmpty(y.Months()), &need
		case Days:
			a.Days = days(y.Hours, c.Weather.StepS)
		case Events:
			a.Events, a.Incidents, a.Decisions = orEmpty(y.Outages), orEmpty(y.Incidents), orEmpty(y.Decisions)
		case Hours:
			a.Hours = hourColumns(y.Hours, nil)
		}
	}
	return a
}

// NeedsHours tells whether a run must record the hours for a detail; outages and
// incidents are listed by the same record.
func (d Detail) NeedsHours() bool { return d == Days || d == Hours || d == Events }

// orEmpty is never nil: an empty list is written as [], not null.
func orEmpty[T any](items []T) []T { return append([]T{}, items...) }
