// Package profiles says what a site asks for: a load builder that turns series
// and appliances into columns, and the catalogue of generic modules, chargers,
// inverters, generators and loads.
//
// Times of day are site standard time; rows are means over their interval.
package profiles

// Spec is a load: series, appliances, a metered year, or several of them, which
// add.
type Spec struct {
	Key          string               `json:"key,omitzero" required:"false" hash:"-" doc:"Catalogue entry that the values come from."`
	ACEssentialW []float64            `json:"ac_essential_w,omitzero" required:"false" minimum:"0" maximum:"1000000" doc:"AC load that counts as downtime when it is not served; one row for each interval of the weather, or one for each hour."`
	ACFlexibleW  []float64            `json:"ac_flexible_w,omitzero" required:"false" minimum:"0" maximum:"1000000" doc:"AC load that is shed first; rows as for ac_essential_w."`
	DCEssentialW []float64            `json:"dc_essential_w,omitzero" required:"false" minimum:"0" maximum:"1000000" doc:"DC load on the bus, essential; rows as for ac_essential_w."`
	DCFlexibleW  []float64            `json:"dc_flexible_w,omitzero" required:"false" minimum:"0" maximum:"1000000" doc:"DC load on the bus, shed first; rows as for ac_essential_w."`
	Appliances   map[string]Appliance `json:"appliances,omitzero" required:"false" keys:"name" doc:"Appliances by name."`
	Meter        *Meter               `json:"meter,omitzero" required:"false" doc:"A metered year of AC load."`
	Occupancy    *Occupancy           `json:"occupancy,omitzero" required:"false" doc:"When people are there, for the appliances that follow them."`
	ScaleKWhDay  float64              `json:"scale_to_kwh_per_day,omitzero" required:"false" minimum:"0.001" maximum:"100000" doc:"All columns are multiplied by one factor, so that the year's mean is this; not scaled when left out."`
	Growth       *Growth              `json:"growth,omitzero" required:"false" doc:"Growth of the load, after any scaling."`
}

// Appliance is one kind of appliance, or several equal ones. While it is on
// (its hours, weekdays and months) it draws w for the duty fraction of the time
// and standby_w for the rest; at other times it draws standby_w.
type Appliance struct {
	W              float64      `json:"w" exclusiveMinimum:"0" maximum:"1000000" doc:"Power of one while it runs."`
	Count          int          `json:"count" minimum:"1" maximum:"10000" default:"1" basis:"one appliance" doc:"How many equal ones."`
	Hours          string       `json:"hours,omitzero" required:"false" doc:"Hours of the day in which it is on, such as 09-11 or 06-09,17:30-22; a span over midnight belongs to the day on which it starts. All day when left out."`
	Weekdays       string       `json:"weekdays,omitzero" required:"false" doc:"Days on which it is on, such as mon-fri or sat,sun. Every day when left out."`
	Months         string       `json:"months,omitzero" required:"false" doc:"Months in which it is on, such as may-sep or jan,feb. All year when left out."`
	DutyFraction   float64      `json:"duty_fraction" minimum:"0" maximum:"1" default:"1" basis:"runs all the time that it is on" doc:"Part of the time that it runs while it is on."`
	StandbyW       float64      `json:"standby_w,omitzero" required:"false" minimum:"0" maximum:"100000" doc:"Power of one while it does not run, all year; none when left out."`
	PowerFactor    float64      `json:"power_factor" exclusiveMinimum:"0" maximum:"1" default:"1" basis:"stated where it is known" doc:"Watts over volt-amperes while it runs; kept for the inverter's ratings, no part of the energy."`
	InrushMultiple float64      `json:"inrush_multiple,omitzero" required:"false" minimum:"1" maximum:"20" doc:"Starting over running current; no inrush when it and code_letter are left out."`
	InrushS        float64      `json:"inrush_s,omitzero" required:"false" minimum:"0.01" maximum:"60" doc:"How long the inrush lasts; mandatory beside inrush_multiple and code_letter."`
	CodeLetter     string       `json:"code_letter,omitzero" required:"false" enum:"A,B,C,D,E,F,G,H,J,K,L,M,N,P,R,S,T,U" doc:"NEMA MG 1 code letter on a motor's plate, instead of inrush_multiple: starting kVA for each horsepower, of which the upper end is taken."`
	MotorHP        float64      `json:"motor_hp,omitzero" required:"false" minimum:"0.01" maximum:"1000" doc:"Horsepower on the plate of one motor; mandatory beside code_letter."`
	StartsPerH     float64      `json:"starts_per_h,omitzero" required:"false" minimum:"0" maximum:"3600" doc:"Starts of one in each hour that it is on; once each time it is switched on when left out."`
	Tier           string       `json:"tier" enum:"essential,flexible" default:"essential" basis:"nothing is shed unless it is said" doc:"Whether downtime is counted on it, or it is shed first."`
	Shifts         bool         `json:"shifts,omitzero" required:"false" doc:"Whether it may shift within its hours, such as pumping to a tank: in each span of them it owes the energy of w and duty_fraction, takes it at w while the sun would be curtailed, and else as late as it can. Only for tier flexible."`
	Supply         string       `json:"supply" enum:"ac,dc" default:"ac" basis:"most appliances" doc:"Through the inverter, or straight from the DC bus."`
	Follows        bool         `json:"follows_occupancy,omitzero" required:"false" doc:"Whether it is on only while people are there."`
	Temperature    *Temperature `json:"temperature,omitzero" required:"false" doc:"How its run time grows with cold or heat."`
}

// Temperature lets an appliance run longer in cold or heat: to the mean power
// of the duty fraction it adds so many watts for each kelvin, up to w.
type Temperature struct {
	HeatBelowC float64 `json:"heat_below_c" minimum:"-40" maximum:"40" default:"18" basis:"common practice for heating degree hours" doc:"Outdoor air below which it runs more."`
	HeatWPerC  float64 `json:"heat_w_per_c" minimum:"0" maximum:"100000" default:"0" basis:"no heating" doc:"Mean power that each kelvin below heat_below_c adds."`
	CoolAboveC float64 `json:"cool_above_c" minimum:"-20" maximum:"60" default:"22" basis:"common practice for cooling degree hours" doc:"Outdoor air above which it runs more."`
	CoolWPerC  float64 `json:"cool_w_per_c" minimum:"0" maximum:"100000" default:"0" basis:"no cooling" doc:"Mean power that each kelvin above cool_above_c adds."`
}

// Occupancy is when people are there.
type Occupancy struct {
	Weekdays string   `json:"weekdays,omitzero" required:"false" doc:"Days on which people are there, such as sat,sun. Every day when left out."`
	Months   string   `json:"months,omitzero" required:"false" doc:"Months in which people are there, such as may-sep. All year when left out."`
	Away     []string `json:"away,omitzero" required:"false" maxItems:"100" doc:"Dates on which nobody is there, first and last day, such as 12-24/01-02 (month-day)."`
	Holidays []string `json:"holidays,omitzero" required:"false" maxItems:"100" doc:"Dates that count as Sundays wherever weekdays are given, and take a metered Sunday, such as 12-25/12-26."`
	Guests   []Guests `json:"guests,omitzero" required:"false" maxItems:"100" doc:"Dates on which more people are there; outside the weekdays, months and away dates as well."`
}

// Guests is a stretch of dates with more people.
type Guests struct {
	Dates    string  `json:"dates" doc:"First and last day, such as 07-01/07-14 (month-day)."`
	Multiple float64 `json:"multiple" minimum:"1" maximum:"100" doc:"Use of the appliances that follow occupancy, over the usual."`
}

// Growth multiplies the load by (1 + per_year_fraction)^years.
type Growth struct {
	PerYearFraction float64 `json:"per_year_fraction" minimum:"-0.5" maximum:"1" doc:"Growth in a year."`
	Years           float64 `json:"years" minimum:"0" maximum:"50" doc:"Years from now that the load is meant for."`
}
