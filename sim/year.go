package sim

// Year is the answer of one run.
type Year struct {
	Figures Figures  `json:"figures"`
	Books   Books    `json:"books"`
	Outages []Outage `json:"outages"`
	// Incidents and Decisions are of a year with its hours, as Outages.
	Incidents []Event    `json:"incidents,omitzero"`
	Decisions []Decision `json:"decisions,omitzero"`
	Cycles    []CycleBin `json:"rainflow"`
	// Generators is empty where there are none.
	Generators []GeneratorYear `json:"generators,omitzero"`
	// Inrush is nil where nothing starts with more than its running current.
	Inrush *InrushAnswer `json:"inrush,omitzero"`
	// Waited tells whether anything waited for people at any time, the settling days
	// included: the site was dark, or a generator broken. If not, nobody on site or
	// from elsewhere had anything to do.
	Waited bool `json:"-"`
	// Broke tells whether the link or modules were out of service at any time: if not,
	// it made no difference how long repairs take.
	Broke bool `json:"-"`
	// Hours is nil unless asked for.
	Hours *Hours `json:"-"`

	months *[12]monthSums
}

// Figures are the headline answers, all over the counted year.
type Figures struct {
	DowntimeH          float64            `json:"downtime_h" doc:"Time in which essential load is not fully served."`
	DowntimeByCauseH   map[string]float64 `json:"downtime_by_cause_h" doc:"The same, by cause; the causes add up to the whole."`
	DarkNights         int                `json:"dark_nights" doc:"Sunset-to-sunrise spans with over 5 min of downtime."`
	Outages            int                `json:"outages" doc:"Separate downtimes over 5 min."`
	ShortOutages       int                `json:"short_outages" doc:"Separate downtimes of 5 min or less."`
	HourLongOutages    int                `json:"outages_past_one_hour" doc:"Separate downtimes of more than one hour."`
	FourHourOutages    int                `json:"outages_past_four_hours" doc:"Separate downtimes of more than four hours."`
	LongestOutageH     float64            `json:"longest_outage_h" doc:"Longest separate downtime."`
	LongestOutageStart string             `json:"longest_outage_start,omitzero" doc:"Local start of the longest."`
	Restarts           int                `json:"restarts" doc:"Times that the inverter started again."`
	SuddenStops        int                `json:"sudden_stops" doc:"Cut-offs that the reported SoC did not announce."`
	Sleeps             int                `json:"sleeps" doc:"Times that the bank fell asleep after over-discharge."`
	Visits             int                `json:"visits" doc:"Times that somebody came because the site was dark, or set something right on site; an operator who tries again without effect does not count again."`
	Trips              int                `json:"trips" doc:"Trips of the BMS's disconnect."`
	TripsByKind        map[string]int     `json:"trips_by_kind" doc:"The same, by what tripped."`
	Latches            int                `json:"latches" doc:"Times that repeated trips left the disconnect, or that of one module, open until a visit."`
	Openings           int                `json:"opened_while_charging" doc:"Times that the disconnect opened, or blocked charge, under a charge current of charge_seen_a or more, a lost link's opening included: the chargers then drive the bus up before they hold back, by how much is not simulated."`
	OpeningMostA       float64            `json:"opened_while_charging_a" doc:"Highest charge current of the bank that such an opening cut."`
	OpeningMostAt      string             `json:"opened_while_charging_at,omitzero" doc:"Local time of that opening; left out where there was none."`
	HighStops          int                `json:"inverter_over_voltage_stops" doc:"Times that the inverter stopped because the DC bus stood above its highest voltage, max_v."`
	BypassedH          float64            `json:"inverter_bypassed_h,omitzero" doc:"Time in which a generator, or the grid, was cabled to the load by hand, past inverter and bank; left out where it never was."`
	UnservedKWh        float64            `json:"unserved_kwh" doc:"Essential and flexible load not served."`
	ShedKWh            float64            `json:"shed_kwh" doc:"Of this, flexible load that was shed while essential load was on."`
	ShiftedKWh         float64            `json:"shifted_to_sun_kwh,omitzero" doc:"Flexible energy that was taken while the sun would have been curtailed; left out where none may shift."`
	FailedMotorStarts  int                `json:"failed_motor_starts" doc:"Motor starts that were too much for bank or inverter; each is an outage of the inverter's restart time."`
	InrushMargin       float64            `json:"inrush_margin_fraction,omitzero" doc:"How much more the worst motor start of the year could ask before bank or inverter fail; left out where none starts."`
	GeneratorH         float64            `json:"generator_h" doc:"Time that the generator ran."`
	GeneratorStarts    int                `json:"generator_starts" doc:"Starts of the generator."`
	GeneratorFailures  int                `json:"generator_failed_starts" doc:"Tries to start that failed."`
	GeneratorLowLoadH  float64            `json:"generator_low_load_h" doc:"Of the time on load, that below the minimum load."`
	GeneratorServices  int                `json:"generator_services" doc:"Services that fall due in the year, by running hours."`
	FuelL              float64            `json:"fuel_l" doc:"Fuel burnt."`
	GridH              float64            `json:"grid_h,omitzero" doc:"Time that the site was on the grid; left out where there is none."`
	GridDownH          float64            `json:"grid_down_h,omitzero" doc:"Time that the grid was not there; left out likewise."`
	GridKWh            float64            `json:"grid_kwh,omitzero" doc:"Energy taken from the grid; left out likewise."`
	GridCost           float64            `json:"grid_cost,omitzero" doc:"Its price by the tariff, in the tariff's currency; left out likewise."`
	EquivalentCycles   float64            `json:"equivalent_full_cycles" doc:"Discharged ampere-hours over capacity."`
	ThroughputMWh      float64            `json:"throughput_mwh" doc:"Energy discharged at the terminals."`
	CycleWearFraction  float64            `json:"cycle_wear_fraction" doc:"Part of the cycle life to 80 % used in the year (Miner's rule on the rainflow table)."`
	CalendarFade       float64            `json:"calendar_fade_first_year_fraction,omitzero" doc:"Part of the capacity lost to age alone in the first such year (Naumann et al. 2018); left out for a chemistry without a published law."`
	YearsTo80Pct       float64            `json:"years_to_80_pct,omitzero" doc:"Years like this one until capacity is 80 %, from the bank's age on: cycle wear and calendar ageing added; left out likewise, and where it is below already."`
	YearsByCycles      float64            `json:"years_by_cycles,omitzero" doc:"Years like this one, from the bank's age on, until its cycle life to 80 % is used up: for a chemistry without a published law of ageing, left out for any other and where nothing is cycled."`
	YearsOnFloat       float64            `json:"years_on_float,omitzero" doc:"Lead-acid: years like this one, from the bank's age on, until its float life is over, 12 years vented and 8 sealed at 25 °C and half for every 10 K more (common practice); left out for any other chemistry."`
	FadePerYear        float64            `json:"capacity_fade_per_year_fraction,omitzero" doc:"Part of the new capacity lost in a year like this one at the bank's age, cycle wear and calendar ageing added; left out likewise."`
	GrowthPerYear      float64            `json:"resistance_growth_per_year_fraction,omitzero" doc:"Growth of the resistance that goes with it, of a new bank's: 2.5 times the loss, common practice; left out likewise."`
	ChargedTooColdH    float64            `json:"charged_too_cold_h" doc:"Time charging with more than the cells allow at their temperature, on the cold side: damage."`
	ChargedTooColdAh   float64            `json:"charged_too_cold_ah" doc:"Charge above what the cells allow, bank total."`
	CurtailedKWh       float64            `json:"curtailed_kwh" doc:"Solar energy that nothing took."`
	CurtailedByCause   map[string]float64 `json:"curtailed_by_cause_kwh" doc:"The same, by cause; the causes add up to the whole."`
	SolarFraction      float64            `json:"load_met_by_solar_fraction" doc:"Served load that came from the sun, direct or by way of the bank; what the bank gives is shared by what it was charged from."`
	LowestSoC          float64            `json:"lowest_soc_fraction" doc:"Lowest true state of charge."`
	LowestSoCAt        string             `json:"lowest_soc_at" doc:"Local time of the lowest state of charge."`
	SoCErrorMax        float64            `json:"soc_error_max_fraction" doc:"Largest difference of reported from true SoC."`
	SoCErrorMaxAt      string             `json:"soc_error_max_at,omitzero" doc:"Local end of the interval that had it; left out where there is none."`
	DecisionsOtherwise int                `json:"decisions_otherwise" doc:"Decisions by the reported state of charge that would have gone otherwise with the true one, judged at the ends of intervals; one that stays wrong counts once."`
	OtherwiseByKind    map[string]int     `json:"decisions_otherwise_by_kind" doc:"The same, by what was decided."`
	MisledOnH          float64            `json:"kept_on_by_wrong_soc_h,omitzero" doc:"Time that a generator or the grid was on load with the true state of charge at or above where it stops, the reported one below, and nothing else to keep it on; judged at the ends of intervals, left out where there was none."`
	Resets             int                `json:"resets" doc:"Times that the reported SoC was set anew: to full at an end of charge, also where it read full already, or at the low knee."`
	WithoutResetH      float64            `json:"longest_without_reset_h,omitzero" doc:"Longest time without, from the start of the settling days on; left out where nothing is counted."`
	DepthWinter        float64            `json:"daily_depth_winter_median_fraction" doc:"Highest less lowest true SoC of a day, by the ends of its intervals: the median day of the three months with the least sun."`
	DepthWorstTenth    float64            `json:"daily_depth_worst_tenth_fraction" doc:"The same, as it is exceeded on a tenth of the year's days."`
	WarrantyShare      float64            `json:"warranty_used_fraction,omitzero" doc:"Discharged energy over what the modules' warranty covers in all; left out for a warranty without such a limit."`
	ChargeBlockedColdH float64            `json:"charge_blocked_cold_h" doc:"Time in which there was solar or generator power to charge with and cold cells refused all."`
	ChargeBlockedHotH  float64            `json:"charge_blocked_hot_h" doc:"Likewise, hot cells."`
	AtCeilingH         float64            `json:"at_charge_ceiling_h" doc:"Time in which the charge ceiling held the current back."`
	HeldBackH          float64            `json:"at_discharge_ceiling_h" doc:"Time in which load was off, flexible or all of it, because the bank's discharge ceiling did not carry it."`
	LinkDownH          float64            `json:"link_down_h" doc:"Time in which the data link, or its gateway, was down."`
	LinkLosses         int                `json:"link_losses" doc:"Times that the data link was down for longer than its timeout."`
	LongestLinkLossH   float64            `json:"longest_link_loss_h" doc:"Longest of these, from where the link went down."`
	CellHByWindow      map[string]float64 `json:"cell_h_by_window" doc:"Time that the cells spent where they may not be charged for cold, may with less current, with all of it, with less for heat, not for heat."`
	ModuleTrips        int                `json:"single_module_trips" doc:"Trips that took one module off the bus and left others on it; among the trips."`
	ModulesOpenH       float64            `json:"modules_open_h" doc:"Time in which modules were off the bus that way."`
	LongestUnfullD     float64            `json:"longest_without_full_d" doc:"Longest time without a full charge: an absorption that its tail current ended, or the BMS's full."`
	Sulfation          string             `json:"sulfation,omitzero" doc:"Lead-acid: pass, caution or fail of that time; 14 and 30 days, common practice."`
	ModulesOutH        float64            `json:"modules_out_h" doc:"Time in which modules were out of service."`
	UnnoticedH         float64            `json:"unnoticed_h" doc:"Of this, until anybody knew."`
	HoursTouched       int                `json:"downtime_hours_touched" doc:"Clock intervals with any downtime."`
	LowestCellC        float64            `json:"lowest_cell_c" doc:"Lowest cell temperature."`
	HighestCellC       float64            `json:"highest_cell_c" doc:"Highest cell temperature."`
	HighestModuleA     float64            `json:"highest_charge_module_a" doc:"Highest charge current of the mean module: a ceiling above it never acts."`
}

// Outage is one separate downtime.
type Outage struct {
	Start    string   `json:"start" doc:"Local start."`
	Hours    float64  `json:"hours" doc:"Length."`
	Cause    Cause    `json:"cause" doc:"What the site was in when it went dark."`
	SoC      float64  `json:"soc_fraction" doc:"True SoC at the start."`
	Reported *float64 `json:"reported_soc_fraction,omitzero" required:"false" doc:"Reported SoC at the start; left out where nothing reports one."`
	CellC    float64  `json:"cell_c" doc:"Cell temperature at the start."`
	Because  Reason   `json:"because" doc:"What brought it about: the largest energy refused to the bank or missed by it since it was last full. Empty where no charge would have helped: cells outside their discharge window, more load than bank or inverter gives, a motor that does not start."`
	Before   Before   `json:"before" doc:"The 48 h before."`
	Chain    []Event  `json:"chain" doc:"What changed in the 48 h before. Where there are more than 60, those of one kind on one day are one; of these the last 60."`
	EndedBy  Ending   `json:"ended_by" enum:"sun,generator,grid,visit,reset,link_back,disconnect_closed,cells_in_window,bus_in_window,load_fell,voltage_recovered,restart,year_end" doc:"The last change that let the load be served again; visit is a bank that somebody woke or a generator that somebody started, reset a latch or a lock-out."`
	During   []Event  `json:"during" doc:"What changed from its start to its end, 60 at most. Where there are more, those of one kind on one day are one; then some from the middle are left out, first what is no incident."`
	LeftOut  int      `json:"during_left_out,omitzero" doc:"How many were left out so."`
}

// CycleBin is one row of the rainflow table (ASTM E1049-85) on true SoC.
type CycleBin struct {
	DepthFraction float64 `json:"depth_fraction" doc:"Upper edge of the range of depths."`
	Cycles        float64 `json:"cycles" doc:"Cycles of that depth; half cycles count 0.5."`
}
