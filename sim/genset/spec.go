// Package genset holds the engine-driven generator: what it can give, what it
// burns, and the rules it starts and stops by.
package genset

// Spec is one generator with its rules.
type Spec struct {
	Key                     string         `json:"key,omitzero" required:"false" hash:"-" doc:"Catalogue entry that the values come from."`
	RatedKW                 float64        `json:"rated_kw" exclusiveMinimum:"0" maximum:"1000" doc:"Rated electrical power (kW, not kVA)."`
	NoLoadLPerKWh           float64        `json:"no_load_l_per_kwh" minimum:"0" maximum:"1" doc:"f0: fuel an hour for each rated kW at no load (Skarstein & Uhlen 1989)."`
	SlopeLPerKWh            float64        `json:"slope_l_per_kwh" exclusiveMinimum:"0" maximum:"2" doc:"f1: fuel for each kWh delivered."`
	MinLoadFraction         float64        `json:"min_load_fraction" minimum:"0" maximum:"1" default:"0.3" doc:"Lowest load, as a part of rated_kw; below it the fuel of this load is burnt and the surplus dumped." basis:"common practice"`
	StartDelayS             float64        `json:"start_delay_s" minimum:"0" maximum:"3600" default:"30" doc:"From the start signal to running." basis:"common practice"`
	WarmUpS                 float64        `json:"warm_up_s" minimum:"0" maximum:"3600" default:"180" doc:"Running before it takes load." basis:"common practice"`
	CoolDownS               float64        `json:"cool_down_s" minimum:"0" maximum:"3600" default:"300" doc:"Running without load before it stops." basis:"common practice"`
	MinRunS                 float64        `json:"min_run_s" minimum:"0" maximum:"86400" default:"3600" doc:"Shortest time on load." basis:"common practice"`
	MaxRunH                 float64        `json:"max_run_h" exclusiveMinimum:"0" maximum:"8784" default:"8" doc:"Longest time on load before it must stop." basis:"common practice"`
	AltitudeFreeM           float64        `json:"altitude_free_m" minimum:"0" maximum:"5000" default:"150" doc:"Altitude up to which the rating holds." basis:"common practice"`
	AltitudeFractionPer100M float64        `json:"altitude_fraction_per_100_m" minimum:"-0.1" maximum:"0" default:"-0.01" doc:"Change of rating for each 100 m above." basis:"common practice"`
	HeatFreeC               float64        `json:"heat_free_c" minimum:"0" maximum:"60" default:"25" doc:"Air temperature up to which the rating holds." basis:"common practice"`
	HeatFractionPC          float64        `json:"heat_fraction_per_c" minimum:"-0.1" maximum:"0" default:"-0.002" doc:"Change of rating for each kelvin above." basis:"common practice"`
	FuelStoreL              float64        `json:"fuel_store_l,omitzero" required:"false" minimum:"0" maximum:"1000000" doc:"Fuel on site at the start of the year; left out means always enough."`
	FailedStartFraction     float64        `json:"failed_start_fraction" minimum:"0" maximum:"1" default:"0.01" doc:"Chance that one try to start fails." basis:"common practice"`
	StartTries              int            `json:"start_tries" minimum:"1" maximum:"20" default:"3" doc:"Tries before somebody is called out." basis:"common practice"`
	RetryS                  float64        `json:"retry_s" minimum:"1" maximum:"86400" default:"60" doc:"Wait between tries." basis:"common practice"`
	CallOutH                float64        `json:"call_out_h" minimum:"0" maximum:"8784" default:"48" doc:"Until somebody has repaired a set that did not start." basis:"common practice"`
	Seed                    uint64         `json:"seed" default:"1" doc:"Seed of the draws that decide whether a start fails." basis:"stated so that the year can be made again"`
	StartSoCFraction        float64        `json:"start_soc_fraction,omitzero" required:"false" minimum:"0" maximum:"1" doc:"Starts when the reported SoC falls to this."`
	StopSoCFraction         float64        `json:"stop_soc_fraction,omitzero" required:"false" minimum:"0" maximum:"1" doc:"Stops when the reported SoC reaches this."`
	StartBelow              []VoltageStart `json:"start_below,omitzero" required:"false" maxItems:"8" doc:"Starts when the bus stays below a voltage for a time: rungs in falling voltage and falling time."`
	StopTailA               float64        `json:"stop_tail_a,omitzero" required:"false" minimum:"0" maximum:"5000" doc:"Stops when the bank's current falls to this in absorption."`
	NoStartHours            string         `json:"no_start_hours,omitzero" required:"false" doc:"Hours of the day in which it may not start, such as 22-07 or 12-14,22:30-07; it may run on into them."`
	StartSignal             string         `json:"start_signal" enum:"inverter,own_controller,by_hand" default:"inverter" doc:"What starts the set: the inverter, a controller of its own, or somebody on site." basis:"common practice"`
	SignalFedFrom           string         `json:"signal_fed_from" enum:"bank,own_battery" default:"bank" doc:"What feeds that; fed from the bank, there is no start while the DC bus is dead." basis:"common practice"`
	OverrideWhenDark        bool           `json:"override_when_dark" default:"false" doc:"Whether a dark site may start it in the no-start hours." basis:"common practice"`
	TopUp                   *TopUp         `json:"before_no_start,omitzero" required:"false" doc:"Run before the no-start hours."`
}

// VoltageStart is one rung of the ladder of voltages that start a set.
type VoltageStart struct {
	V     float64 `json:"v" exclusiveMinimum:"0" maximum:"1500" doc:"Bus voltage."`
	HoldS float64 `json:"hold_s" minimum:"1" maximum:"86400" doc:"Time below it."`
}

// TopUp runs the set before the hours in which it may not start.
type TopUp struct {
	At               string  `json:"at" default:"19:00" basis:"common practice" doc:"Time of day, such as 19:00."`
	IfSoCBelow       float64 `json:"if_soc_below_fraction" minimum:"0" maximum:"1" default:"0.5" basis:"common practice" doc:"Only when the reported SoC is below this."`
	RunToSoCFraction float64 `json:"run_to_soc_fraction" minimum:"0" maximum:"1" default:"0.8" basis:"common practice" doc:"Stops at this reported SoC."`
}
