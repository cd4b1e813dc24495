package api

import (
	"math"
	"net/http"
	"reflect"
	"slices"

	"bankyear/api/document"
	"bankyear/api/sitelog"
	"bankyear/sim/backtest"
	"bankyear/sim/bank"
	"bankyear/sim/fault"
)

// HistoryRequest is a log of battery-management systems by module, and what the
// modules are.
type HistoryRequest struct {
	Name      string         `json:"name,omitzero" required:"false" doc:"Repeated in the answer."`
	Module    *bank.Module   `json:"module,omitzero" required:"false" catalogue:"module" doc:"The modules that were logged; left out where system has them."`
	System    *document.Node `json:"system,omitzero" required:"false" doc:"A simulation's request, with weather and load: its year is told beside the log."`
	Installed string         `json:"installed,omitzero" required:"false" doc:"When the modules were installed, such as 2021-05-01T00:00: tells what the law of ageing says was lost by now."`
	Log       BMSLog         `json:"log" doc:"What was logged."`
}

// BMSLog is a log by module.
type BMSLog struct {
	LogSource
	Module   []string          `json:"module,omitzero" required:"false" maxItems:"4000000" doc:"Which module the row is of; all rows are of one when left out."`
	SoC      []float64         `json:"soc_fraction,omitzero" required:"false" minimum:"0" maximum:"1" maxItems:"4000000" doc:"State of charge."`
	SoH      []float64         `json:"soh_fraction,omitzero" required:"false" minimum:"0" maximum:"1.2" maxItems:"4000000" doc:"State of health: capacity over that of a new module."`
	CellMinV []float64         `json:"cell_min_v,omitzero" required:"false" minimum:"0" maximum:"6" maxItems:"4000000" doc:"Lowest cell voltage."`
	CellMaxV []float64         `json:"cell_max_v,omitzero" required:"false" minimum:"0" maximum:"6" maxItems:"4000000" doc:"Highest cell voltage."`
	CellMinC []float64         `json:"cell_min_c,omitzero" required:"false" minimum:"-60" maximum:"120" maxItems:"4000000" doc:"Lowest cell temperature."`
	CellMaxC []float64         `json:"cell_max_c,omitzero" required:"false" minimum:"-60" maximum:"120" maxItems:"4000000" doc:"Highest cell temperature; one of both is enough."`
	Trips    []float64         `json:"trips,omitzero" required:"false" minimum:"0" maximum:"1000000000" maxItems:"4000000" doc:"Counter of trips."`
	Status   []string          `json:"status,omitzero" required:"false" maxItems:"4000000" doc:"Status as the system writes it."`
	Statuses map[string]string `json:"statuses,omitzero" required:"false" enum:"ok,charge_blocked,discharge_blocked,tripped,asleep,offline" doc:"What a status of the log means; others are told as they are written."`
}

// historyQuery is what the query says of a log whose table is the body.
type historyQuery struct {
	Module struct {
		Key string `json:"key" doc:"Catalogue entry of the modules."`
	} `json:"module"`
	Installed string `json:"installed" doc:"When the modules were installed."`
	Log       struct {
		Columns map[string]string `json:"columns" names:"BMS log" doc:"Heading of this column, where it is not the column's own name."`
	} `json:"log"`
}

// HistoryAnswer is what a log says of a bank.
type HistoryAnswer struct {
	Engine string `json:"engine" doc:"Version of the engine, processor architecture and its level."`
	Name   string `json:"name,omitzero" required:"false" doc:"Name given in the request."`
	backtest.Past
	Simulated *SimulatedYear        `json:"simulated,omitzero" required:"false" doc:"The same of the simulated year; left out without a system."`
	Patch     map[string]any        `json:"patch" doc:"JSON Merge Patch that gives a system's bank the age and the capacity that the log tells: the years since installed, else the equivalent ones; empty without a state of health."`
	Ignored   []string              `json:"ignored_columns" doc:"Headings of the table that nothing was read from."`
	Findings  []string              `json:"findings" doc:"What the log says, in words."`
	Assumed   []document.Assumption `json:"assumed" doc:"Every value that nobody stated, with its basis."`
	Catalogue []CatalogueUse        `json:"catalogue" doc:"Catalogue entries that were used, with what was changed in them."`
	Notes     []string              `json:"notes" doc:"How to read this answer."`
	Cautions  []string              `json:"cautions" doc:"What a log does not settle."`
}

// SimulatedYear is what the simulated year says where a log does.
type SimulatedYear struct {
	Hash       string             `json:"hash" doc:"Content hash of the simulation: GET /v1/simulations/{hash} tells all of it."`
	WindowH    map[string]float64 `json:"cell_h_by_window" doc:"Time that the cells spent in each temperature window."`
	TooColdH   float64            `json:"charged_too_cold_h" doc:"Time charging with more than the cells allow in the cold."`
	FullCycles float64            `json:"equivalent_full_cycles" doc:"Discharged ampere-hours over capacity."`
	Wear       float64            `json:"cycle_wear_fraction" doc:"Part of the cycle life to 80 % used in the year."`
	Fade       float64            `json:"calendar_fade_first_year_fraction" doc:"Part of the capacity lost to age alone in the first such year; 0 for a chemistry without a published law."`
	Trips      int                `json:"trips" doc:"Trips of the disconnect."`
	LowestSoC  float64            `json:"lowest_soc_fraction" doc:"Lowest true state of charge."`
	LowestC    float64            `json:"lowest_cell_c" doc:"Lowest cell temperature."`
	HighestC   float64            `json:"highest_cell_c" doc:"Highest cell temperature."`
}

// postHistory reads a log of battery-management systems.
func (s *Service) postHistory(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	return s.postLog(w, r, historyQuery{}, func(tree *document.Node, parsed fault.Faults) (any, []Fault) { return s.historyOf(tree, parsed) })
}

// historyOf answers a request.
func (s *Service) historyOf(tree *document.Node, parsed fault.Faults) (*HistoryAnswer, []Fault) {
	var q HistoryRequest
	tree, catalogued, faults := document.Expand(tree, reflect.TypeFor[HistoryRequest](), catalogue())
	faults = beyond(slices.Clone(parsed), faults)
	decoded, more := document.Decode(tree, &q)
	faults = beyond(faults, more)
	ranges := fault.New()
	fault.CheckTags(ranges, &q)
	faults = append(faults, decoded.Beyond(faults, ranges.Faults())...)
	var c *Case
	if q.System != nil {
		cases := s.cases()
		var found fault.Faults
		c, found = cases.Prepare(q.System, nil)
		faults = beyond(faults, below(found, "system"))
	}
	meaning := fault.New()
	since := q.installed(meaning)
	if (q.Module == nil) == (q.System == nil) && len(faults) == 0 {
		meaning.At("module").Addf(nil, "is needed, or a system, and not both")
	}
	faults = append(faults, meaning.Faults()...)
	out := toldFaults(condense(faults))
	table, logged := q.Log.read(&q.Log)
	if !slices.ContainsFunc(faults, func(f fault.Fault) bool { return firstToken(f.Pointer) == "log" }) {
		if len(logged) == 0 {
			logged = placed(table.InOrder(table.Texts["module"]))
		}
		if len(logged) == 0 && len(table.Seconds) == 0 {
			logged = []Fault{{Message: "holds no rows"}}
		}
		out = append(out, inLog(logged)...)
	}
	if len(out) > 0 {
		return nil, out
	}
	return s.tellHistory(&q, c, table, since, &HistoryAnswer{
		Engine: Engine(), Name: q.Name, Ignored: orEmpty(table.Ignored), Assumed: orEmpty(decoded.Assumed), Catalogue: uses(inOrder(catalogued)),
		Notes: historyNotes, Cautions: Cautions,
	}), nil
}

// installed reads the date; NaN where there is none.
func (q *HistoryRequest) installed(c fault.Collector) float64 {
	if q.Installed == "" {
		return math.NaN()
	}
	at, problems := sitelog.Stamps([]string{q.Installed})
	if len(problems) > 0 {
		c.At("installed").Add(q.Installed, problems[0].Allowed, "", problems[0].Message)
		return math.NaN()
	}
	return at[0]
}
