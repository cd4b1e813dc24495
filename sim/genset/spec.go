// Package genset holds the engine-driven generator: what it can give, what it
// burns, and the rules it starts and stops by.
package genset

// Spec is one generator with its rules.
type Spec struct {
	Key                     string         `json:"key,omitzero" required:"false" hash:"-" doc:"Catalogue entry that the values come from."`
	RatedKW                 float64        `json:"rated_kw" exclusiveMinimum:"0" maximum:"1000" doc:"Rated electrical power (kW, not kVA)."`
	LeadOrder               int            `json:"lead_order" minimum:"1" maximum:"9" default:"1" doc:"Of several sets, which one is to run: the first in this order (then by name) that is able to; the next stand by for it." basis:"by name unless given"`
	NoLoadLPerKWh           float64        `json:"no_load_l_per_kwh" minimum:"0" maximum:"1" default:"0.06" basis:"trade tables for diesel sets of 8 to 20 kW, common practice" doc:"f0: fuel an hour for each rated kW at no load (Skarstein & Uhlen 1989)."`
	SlopeLPerKWh            float64        `json:"slope_l_per_kwh" exclusiveMinimum:"0" maximum:"2" default:"0.27" basis:"trade tables for diesel sets of 8 to 20 kW, common practice" doc:"f1: fuel for each kWh delivered."`
	FuelPoints              [][2]float64   `json:"fuel_points_kw_l_per_h,omitzero" required:"false" minimum:"0" maxItems:"16" doc:"Fuel map instead of the line f0, f1: pairs of kW and litres an hour, rising in both; straight between them and on beyond them."`
	MinLoadFraction         float64        `json:"min_load_fraction" minimum:"0" maximum:"1" default:"0.3" doc:"Lowest load, as a part of rated_kw; below it the fuel of this load is burnt and the surplus dumped." basis:"common practice"`
	StartDelayS             float64        `json:"start_delay_s" minimum:"0" maximum:"3600" default:"30" doc:"From the start signal to running." basis:"common practice"`
	WarmUpS                 float64        `json:"warm_up_s" minimum:"0" maximum:"3600" default:"180" doc:"Running before it takes load." basis:"common practice"`
	CoolDownS               float64        `json:"cool_down_s" minimum:"0" maximum:"3600" default:"300" doc:"Running without load before it stops." basis:"common practice"`
	MinRunS                 float64        `json:"min_run_s" minimum:"0" maximum:"86400" default:"3600" doc:"Shortest time on load." basis:"common practice"`
	MaxRunH                 float64        `json:"max_run_h" exclusiveMinimum:"0" maximum:"8784" default:"8" doc:"Longest time on load before it must stop." basis:"common practice"`
	DailyCapH               float64        `json:"daily_cap_h,omitzero" required:"false" minimum:"0" maximum:"24" doc:"Most time on load in a calendar day; no cap when left out."`
	AltitudeFreeM           float64        `json:"altitude_free_m" minimum:"0" maximum:"5000" default:"150" doc:"Altitude up to which the rating holds." basis:"common practice"`
	AltitudeFractionPer100M float64        `json:"altitude_fraction_per_100_m" minimum:"-0.1" maximum:"0" default:"-0.01" doc:"Change of rating for each 100 m above." basis:"common practice"`
	HeatFreeC               float64        `json:"heat_free_c" minimum:"0" maximum:"60" default:"25" doc:"Air temperature up to which the rating holds." basis:"common practice"`
	HeatFractionPC          float64        `json:"heat_fraction_per_c" minimum:"-0.1" maximum:"0" default:"-0.002" doc:"Change of rating for each kelvin above." basis:"common practice"`
	FuelStoreL              float64        `json:"fuel_store_l,omitzero" required:"false" minimum:"0" maximum:"1000000" doc:"What the fuel store holds; it is full at the start of the year. Left out means always enough."`
	Deliveries              *Deliveries    `json:"fuel_deliveries,omitzero" required:"false" doc:"When fuel is brought; none when left out."`
	ServiceEveryH           float64        `json:"service_every_h" exclusiveMinimum:"0" maximum:"100000" default:"250" doc:"Running hours from one service to the next." basis:"common practice"`
	Exercise                *Exercise      `json:"exercise,omitzero" required:"false" doc:"Runs that keep an idle set able to start; none when left out."`
	FailedStartFraction     float64        `json:"failed_start_fraction" minimum:"0" maximum:"1" default:"0.01" doc:"Chance that one try to start fails." basis:"common practice"`
	StartTries              int            `json:"start_tries" minimum:"1" maximum:"20" default:"3" doc:"Tries before somebody is called out." basis:"common practice"`
	RetryS                  float64        `json:"retry_s" minimum:"1" maximum:"86400" default:"60" doc:"Wait between tries." basis:"common practice"`
	CallOutH                *float64       `json:"call_out_h,omitzero" required:"false" minimum:"0" maximum:"8784" doc:"Until somebody has repaired a set that did not start; when left out 48 h, or how soon somebody is there, as for a link's mean_repair_h, if that is sooner."`
	Seed                    uint64         `json:"seed" default:"1" doc:"Seed of the draws that decide whether a start fails." basis:"stated so that the year can be made again"`
	StartSoCFraction        float64        `json:"start_soc_fraction,omitzero" required:"false" minimum:"0" maximum:"1" doc:"Starts when the reported SoC falls to this."`
	StopSoCFraction         float64        `json:"stop_soc_fraction,omitzero" required:"false" minimum:"0" maximum:"1" doc:"Stops when the reported SoC reaches this, unless the generator is then all that serves the site."`
	StartBelow              []VoltageStart `json:"start_below,omitzero" required:"false" maxItems:"8" doc:"Starts when the bus stays below a voltage for a time: rungs in falling voltage and falling time."`
	StartLoadW              float64        `json:"start_load_w,omitzero" required:"false" minimum:"0" maximum:"1000000" doc:"Starts when the AC load stays above this..."`
	StartLoadHoldS          float64        `json:"start_load_hold_s" minimum:"1" maximum:"86400" default:"60" doc:"... for this time." basis:"common practice"`
	StopLoadW               float64        `json:"stop_load_w,omitzero" required:"false" minimum:"0" maximum:"1000000" doc:"It does not stop while the AC load is above this, and a run that the load started stops below; 80 % of start_load_w when left out."`
	StopRefusedS            float64        `json:"stop_refused_s,omitzero" required:"false" minimum:"0" maximum:"86400" doc:"Stops when the bank has refused all charge (by temperature, or a trip) for this time, the load fits the inverter and no rule would start it again; never for this when left out or 0."`
	StopTailA               float64        `json:"stop_tail_a,omitzero" required:"false" minimum:"0" maximum:"5000" doc:"Stops when the bank's current falls to this in absorption."`
	NoStartHours            string         `json:"no_start_hours,omitzero" required:"false" doc:"Hours of the day in which it may not start, such as 22-07 or 12-14,22:30-07; it may run on into them."`
	StartSignal             string         `json:"start_signal" enum:"inverter,own_controller,by_hand" default:"inverter" doc:"What starts the set: the inverter, a controller of its own, or somebody on site." basis:"common practice"`
	SignalFedFrom           string         `json:"signal_fed_from" enum:"bank,own_battery" default:"bank" doc:"What feeds that; fed from the bank, there is no start while the DC bus is dead." basis:"common practice"`
	OverrideWhenDark        bool           `json:"override_when_dark" default:"false" doc:"Whether a dark site may start it in the no-start hours." basis:"common practice"`
	TopUp                   *TopUp         `json:"before_no_start,omitzero" required:"false" doc:"Run before the no-start hours."`
}

// Exercise is a run at a time of day, when the set has not run on load for so
// long; it is exempt from the minimum run.
type Exercise struct {
	EveryDays float64 `json:"every_days" minimum:"1" maximum:"366" default:"30" basis:"common practice" doc:"Days since it last ran on load as long as an exercise."`
	RunS      float64 `json:"run_s" minimum:"0" maximum:"86400" default:"1200" basis:"common practice" doc:"Time on load; 0 for no exercise."`
	At        string  `json:"at" default:"10:00" basis:"common practice" doc:"Time of day, such as 10:00; in the no-start hours it waits for their end."`
}

// Deliveries is when fuel is brought to the store, at noon: on dates, every so
// many days, and after the store was found low at the end of a run.
type Deliveries struct {
	On               []string `json:"on,omitzero" required:"false" maxItems:"100" doc:"Dates, such as 03-15 (month-day)."`
	EveryDays        float64  `json:"every_days,omitzero" required:"false" minimum:"1" maximum:"366" doc:"Days between deliveries, the first so many days into the year."`
	OrderBelowL      float64  `json:"order_below_l,omitzero" required:"false" minimum:"0" maximum:"1000000" doc:"Fuel is ordered when a run ends with less than this in the store..."`
	ArrivesAfterDays float64  `json:"arrives_after_days" minimum:"0" maximum:"366" default:"7" basis:"common practice" doc:"... and comes at noon so many days later."`
	L                float64  `json:"l,omitzero" required:"false" minimum:"0" maximum:"1000000" doc:"Fuel of a delivery, as far as the store holds it; fills the store when left out."`
}

// VoltageStart is one rung of the ladder of voltages that start a set.
type VoltageStart struct {
	V             float64 `json:"v" exclusiveMinimum:"0" maximum:"1500" doc:"Bus voltage."`
	HoldS         float64 `json:"hold_s" minimum:"1" maximum:"86400" doc:"Time below it."`
	LoadCorrected bool    `json:"load_corrected,omitzero" required:"false" doc:"Whether the controller adds what the load makes the bus sag, its discharge current times the resistance of the new bank at 25 °C with its cable, so that the rung goes by the charge and not by the load; false when left out."`
}

// TopUp runs the set before the hours in which it may not start.
type TopUp struct {
	At               string  `json:"at" default:"19:00" basis:"common practice" doc:"Time of day, such as 19:00."`
	IfSoCBelow       float64 `json:"if_soc_below_fraction" minimum:"0" maximum:"1" default:"0.5" basis:"common practice" doc:"Only when the reported SoC is below this."`
	RunToSoCFraction float64 `json:"run_to_soc_fraction" minimum:"0" maximum:"1" default:"0.8" basis:"common practice" doc:"Stops at this reported SoC."`
}
