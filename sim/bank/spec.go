// Package bank holds the battery bank: modules in parallel with their own
// battery-management systems (BMS), what their cells can do, what their limits
// are, and how those limits reach the chargers.
//
// Charge is ampere-hours at 25 °C; current is positive into the bank.
package bank

// Spec is a bank and how it is connected to the chargers.
type Spec struct {
	Module         Module     `json:"module" catalogue:"module" doc:"The battery module; the bank is made of equal ones."`
	Modules        int        `json:"modules" minimum:"1" maximum:"64" doc:"Modules in parallel on one DC bus."`
	Operation      string     `json:"operation" enum:"data_linked,voltage_only" doc:"Whether the chargers follow the limits that the BMS reports, or see only terminal voltage and their own settings."`
	CableOhm       float64    `json:"cable_ohm" minimum:"0" maximum:"0.1" default:"0.002" doc:"Resistance of busbar and cable, for the whole bank." basis:"common practice"`
	Link           Link       `json:"link" default:"{}" doc:"The data link and what happens without it."`
	OnLinkLoss     string     `json:"on_link_loss" enum:"bank_opens,all_stop,charge_stops,fall_back" default:"fall_back" doc:"What a data-linked bank and its chargers do once the link is lost." basis:"common practice"`
	OnLinkReturn   string     `json:"on_link_return" enum:"follow,next_morning,until_reset" default:"follow" doc:"What ends that when the link is back. follow: they follow the BMS again at once; next_morning: when the sun next rises after a night; until_reset: somebody resets them, the operator response_h later or, with a remote view, a visitor remote_visit_h later. Who comes to a dark site resets them in any case." basis:"common practice"`
	LinkFaults     LinkFaults `json:"link_faults" default:"{}" doc:"When the link is down: listed, or at random."`
	LinkChain      *LinkChain `json:"link_chain,omitzero" required:"false" doc:"A break of the link from module to module."`
	Together       *bool      `json:"modules_act_together,omitzero" required:"false" doc:"Whether an interlink opens all modules when one trips; else one opens alone and its current moves to the others, which may follow. True when left out."`
	ModulesOut     ModulesOut `json:"modules_out" default:"{}" doc:"Modules that drop out of service on a date."`
	Enclosure      Enclosure  `json:"enclosure" default:"{}" doc:"What is around the bank."`
	WokenBy        []string   `json:"woken_by" enum:"solar,generator,visit" minItems:"1" maxItems:"3" default:"[\"visit\"]" doc:"What wakes modules that sleep, if it puts voltage on their terminals; visit: somebody who comes to the dark site, from elsewhere or an operator who does wake_bank." basis:"common practice"`
	Estimate       Estimate   `json:"estimate" default:"{}" doc:"How the system estimates the state of charge."`
	Settings       *Settings  `json:"settings,omitzero" required:"false" doc:"Charger settings for voltage-only work; derived from the module when left out."`
	AgeYears       float64    `json:"age_years,omitzero" required:"false" minimum:"0" maximum:"40" doc:"Age of the bank: the year is run with the capacity and the resistance that it has then; new when left out."`
	AgedCapacity   float64    `json:"aged_capacity_fraction,omitzero" required:"false" minimum:"0.1" maximum:"1" doc:"Part of the capacity that is left; from age_years and the chemistry when left out."`
	AgedResistance float64    `json:"aged_resistance_factor,omitzero" required:"false" minimum:"0.5" maximum:"20" doc:"Resistance over that of a new bank; from the lost capacity when left out."`
	MakeUp         MakeUp     `json:"make_up,omitzero" required:"false" doc:"What the bank is made of beside equal modules of one age in parallel: judged by the fit check, not simulated."`
	Fuses          *Fuses     `json:"fuses,omitzero" required:"false" hash:"-" doc:"Fuses or breakers of the bank; judged by the fit check, not simulated."`
	Isolation      *Isolation `json:"isolation,omitzero" required:"false" hash:"-" doc:"What takes the bank off; judged by the fit check, not simulated."`
	InitialSoC     float64    `json:"initial_soc_fraction" minimum:"0" maximum:"1" default:"0.8" doc:"State of charge at the start of the run (of the settling days, when there are any)." basis:"the settling days wash it out"`
}

// MakeUp is what makes a bank unequal. The run takes it as equal modules; the fit
// check says what is wrong with it.
type MakeUp struct {
	InSeries        int    `json:"modules_in_series,omitzero" required:"false" minimum:"1" maximum:"32" doc:"Modules in series in each string; 1 when left out."`
	Older           int    `json:"older_modules,omitzero" required:"false" minimum:"1" maximum:"64" doc:"Of the modules, those that are years older than the others."`
	BesideChemistry string `json:"beside_chemistry,omitzero" required:"false" enum:"lfp,nmc,lead_acid_vented,lead_acid_sealed" doc:"Chemistry of another bank that is kept on the same bus."`
}

// Fuses are what breaks a short of the bank: those of the modules and of the bank have
// these ratings at least.
type Fuses struct {
	BreakingKA float64 `json:"breaking_capacity_ka" exclusiveMinimum:"0" maximum:"500" doc:"Breaking capacity at DC."`
	RatedV     float64 `json:"rated_v" exclusiveMinimum:"0" maximum:"2000" doc:"Rated DC voltage."`
	ModuleA    float64 `json:"module_rated_a,omitzero" required:"false" exclusiveMinimum:"0" maximum:"5000" doc:"Rated current of one module's fuse; none of its own when left out."`
}

// Isolation is what takes the bank, and each module, off for work.
type Isolation struct {
	Bank        bool `json:"bank" default:"false" doc:"The bank has a means of isolation in all live poles." basis:"the unsafe case unless stated"`
	EachModule  bool `json:"each_module" default:"false" doc:"Every module has one of its own." basis:"the unsafe case unless stated"`
	LiveWhenOff bool `json:"terminals_live_when_off" default:"true" doc:"A module that is off still has voltage on its terminals." basis:"the unsafe case unless stated"`
}

// Certificates are the documents that the maker gives for a module, by name or number.
type Certificates struct {
	Transport  string `json:"transport_un_38_3,omitzero" required:"false" maxLength:"200" doc:"Test summary by UN 38.3."`
	CellSafety string `json:"safety_iec_62619,omitzero" required:"false" maxLength:"200" doc:"Certificate by IEC 62619 that names module and BMS."`
}

// Module is one battery unit with its own BMS. All of it is data.
type Module struct {
	Key                   string       `json:"key,omitzero" required:"false" hash:"-" doc:"Catalogue entry that the values come from."`
	Chemistry             string       `json:"chemistry" enum:"lfp,nmc,table,lead_acid_vented,lead_acid_sealed" doc:"Cell chemistry, which gives the open-circuit voltage; table takes the caller's own. Lead-acid has no BMS: it works voltage_only, without data_linked, protection and disconnect."`
	CellsInSeries         int          `json:"cells_in_series" minimum:"1" maximum:"400" doc:"Cells in series."`
	OpenCircuit           [][2]float64 `json:"open_circuit_by_soc_v,omitzero" required:"false" minimum:"0" maxItems:"64" doc:"Open-circuit voltage of one cell: pairs of SoC fraction and volts, rising in both; only for chemistry table."`
	Hysteresis            *Hysteresis  `json:"hysteresis,omitzero" required:"false" doc:"Hysteresis of the open-circuit voltage; none when left out. Not for lead-acid, whose voltage follows its wells."`
	CapacityAh            float64      `json:"capacity_ah" minimum:"1" maximum:"10000" doc:"Capacity at 25 °C and low rate. Of lead-acid the rated one, in 20 h: its state of charge is 1 less the part of it that is drawn, and stays at 0 where smaller currents draw more."`
	CapacitiesAh          [][2]float64 `json:"capacities_by_h_ah,omitzero" required:"false" minimum:"1" minItems:"2" maxItems:"3" doc:"Lead-acid: capacity at 25 °C in three times of discharge, such as 1, 5 and 20 h: three pairs of hours and Ah, both rising. The two wells follow (Manwell & McGowan 1993)."`
	Wells                 *WellSpec    `json:"wells,omitzero" required:"false" doc:"Lead-acid: the two wells themselves; capacities_by_h_ah is not used then."`
	UsableDepth           float64      `json:"usable_depth_fraction,omitzero" required:"false" minimum:"0.05" maximum:"1" doc:"Depth of discharge that the bank is planned for; the chemistry's when left out: 0.5 for lead-acid, else 1."`
	MassKg                float64      `json:"mass_kg" minimum:"0" maximum:"5000" default:"45" doc:"Mass." basis:"common practice"`
	ResistanceOhm         float64      `json:"resistance_ohm" minimum:"0.00001" maximum:"1" doc:"Steady resistance at 25 °C and middle SoC."`
	ShortFactor           float64      `json:"resistance_to_5_s_factor" exclusiveMinimum:"0" maximum:"1" default:"1" doc:"Resistance to a current of up to five seconds, such as a motor's start, over the steady one." basis:"nothing better than the steady resistance unless stated"`
	ResistanceByC         [][2]float64 `json:"resistance_factor_by_c" minItems:"1" maxItems:"32" doc:"Factor on the resistance: pairs of cell °C and factor, rising in °C."`
	ResistanceBySoC       [][2]float64 `json:"resistance_factor_by_soc,omitzero" required:"false" minItems:"1" maxItems:"16" doc:"Factor on the resistance: pairs of SoC fraction and factor, rising in SoC. Not for lead-acid, whose resistance follows its wells."`
	CapacityByC           [][2]float64 `json:"capacity_factor_by_c" minItems:"1" maxItems:"32" doc:"Part of the capacity that can be used: pairs of cell °C and factor."`
	CoulombicFraction     float64      `json:"coulombic_efficiency_fraction" exclusiveMinimum:"0.5" maximum:"1" default:"0.998" doc:"Charge that comes out over charge that went in." basis:"common practice"`
	SelfDischargeFraction float64      `json:"self_discharge_per_month_fraction" minimum:"0" maximum:"0.5" default:"0.02" doc:"Charge lost at rest in a month of 730 h." basis:"common practice"`
	BMSDrawW              float64      `json:"bms_draw_w" minimum:"0" maximum:"100" default:"3" doc:"Draw of the BMS while awake, from the cells." basis:"common practice"`
	Disconnect            string       `json:"disconnect,omitzero" required:"false" enum:"one_switch,directional" doc:"one_switch opens both directions at once; directional can block charge or discharge alone. Needed but for lead-acid."`
	Operations            []string     `json:"operations_possible" enum:"data_linked,voltage_only" minItems:"1" maxItems:"2" doc:"How the module can work."`
	ParallelLimit         int          `json:"parallel_limit" minimum:"1" maximum:"64" default:"16" doc:"Most modules in parallel." basis:"common practice"`
	WorstShare            float64      `json:"worst_share" minimum:"1" maximum:"2" default:"1.1" doc:"Current of the worst module over the mean." basis:"common practice"`
	Linked                LinkedLimits `json:"data_linked,omitzero" required:"false" doc:"Limits that the BMS reports when data-linked. Needed but for lead-acid."`
	VoltageOnlyA          float64      `json:"voltage_only_charge_a" exclusiveMinimum:"0" maximum:"5000" doc:"Highest charge current that the maker allows without a data link, the same at every temperature."`
	DischargeA            float64      `json:"discharge_a" exclusiveMinimum:"0" maximum:"5000" doc:"Continuous discharge current."`
	PeakAS                [][2]float64 `json:"discharge_peaks_a_s" minimum:"0" maxItems:"8" doc:"Peak discharge: pairs of amperes and seconds, rising in amperes and falling in seconds."`
	PeakRestS             float64      `json:"peak_rest_s" minimum:"0" maximum:"3600" default:"30" doc:"Time below the continuous current before another peak." basis:"common practice"`
	Protection            Protection   `json:"protection,omitzero" required:"false" doc:"The BMS's own disconnect; it works with or without a link. Needed but for lead-acid."`
	CyclesByDepth         [][2]float64 `json:"cycles_by_depth" minimum:"0" minItems:"1" maxItems:"16" doc:"Cycles to 80 % capacity: pairs of depth fraction and cycles, rising in depth and falling in cycles."`
	WarrantyYears         float64      `json:"warranty_years" minimum:"0" maximum:"40" default:"10" doc:"Warranty in years." basis:"common practice"`
	WarrantyMWh           float64      `json:"warranty_mwh" minimum:"0" maximum:"10000" default:"16" doc:"Warranty in discharged energy of one module." basis:"common practice"`
	Certificates          Certificates `json:"certificates,omitzero" required:"false" hash:"-" doc:"Documents of the maker; told by the fit check."`
	HeatKJPerC            float64      `json:"heat_capacity_kj_per_c" exclusiveMinimum:"0" maximum:"10000" default:"45" doc:"Heat that warms one module by one kelvin." basis:"common practice"`
}

// LinkedLimits are what the BMS tells the chargers.
type LinkedLimits struct {
	CeilingByC     [][2]float64 `json:"charge_a_by_c" minItems:"1" maxItems:"32" doc:"Charge ceiling of one module: pairs of cell °C and amperes, rising in °C; two pairs at one °C make a step, and the second holds from there up."`
	CeilingBySoC   [][2]float64 `json:"charge_factor_by_soc" minimum:"0" maximum:"1" minItems:"1" maxItems:"16" doc:"Factor on the charge ceiling: pairs of SoC fraction and factor, rising in SoC."`
	DischargeByC   [][2]float64 `json:"discharge_a_by_c,omitzero" required:"false" minItems:"1" maxItems:"32" doc:"Discharge ceiling of one module that the BMS reports: pairs of cell °C and amperes, rising in °C; two pairs at one °C make a step. Beyond it flexible load is shed, then all load stops. No ceiling but protection when left out, discharge_a where discharge_factor_by_soc is given."`
	DischargeBySoC [][2]float64 `json:"discharge_factor_by_soc,omitzero" required:"false" minimum:"0" maximum:"1" minItems:"1" maxItems:"16" doc:"Factor on the discharge ceiling: pairs of SoC fraction and factor, rising in SoC; 1 when left out."`
	VoltageV       float64      `json:"voltage_v" exclusiveMinimum:"0" maximum:"1500" doc:"Voltage that the BMS asks for."`
	FullV          float64      `json:"full_v" exclusiveMinimum:"0" maximum:"1500" doc:"Full when the voltage is at least this..."`
	FullA          float64      `json:"full_a" exclusiveMinimum:"0" maximum:"500" doc:"... and the current of one module at most this..."`
	FullHoldS      float64      `json:"full_hold_s" minimum:"1" maximum:"7200" default:"60" doc:"... for this time; then the charge ceiling is 0." basis:"common practice"`
	ResumeBelowSoC float64      `json:"resume_below_soc_fraction" minimum:"0" maximum:"0.999" default:"0.97" doc:"Charging is asked for again when the reported SoC is below this..." basis:"common practice"`
	ResumeBelowV   float64      `json:"resume_below_v,omitzero" required:"false" minimum:"0" maximum:"1500" doc:"... or the voltage has been below this for full_hold_s, whatever is reported: a counter does not see what the modules draw themselves. Not looked at when left out."`
}

// Protection is every threshold of the BMS's disconnect.
type Protection struct {
	OverV                 float64 `json:"over_v" exclusiveMinimum:"0" maximum:"1500" doc:"Over-voltage trip of the module, before cell spread."`
	OverSpreadV           float64 `json:"cell_spread_v" minimum:"0" maximum:"0.5" default:"0.03" doc:"Voltage of the highest cell above the mean at the top of charge." basis:"common practice"`
	OverDelayS            float64 `json:"over_v_delay_s" minimum:"1" maximum:"600" default:"2" doc:"Time beyond over_v before the trip." basis:"common practice"`
	OverReleaseV          float64 `json:"over_v_release_v" exclusiveMinimum:"0" maximum:"1500" doc:"Voltage below which it closes again."`
	UnderV                float64 `json:"under_v" exclusiveMinimum:"0" maximum:"1500" doc:"Under-voltage trip of the module."`
	UnderDelayS           float64 `json:"under_v_delay_s" minimum:"1" maximum:"600" default:"5" doc:"Time below under_v before the trip." basis:"common practice"`
	UnderReleaseV         float64 `json:"under_v_release_v" exclusiveMinimum:"0" maximum:"1500" doc:"Voltage above which it closes again; charge voltage closes it as well."`
	ChargeColdC           float64 `json:"charge_cold_c" minimum:"-60" maximum:"40" doc:"Cell temperature below which charge trips it."`
	ChargeColdReleaseC    float64 `json:"charge_cold_release_c" minimum:"-60" maximum:"50" doc:"Cell temperature at which charge is allowed again."`
	ChargeHotC            float64 `json:"charge_hot_c" minimum:"20" maximum:"120" doc:"Cell temperature above which charge trips it."`
	ChargeHotReleaseC     float64 `json:"charge_hot_release_c" minimum:"10" maximum:"120" doc:"Cell temperature at which charge is allowed again."`
	DischargeColdC        float64 `json:"discharge_cold_c" minimum:"-80" maximum:"20" doc:"Cell temperature below which it does not discharge."`
	DischargeColdReleaseC float64 `json:"discharge_cold_release_c" minimum:"-80" maximum:"30" doc:"Cell temperature at which discharge is allowed again."`
	DischargeHotC         float64 `json:"discharge_hot_c" minimum:"20" maximum:"120" doc:"Cell temperature above which it does not discharge."`
	DischargeHotReleaseC  float64 `json:"discharge_hot_release_c" minimum:"10" maximum:"120" doc:"Cell temperature at which discharge is allowed again."`
	TemperatureDelayS     float64 `json:"temperature_delay_s" minimum:"1" maximum:"600" default:"10" doc:"Time beyond a temperature before the trip." basis:"common practice"`
	ChargeSeenA           float64 `json:"charge_seen_a" exclusiveMinimum:"0" maximum:"100" default:"2" doc:"Current of one module from which the BMS counts it as charging." basis:"common practice"`
	ChargeOverA           float64 `json:"charge_over_a" exclusiveMinimum:"0" maximum:"5000" doc:"Charge over-current trip of one module."`
	ChargeOverDelayS      float64 `json:"charge_over_delay_s" minimum:"1" maximum:"600" default:"10" doc:"Time beyond charge_over_a before the trip." basis:"common practice"`
	RecloseS              float64 `json:"reclose_s" minimum:"1" maximum:"86400" default:"60" doc:"Time from release to closing." basis:"common practice"`
	OverALatchCount       int     `json:"over_current_latch_count" minimum:"1" maximum:"100" default:"3" doc:"Over-current trips within over_current_latch_s after which it stays open until a visit." basis:"common practice"`
	OverALatchS           float64 `json:"over_current_latch_s" minimum:"1" maximum:"86400" default:"600" doc:"Time in which over-current trips are counted." basis:"common practice"`
	OverVLatchCount       int     `json:"over_voltage_latch_count" minimum:"1" maximum:"100" default:"5" doc:"Over-voltage trips within over_voltage_latch_s after which it stays open until a visit." basis:"common practice"`
	OverVLatchS           float64 `json:"over_voltage_latch_s" minimum:"1" maximum:"86400" default:"3600" doc:"Time in which over-voltage trips are counted." basis:"common practice"`
	AsleepAfterH          float64 `json:"asleep_after_h" exclusiveMinimum:"0" maximum:"8784" default:"24" doc:"Time of an under-voltage trip that nothing relieves, after which the module sleeps and must be woken." basis:"common practice"`
	AsleepDrawW           float64 `json:"asleep_draw_w" minimum:"0" maximum:"100" default:"0.1" doc:"Draw of a module asleep, from its cells." basis:"common practice"`
}

// Link is the data link between BMS and chargers.
type Link struct {
	TimeoutS  float64 `json:"timeout_s" minimum:"1" maximum:"3600" default:"60" doc:"Silence before the chargers act on a lost link." basis:"common practice"`
	Gateway   Gateway `json:"gateway" default:"{}" doc:"The gateway that carries the link from the BMS to the chargers that hear it."`
	Confirmed string  `json:"confirmed_by,omitzero" required:"false" hash:"-" doc:"Document that says that both ends speak the same link."`
	AfterLoss string  `json:"after_loss" enum:"pushed_kept,last_hand_set,factory_lead_acid" default:"last_hand_set" doc:"Settings that the chargers hold after a loss when they fall back: the last that the BMS pushed, the installer's, or the factory's for lead-acid." basis:"common practice"`
}

// Gateway stands between the BMS and the chargers that hear the link, of a data-linked
// bank.
type Gateway struct {
	DrawW  float64    `json:"draw_w" minimum:"0" maximum:"100" default:"0" doc:"Draw from the DC bus as long as it has voltage, beside housekeeping_w; 3 to 8 W by common practice." basis:"none unless given"`
	Faults LinkFaults `json:"faults" default:"{}" doc:"When the gateway fails: for the chargers that it reaches the link is down then, beside the faults of the link itself."`
}

// LinkFaults is when the link, or its gateway, is down; listed faults and random ones
// add.
type LinkFaults struct {
	Listed           []LinkFault `json:"listed,omitzero" required:"false" maxItems:"1000" doc:"Faults by date."`
	MeanHoursBetween float64     `json:"mean_hours_between" minimum:"0" default:"0" doc:"Mean time between random faults, exponential; 0 for none." basis:"none unless given"`
	MeanRepairH      *float64    `json:"mean_repair_h,omitzero" required:"false" minimum:"0" maximum:"8784" doc:"Mean time until the link is back, exponential; how soon somebody is there who repairs it when left out: the operator's response_h, else remote_visit_h with a remote view, else visit_response_h."`
	Seed             uint64      `json:"seed" default:"1" doc:"Seed of the random faults." basis:"stated so that the year can be made again"`
}

// LinkFault is one listed fault.
type LinkFault struct {
	Start string  `json:"start" doc:"Local start without zone, such as 2025-01-15T08:00."`
	Hours float64 `json:"hours" exclusiveMinimum:"0" maximum:"8784" doc:"Length."`
}

// LinkChain is a break of the data link that runs from module to module: the BMS
// that speaks for the bank no longer sees those behind it.
type LinkChain struct {
	BreakAfter int     `json:"break_after_modules" minimum:"1" maximum:"63" doc:"Modules before the break, which are still seen."`
	Start      string  `json:"start" doc:"Local time without zone, such as 2025-01-15T08:00."`
	Hours      float64 `json:"hours" exclusiveMinimum:"0" maximum:"8784" doc:"Until it is mended."`
	Behind     string  `json:"modules_behind" enum:"open,stay" default:"open" doc:"Whether modules behind the break leave the bus or stay on it." basis:"common practice"`
	Assume     string  `json:"ceilings_assume" enum:"out,there" default:"out" doc:"Whether the ceilings that the BMS reports take the modules behind the break for out or for still there." basis:"common practice"`
}

// ModulesOut is modules that drop out on a date, and come back once that was
// found and repaired.
type ModulesOut struct {
	Modules     int      `json:"modules" minimum:"0" maximum:"63" default:"0" doc:"How many; 0 for none." basis:"none unless given"`
	Start       string   `json:"start,omitzero" required:"false" doc:"Local time without zone, such as 2025-01-15T08:00."`
	FoundAfterH float64  `json:"found_after_h" minimum:"0" maximum:"8784" default:"6" doc:"Until it is found over a data link; without one it is found at the next outage." basis:"common practice"`
	RepairH     *float64 `json:"repair_h,omitzero" required:"false" minimum:"0" maximum:"8784" doc:"From then until they are back; how soon somebody is there, as for a link's mean_repair_h, when left out."`
}

// Enclosure is what is around the bank and the heater in it.
type Enclosure struct {
	Kind            string  `json:"kind" enum:"outdoor,ventilated_room,insulated_cupboard,fixed,seasonal" default:"ventilated_room" doc:"outdoor: in outdoor air; ventilated_room: in a room that follows the outdoor air by a day; insulated_cupboard: behind insulation in outdoor air; fixed and seasonal: air of a stated temperature." basis:"common practice"`
	FixedC          float64 `json:"fixed_c" minimum:"-60" maximum:"70" default:"20" doc:"Air temperature for fixed, and its yearly mean for seasonal." basis:"common practice; used only where the kind of enclosure asks for it"`
	SwingC          float64 `json:"seasonal_swing_c" minimum:"0" maximum:"40" default:"10" doc:"For seasonal: warmest above the mean, at the warmest day." basis:"common practice; used only where the kind of enclosure asks for it"`
	WarmestDay      float64 `json:"seasonal_warmest_d" minimum:"1" maximum:"366" default:"200" doc:"For seasonal: day of the year that is warmest." basis:"common practice; used only where the kind of enclosure asks for it"`
	RoomC           float64 `json:"room_above_outdoor_c" minimum:"0" maximum:"30" default:"3" doc:"For ventilated_room: mean above the outdoor air." basis:"common practice"`
	SurfaceCPerW    float64 `json:"surface_c_per_w,omitzero" required:"false" minimum:"0" maximum:"50" doc:"Thermal resistance from cells to air; 0.6·n^−0.63 for n modules when left out."`
	InsulationCPerW float64 `json:"insulation_c_per_w,omitzero" required:"false" minimum:"0" maximum:"50" doc:"For insulated_cupboard: thermal resistance in series; 1 for up to four modules, less for more, whose cupboard is larger, when left out."`
	SolarGain       float64 `json:"solar_gain_c_per_kw_m2,omitzero" required:"false" minimum:"0" maximum:"60" doc:"What the sun on the enclosure adds to the air around it, for each kW/m² on the horizontal (in the plane, where only that was measured); about 10 for a white one and 30 for a dark one in the open, common practice. None when left out."`
	Fan             *Fan    `json:"fan,omitzero" required:"false" doc:"A fan that blows outside air past warm cells."`
	HeaterW         float64 `json:"heater_w_per_module" minimum:"0" maximum:"2000" default:"0" doc:"Heater of each module." basis:"none unless given"`
	HeaterOnC       float64 `json:"heater_on_c" minimum:"-40" maximum:"40" default:"3" doc:"Cell temperature that switches the heater on." basis:"common practice"`
	HeaterOffC      float64 `json:"heater_off_c" minimum:"-40" maximum:"50" default:"8" doc:"Cell temperature that switches the heater off." basis:"common practice"`
	HeaterFrom      string  `json:"heater_from" enum:"sources,sources_and_bank" default:"sources" doc:"What the heater runs from: sun and generator, or the bank too." basis:"common practice"`
}

// Fan is a fan of the enclosure. While it runs its insulation counts for nothing.
type Fan struct {
	W    float64 `json:"w" minimum:"0" maximum:"1000" doc:"Draw from the DC bus while it runs."`
	OnC  float64 `json:"on_c" minimum:"0" maximum:"80" default:"32" doc:"Cell temperature that switches it on." basis:"common practice"`
	OffC float64 `json:"off_c" minimum:"0" maximum:"80" default:"28" doc:"Cell temperature that switches it off." basis:"common practice"`
}

// Estimate is how the system estimates the state of charge. A default kind
// brings its own errors; a member that is given replaces its default.
type Estimate struct {
	Kind            string   `json:"kind,omitzero" required:"false" enum:"bms,shunt,inverter_own,none,exact" doc:"bms: the BMS's counter; shunt: a counter at the bank; inverter_own: the inverter's, which sees what goes through itself only; none: all control by voltage; exact: for what-if. Left out: bms when data-linked, shunt when voltage-only."`
	SeesSolar       bool     `json:"sees_solar_chargers,omitzero" required:"false" doc:"For inverter_own: whether it is told what the solar chargers give; it is not where they are of another kind."`
	GainFraction    *float64 `json:"gain_fraction,omitzero" required:"false" minimum:"-0.2" maximum:"0.2" doc:"Error of the measured current in proportion to it."`
	OffsetA         *float64 `json:"offset_a,omitzero" required:"false" minimum:"-20" maximum:"20" doc:"Current read when none flows; positive reads as charge."`
	DeadBandA       *float64 `json:"dead_band_a,omitzero" required:"false" minimum:"0" maximum:"50" doc:"Bank current below which the counter sees none."`
	AssumedFraction *float64 `json:"assumed_efficiency_fraction,omitzero" required:"false" minimum:"0.5" maximum:"1" doc:"Coulombic efficiency that it assumes."`
	AssumedDrawA    float64  `json:"assumed_draw_a" minimum:"0" maximum:"20" default:"0" doc:"Draw that it takes off for what it cannot see." basis:"common practice"`
	AssumedAh       float64  `json:"assumed_capacity_ah,omitzero" required:"false" minimum:"1" maximum:"200000" doc:"Bank capacity that it assumes; the true one when left out."`
	FullV           *float64 `json:"full_seen_at_v,omitzero" required:"false" minimum:"0" maximum:"1500" doc:"Re-set to full when the voltage is at least this..."`
	FullA           *float64 `json:"full_seen_a,omitzero" required:"false" minimum:"0" maximum:"20000" doc:"... and the charge current of the bank at most this..."`
	FullHoldS       *float64 `json:"full_seen_hold_s,omitzero" required:"false" minimum:"1" maximum:"36000" doc:"... for this time."`
	LowKneeCellV    *float64 `json:"low_knee_cell_v,omitzero" required:"false" minimum:"0" maximum:"5" doc:"Cell voltage at which a bms counter re-sets itself..."`
	LowKneeSoC      *float64 `json:"low_knee_soc_fraction,omitzero" required:"false" minimum:"0" maximum:"1" doc:"... to this SoC."`
}

// Settings are what an installer programs into the chargers for voltage-only
// work. All voltages are at the terminals.
type Settings struct {
	AbsorbV       float64 `json:"absorb_v" required:"false" exclusiveMinimum:"0" maximum:"1500" doc:"Absorption voltage; what follows from the module when left out, as each of the settings."`
	AbsorbMaxS    float64 `json:"absorb_max_s" minimum:"1" maximum:"86400" default:"3600" doc:"Longest absorption." basis:"common practice"`
	TailA         float64 `json:"tail_a" required:"false" minimum:"0" maximum:"20000" doc:"Current that ends absorption..."`
	TailHoldS     float64 `json:"tail_hold_s" minimum:"1" maximum:"7200" default:"180" doc:"... held for this time." basis:"common practice"`
	TailSeen      string  `json:"tail_seen" enum:"bank,own_output" default:"bank" doc:"Whether the tail current is measured at the bank by a shared shunt, or at the charger's own output." basis:"common practice"`
	FloatV        float64 `json:"float_v" required:"false" exclusiveMinimum:"0" maximum:"1500" doc:"Float voltage; absorb_v for none."`
	RestartV      float64 `json:"restart_charge_v" required:"false" exclusiveMinimum:"0" maximum:"1500" doc:"Charging starts again when the voltage is below this..."`
	RestartHoldS  float64 `json:"restart_hold_s" minimum:"1" maximum:"7200" default:"120" doc:"... for this time." basis:"common practice"`
	ChargeA       float64 `json:"charge_a" required:"false" exclusiveMinimum:"0" maximum:"100000" doc:"Output current that each charger is set to."`
	EqualiseV     float64 `json:"equalise_v,omitzero" required:"false" minimum:"0" maximum:"1500" doc:"Equalisation voltage, held after an absorption; 0 for none, which is right for lithium."`
	EqualiseS     float64 `json:"equalise_s,omitzero" required:"false" minimum:"0" maximum:"86400" doc:"Time of an equalisation, from the end of the absorption before it."`
	EqualiseDays  float64 `json:"equalise_every_d,omitzero" required:"false" minimum:"0" maximum:"366" doc:"Days from the end of one equalisation to the next; 0 makes one a cycle."`
	Senses        string  `json:"compensation_senses,omitzero" required:"false" enum:"air,cells" doc:"What the compensation goes by: the air around the bank, as a charger feels it, or a sensor on the cells; for lead-acid cells, else air, when left out."`
	CompensationV float64 `json:"compensation_v_per_c" minimum:"-1" maximum:"1" default:"0" doc:"Change of absorption, float and equalisation voltage for each kelvin of charger-sensed temperature above 25 °C." basis:"off for LFP, right for lead-acid; common practice"`
}
