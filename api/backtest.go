package api

import (
	"net/http"
	"reflect"
	"slices"

	"bankyear/api/document"
	"bankyear/api/media"
	"bankyear/sim"
	"bankyear/sim/backtest"
	"bankyear/sim/bank"
	"bankyear/sim/fault"
	"bankyear/sim/inverter"
)

// BacktestRequest is a logged stretch of a site, or one charge in a workshop,
// and the system that it is held against.
type BacktestRequest struct {
	Name   string         `json:"name,omitzero" required:"false" doc:"Repeated in the answer."`
	System BacktestSystem `json:"system" doc:"A system as for a simulation, of which bank and inverter are read."`
	Log    SiteLog        `json:"log" doc:"What was logged."`
	Fit    []string       `json:"fit" enum:"capacity,resistance,offset" maxItems:"3" default:"[\"capacity\",\"resistance\",\"offset\"]" basis:"everything that the log may tell" doc:"Values that are looked for; the others stay as the system states them. For one charge in a workshop leave out offset, and capacity unless the charge is a whole one."`
}

// BacktestSystem is what is read of a system.
type BacktestSystem struct {
	Bank     bank.Spec      `json:"bank" doc:"The battery bank, with the values that are held against the log."`
	Inverter *inverter.Spec `json:"inverter,omitzero" required:"false" catalogue:"inverter" doc:"Its loss makes DC power of the logged load; left out, the load is DC power."`

	Name         string         `json:"name,omitzero" required:"false" doc:"Not read: it may stand here, so that a simulation's request can be given as it is."`
	Notes        string         `json:"notes,omitzero" required:"false" doc:"Not read."`
	CalendarYear int            `json:"calendar_year,omitzero" required:"false" doc:"Not read."`
	Site         *document.Node `json:"site,omitzero" required:"false" doc:"Not read."`
	Sky          *document.Node `json:"sky,omitzero" required:"false" doc:"Not read."`
	Weather      *document.Node `json:"weather,omitzero" required:"false" doc:"Not read."`
	Load         *document.Node `json:"load,omitzero" required:"false" doc:"Not read: the log has the load."`
	Array        *document.Node `json:"array,omitzero" required:"false" doc:"Not read: the log has what the chargers gave."`
	Generators   *document.Node `json:"generators,omitzero" required:"false" doc:"Not read."`
	Controls     *document.Node `json:"controls,omitzero" required:"false" doc:"Not read."`
}

// SiteLog is a logged stretch.
type SiteLog struct {
	LogSource
	V           []float64 `json:"v,omitzero" required:"false" log:"required" minimum:"0" maximum:"1500" maxItems:"4000000" doc:"Voltage at the bank's terminals. As text: rows without it are left out."`
	A           []float64 `json:"a,omitzero" required:"false" log:"required" minimum:"-100000" maximum:"100000" maxItems:"4000000" doc:"Current of the bank."`
	SoC         []float64 `json:"soc_fraction,omitzero" required:"false" minimum:"0" maximum:"1" maxItems:"4000000" doc:"State of charge as a counter reported it: compared, and where the search starts."`
	CellC       []float64 `json:"cell_c,omitzero" required:"false" minimum:"-60" maximum:"100" maxItems:"4000000" doc:"Cell temperature; 25 °C where there is none."`
	LoadW       []float64 `json:"load_w,omitzero" required:"false" minimum:"0" maximum:"10000000" maxItems:"4000000" doc:"AC load, as metered."`
	SolarW      []float64 `json:"solar_w,omitzero" required:"false" minimum:"0" maximum:"10000000" maxItems:"4000000" doc:"What the solar chargers (and a generator's charger) put on the DC bus."`
	Samples     string    `json:"samples" enum:"means,instants" default:"means" basis:"stated" doc:"means: each row holds means over the interval that begins at its stamp; instants: values of that moment."`
	CurrentSign string    `json:"current_sign" enum:"charge_positive,discharge_positive" default:"charge_positive" basis:"stated" doc:"Which way the logged current is positive."`
}

// backtestQuery is what the query says of a log whose table is the body.
type backtestQuery struct {
	System struct {
		Bank struct {
			Module struct {
				Key           string  `json:"key" doc:"Catalogue entry of the module."`
				CapacityAh    float64 `json:"capacity_ah" doc:"Instead of the entry's."`
				ResistanceOhm float64 `json:"resistance_ohm" doc:"Instead of the entry's."`
			} `json:"module"`
			Modules   int     `json:"modules" doc:"Modules in parallel on one DC bus."`
			Operation string  `json:"operation" enum:"data_linked,voltage_only" doc:"How the bank works."`
			CableOhm  float64 `json:"cable_ohm" doc:"Resistance of busbar and cable."`
		} `json:"bank"`
		Inverter struct {
			Key string `json:"key" doc:"Catalogue entry of the inverter."`
		} `json:"inverter"`
	} `json:"system"`
	Log struct {
		Columns     map[string]string `json:"columns" names:"site log" doc:"Heading of this column, where it is not the column's own name."`
		Samples     string            `json:"samples" enum:"means,instants" doc:"What a row holds; means when left out."`
		CurrentSign string            `json:"current_sign" enum:"charge_positive,discharge_positive" doc:"Which way the current is positive; charge when left out."`
	} `json:"log"`
}

// BacktestAnswer is how well the model follows a log, and what would make it
// follow best.
type BacktestAnswer struct {
	Engine string `json:"engine" doc:"Version of the engine, processor architecture and its level."`
	Name   string `json:"name,omitzero" required:"false" doc:"Name given in the request."`
	backtest.Result
	Patch     map[string]any        `json:"patch" doc:"JSON Merge Patch that puts the values which the log decides, and which differ from the stated ones, into the system: of a bank of a stated age what is left of it."`
	Ignored   []string              `json:"ignored_columns" doc:"Headings of the table that nothing was read from."`
	Findings  []string              `json:"findings" doc:"What the comparison says, in words."`
	Assumed   []document.Assumption `json:"assumed" doc:"Every value that nobody stated, with its basis."`
	Catalogue []CatalogueUse        `json:"catalogue" doc:"Catalogue entries that were used, with what was changed in them."`
	Notes     []string              `json:"notes" doc:"How to read this answer."`
	Cautions  []string              `json:"cautions" doc:"What a comparison does not settle."`
}

func (s *Service) backtestOperations() []operation {
	return []operation{
		{method: http.MethodPost, path: "/v1/backtests", id: "backtest", summary: "Hold the model against what a site or a workshop logged",
			description: "A logged stretch of any step (time, volts, amperes, and where known state of charge, cell temperature, load and solar) against a system: how well the voltage, the state of charge and the power of the bus are followed, the capacity, resistance, counter offset and load that make them followed best with their 95 % intervals, and the largest charge in it: ceiling, voltage limit, taper and full point. As JSON, or as a table of text with the system's members in the query.",
			body:        BacktestRequest{}, files: loadTypes, fileQuery: backtestQuery{}, answers: map[string]any{media.JSON: BacktestAnswer{}}, problems: posting, handle: s.postBacktest},
		{method: http.MethodPost, path: "/v1/histories", id: "history", summary: "What the battery-management systems of a site logged, beside the simulated year",
			description: "A log by module (state of charge and of health, cell extremes, status, trips): fade, spread of cells and modules, time in temperature windows, trips, and how old the cells are by the law of ageing; with a system, the simulated year beside it. As JSON, or as a table of text with the module in the query.",
			body:        HistoryRequest{}, files: loadTypes, fileQuery: historyQuery{}, answers: map[string]any{media.JSON: HistoryAnswer{}}, problems: posting, handle: s.postHistory}}
}

// postBacktest holds the model against a log.
func (s *Service) postBacktest(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	return s.postLog(w, r, backtestQuery{}, func(tree *document.Node, parsed fault.Faults) (any, []Fault) { return backtestOf(tree, parsed) })
}

// backtestOf answers a request.
func backtestOf(tree *document.Node, parsed fault.Faults) (*BacktestAnswer, []Fault) {
	var q BacktestRequest
	tree, catalogued, faults := document.Expand(tree, reflect.TypeFor[BacktestRequest](), catalogue())
	faults = beyond(slices.Clone(parsed), faults)
	decoded, more := document.Decode(tree, &q)
	faults = beyond(faults, more)
	ranges := fault.New()
	fault.CheckTags(ranges, &q)
	faults = append(faults, decoded.Beyond(faults, ranges.Faults())...)
	var filled []sim.Filled
	if len(faults) == 0 {
		filled, faults = q.System.complete(tree.Get("system"))
	}
	out := toldFaults(condense(faults))
	table, logged := q.Log.read(&q.Log)
	if !slices.ContainsFunc(faults, func(f fault.Fault) bool { return firstToken(f.Pointer) == "log" }) {
		if len(logged) == 0 {
			logged = placed(table.InOrder(nil))
		}
		out = append(out, inLog(logged)...)
	}
	if len(out) > 0 {
		return nil, out
	}
	aged := q.System.Bank.Aged() // what a bank of a stated age should be by now
	result, err := backtest.Run(q.Log.asLog(table), &aged, q.System.Inverter, backtest.Fit{
		Capacity: slices.Contains(q.Fit, "capacity"), Resistance: slices.Contains(q.Fit, "resistance"), Offset: slices.Contains(q.Fit, "offset")})
	if err != nil {
		return nil, []Fault{{Pointer: "/log", Value: len(table.Seconds), Unit: "rows", Allowed: "at least 20 rows with voltage and current, in pieces of at least 8 without a gap", Message: "is too short"}}
	}
	return &BacktestAnswer{
		Engine: Engine(), Name: q.Name, Result: *result, Patch: backtestPatch(result, &q.System.Bank), Ignored: orEmpty(table.Ignored),
		Findings: backtestFindings(&q, table, result), Assumed: assumed(decoded.Assumed, nil, filled), Catalogue: uses(inOrder(catalogued)),
		Notes: backtestNotes, Cautions: Cautions,
	}, nil
}

// complete fills what follows from other members of the system, and checks it.
func (x *BacktestSystem) complete(tree *document.Node) ([]sim.Filled, fault.Faults) {
	whole := sim.System{Bank: x.Bank}
	filled := slices.DeleteFunc(append(completeSettings(tree, &whole), whole.Complete()...), func(f sim.Filled) bool { return firstToken(f.Pointer) != "bank" })
	for i := range filled {
		filled[i].Pointer = "/system" + filled[i].Pointer
	}
	x.Bank = whole.Bank
	c := fault.New()
	x.Bank.Check(c.At("system", "bank"))
	if m := &x.Bank.Module; m.LeadAcid() {
		c.At("system", "bank", "module", "chemistry").Add(m.Chemistry, "lfp, nmc, table", "", "rests for hours after each change of current: a log is not held against its wells")
	}
	if x.Inverter != nil {
		x.Inverter.Check(c.At("system", "inverter"))
	}
	return filled, c.Faults()
}
