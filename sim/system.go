// Package sim simulates a year of a stand-alone power system. A System, a
// weather year and a load are compiled into a Plan (flat arrays), the plan is
// run, and the answer is a Year. No input or output, clock or globals.
package sim

import (
	"bankyear/sim/array"
	"bankyear/sim/bank"
	"bankyear/sim/genset"
	"bankyear/sim/grid"
	"bankyear/sim/inverter"
	"bankyear/weather"
)

// EngineVersion names the laws that a Year was computed by. It is part of the
// content hash, so that another version answers under another name.
const EngineVersion = "bankyear-9"

// System is everything that is installed at a site, and how it is set.
type System struct {
	Site         weather.Site           `json:"site" doc:"Where the site is, and its standard time."`
	CalendarYear int                    `json:"calendar_year" minimum:"1950" maximum:"2050" default:"2025" doc:"Year that dates the rows: days of the week, and a leap day or none." basis:"a year of 365 days"`
	Sky          weather.Sky            `json:"sky" default:"{}" doc:"Models between the weather file and the plane."`
	Array        array.Spec             `json:"array" doc:"Solar planes and their chargers."`
	Bank         bank.Spec              `json:"bank" doc:"The battery bank."`
	Inverter     inverter.Spec          `json:"inverter" catalogue:"inverter" doc:"The inverter-charger."`
	Generators   map[string]genset.Spec `json:"generators" keys:"name" catalogue:"generator" default:"{}" doc:"Generators by name; one runs at a time, the first by lead_order that is able to." basis:"none unless given"`
	Grid         *grid.Spec             `json:"grid,omitzero" required:"false" doc:"A connection to a public grid, which leads the generators."`
	Controls     Controls               `json:"controls" default:"{}" doc:"Shedding, low end, draws and the run itself."`
}

// Controls is what is set between the parts.
type Controls struct {
	ShedSoC         float64  `json:"shed_soc_fraction" minimum:"0" maximum:"1" default:"0.3" doc:"Flexible load is shed when the reported SoC falls to this." basis:"common practice"`
	ReturnSoC       float64  `json:"return_soc_fraction" minimum:"0" maximum:"1" default:"0.5" doc:"Flexible load returns when the reported SoC reaches this." basis:"common practice"`
	ShedBelowV      float64  `json:"shed_below_v,omitzero" required:"false" minimum:"0" maximum:"1500" doc:"Flexible load is shed when the bus stays below this, whatever a counter says; by SoC alone when left out. With bank.estimate.kind none it is the only way to shed..."`
	ShedBelowHoldS  float64  `json:"shed_below_hold_s" minimum:"1" maximum:"86400" default:"60" doc:"... for this time." basis:"common practice"`
	ReturnAboveV    float64  `json:"return_above_v,omitzero" required:"false" minimum:"0" maximum:"1500" doc:"Flexible load that was shed by voltage returns when the bus is above this; needed with shed_below_v."`
	LowEnd          LowEnd   `json:"low_end" default:"{}" doc:"Where discharge stops."`
	HousekeepingW   float64  `json:"housekeeping_w" minimum:"0" maximum:"10000" default:"15" doc:"Always-on DC draw: router, controls; the gateway of a data link has its own." basis:"common practice"`
	ChargersHoldBus bool     `json:"chargers_hold_bus" default:"false" doc:"Whether the chargers keep the DC bus up when the bank is off it." basis:"common practice"`
	VisitResponseH  float64  `json:"visit_response_h" minimum:"0" maximum:"8784" default:"72" doc:"Until somebody from elsewhere is on site." basis:"common practice"`
	Operator        Operator `json:"operator" default:"{}" doc:"Who is on site."`
	RemoteView      bool     `json:"remote_view" default:"false" doc:"Whether somebody sees the site from afar: a visit then comes after remote_visit_h." basis:"common practice"`
	RemoteVisitH    float64  `json:"remote_visit_h" minimum:"0" maximum:"8784" default:"24" doc:"Until somebody from elsewhere is on site when the trouble was seen from afar." basis:"common practice"`
	SettleDays      int      `json:"settle_days" minimum:"0" maximum:"180" default:"30" doc:"Days at the end of the year that are run first and not counted, so that the year starts settled." basis:"common practice"`
	InternalStepS   float64  `json:"internal_step_s,omitzero" required:"false" minimum:"10" maximum:"3600" doc:"Longest internal step; the interval of the weather when left out. The answer does not depend on it."`
}

// Operator is somebody on site, who sets right what a visit sets right.
type Operator struct {
	OnSite    string   `json:"on_site" enum:"always,weekends,never" default:"never" doc:"When somebody is on site." basis:"nobody unless given"`
	Awake     string   `json:"awake" default:"07-22" doc:"Hours of the day in which they act, such as 07-22." basis:"common practice"`
	ResponseH float64  `json:"response_h" minimum:"0" maximum:"168" default:"1" doc:"From the site's going dark to their acting, while awake; they try again after as long, or an hour if that is longer." basis:"common practice"`
	Does      []string `json:"does" enum:"start_generator,wake_bank,reset,bypass_inverter,shed_by_hand" minItems:"1" maxItems:"5" default:"[\"start_generator\",\"wake_bank\",\"reset\"]" doc:"What they can do. bypass_inverter: while the site is dark, cable a running generator (or the grid) to the AC load past inverter and bank, by a change-over that never lets both feed it, until the inverter can run again; shed_by_hand: shed flexible load at shed_soc_fraction, or once the site was dark where no SoC is reported, and put it back." basis:"common practice; bypassing takes a cable that fits, and shedding must be agreed"`
	ShedSoC   float64  `json:"shed_soc_fraction" minimum:"0" maximum:"1" default:"0.4" doc:"shed_by_hand: they shed flexible load when the reported SoC falls to this." basis:"common practice, before the controls do"`
	ReturnSoC float64  `json:"return_soc_fraction" minimum:"0" maximum:"1" default:"0.6" doc:"They put it back when the reported SoC reaches this; where none is reported, when a charger or the BMS says full." basis:"common practice"`
}

// LowEnd is where discharge stops and when it comes back: by reported SoC when
// data-linked, by voltage when voltage-only. Voltages left out follow from the
// cells (bank.LowEndDefaults).
type LowEnd struct {
	StopSoC           float64 `json:"stop_soc_fraction" minimum:"0" maximum:"0.9" default:"0.06" doc:"Data-linked: discharge stops when the reported SoC falls to this." basis:"leaves about the reserve that the cut-off voltage of LFP leaves"`
	ResumeSoC         float64 `json:"resume_soc_fraction" minimum:"0" maximum:"1" default:"0.15" doc:"Data-linked: load comes back when the reported SoC reaches this." basis:"common practice"`
	CutOffV           float64 `json:"cut_off_v,omitzero" required:"false" minimum:"0" maximum:"1500" doc:"Voltage-only: load stops when the voltage stays below this..."`
	CutOffDelayS      float64 `json:"cut_off_delay_s" minimum:"1" maximum:"3600" default:"30" doc:"... for this time." basis:"common practice"`
	FastCutOffV       float64 `json:"fast_cut_off_v,omitzero" required:"false" minimum:"0" maximum:"1500" doc:"Lower voltage at which load stops sooner..."`
	FastCutOffDelayS  float64 `json:"fast_cut_off_delay_s" minimum:"1" maximum:"600" default:"1" doc:"... after this time." basis:"common practice"`
	ReturnV           float64 `json:"return_v,omitzero" required:"false" minimum:"0" maximum:"1500" doc:"Voltage-only: load comes back when the voltage is above this."`
	ReturnNeedsCharge bool    `json:"return_needs_charge" default:"false" doc:"Whether the return waits for charge as well: current into the bank, or chargers that hold the bus without it." basis:"common practice"`
	LockOutCount      int     `json:"lock_out_count" minimum:"1" maximum:"100" default:"3" doc:"Cut-offs within lock_out_s after which load stays off until a visit." basis:"common practice"`
	LockOutS          float64 `json:"lock_out_s" minimum:"1" maximum:"86400" default:"3600" doc:"Time in which the cut-offs are counted." basis:"common practice"`
	SuddenSoC         float64 `json:"sudden_above_soc_fraction" minimum:"0" maximum:"1" default:"0.15" doc:"A cut-off while the reported SoC is above this is a sudden stop: nobody was warned." basis:"the SoC at which load comes back"`
}
