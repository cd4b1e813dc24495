// Package array turns irradiance on planes into what solar chargers can give.
package array

// Spec is the solar array: planes, each wired to one solar charger on the DC bus
// or to one PV inverter on the AC bus.
type Spec struct {
	Planes    map[string]Plane      `json:"planes" keys:"name" doc:"Planes of the array by name."`
	Chargers  map[string]Charger    `json:"chargers" keys:"name" catalogue:"solar_charger" default:"{}" doc:"Solar chargers (DC-coupled) by name." basis:"none unless given"`
	Inverters map[string]PVInverter `json:"pv_inverters" keys:"name" default:"{}" doc:"PV inverters (AC-coupled) by name." basis:"none unless given"`
}

// Plane is one group of modules that face one way.
type Plane struct {
	RatedKW         float64 `json:"rated_kw" minimum:"0" maximum:"10000" doc:"Rated DC power at 1000 W/m² and 25 °C cell temperature."`
	TiltDeg         float64 `json:"tilt_deg" minimum:"0" maximum:"90" doc:"Angle from the horizontal; with a tracker, the largest that it turns to on either side."`
	AzimuthDeg      float64 `json:"azimuth_deg" minimum:"0" maximum:"360" doc:"Direction that the plane faces, clockwise from true north; with a tracker, the direction of its axis (0 or 180: it turns from east to west)."`
	Charger         string  `json:"charger" doc:"Name of the solar charger, or of the PV inverter, that the plane is wired to."`
	PowerFractionPC float64 `json:"power_fraction_per_c" minimum:"-0.01" maximum:"0" default:"-0.0035" doc:"Change of power for each kelvin of cell temperature above 25 °C; not used with single_diode." basis:"common practice"`
	Incidence       string  `json:"incidence_modifier" enum:"ashrae,physical,none" default:"physical" doc:"Reflection at an angle: ASHRAE, or physical (De Soto et al. 2006)." basis:"De Soto et al. 2006"`
	CellHeat        string  `json:"cell_temperature" enum:"faiman,noct" default:"faiman" doc:"Cell temperature: Faiman 2008 with wind, or from NOCT." basis:"Faiman 2008"`
	FaimanU0        float64 `json:"faiman_u0" minimum:"5" maximum:"100" default:"25" doc:"Faiman's constant heat loss, W/(m² K)." basis:"Faiman 2008"`
	FaimanU1        float64 `json:"faiman_u1" minimum:"0" maximum:"30" default:"6.84" doc:"Faiman's heat loss with wind, W s/(m³ K)." basis:"Faiman 2008"`
	NOCTC           float64 `json:"noct_c" minimum:"30" maximum:"70" default:"45" doc:"Nominal operating cell temperature." basis:"common practice"`
	Losses          Losses  `json:"losses" default:"{}" doc:"Named losses."`

	Strings     *Strings     `json:"strings,omitzero" required:"false" hash:"-" doc:"How the plane's modules are wired; judged by the fit check, not simulated."`
	Tracker     *Tracker     `json:"tracker,omitzero" required:"false" doc:"Turns the plane about a horizontal axis after the sun; left out, the plane is fixed."`
	SingleDiode *SingleDiode `json:"single_diode,omitzero" required:"false" doc:"Data sheet of the modules: power by the single-diode model (De Soto et al. 2006) in place of power_fraction_per_c."`
}

// Strings are modules in series, and what the data sheet of one says at 1000 W/m² and
// 25 °C cell temperature: left out, what single_diode says.
type Strings struct {
	InSeries              int     `json:"modules_in_series" minimum:"1" maximum:"60" doc:"Modules in series in each string."`
	OpenCircuitV          float64 `json:"open_circuit_v,omitzero" required:"false" exclusiveMinimum:"0" maximum:"1000" doc:"Open-circuit voltage of one module."`
	HighestPowerV         float64 `json:"highest_power_v,omitzero" required:"false" exclusiveMinimum:"0" maximum:"1000" doc:"Voltage at highest power of one module."`
	OpenCircuitFractionPC float64 `json:"open_circuit_fraction_per_c,omitzero" required:"false" minimum:"-0.01" exclusiveMaximum:"0" doc:"Change of open-circuit voltage for each kelvin of cell temperature; −0.003 when left out (common practice for crystalline silicon)."`
}

// Losses are fractions of the plane's power that never reach the charger; they
// multiply.
type Losses struct {
	SoilingFraction  []float64 `json:"soiling_fraction" minimum:"0" maximum:"0.9" minItems:"1" maxItems:"12" default:"[0.03]" doc:"Dirt: one value, or twelve for January to December." basis:"common practice"`
	SnowFraction     []float64 `json:"snow_fraction,omitzero" required:"false" minimum:"0" maximum:"1" minItems:"1" maxItems:"12" doc:"Snow cover: one value, or twelve for January to December; none when left out."`
	MismatchFraction float64   `json:"mismatch_fraction" minimum:"0" maximum:"0.5" default:"0.02" doc:"Modules that differ." basis:"common practice"`
	WiringFraction   float64   `json:"wiring_fraction" minimum:"0" maximum:"0.5" default:"0.02" doc:"Cables from array to charger." basis:"common practice"`

	// Snow goes with the tilt: see Plane.SnowFraction.
	SnowAt60DegFraction []float64 `json:"snow_at_60_deg_fraction,omitzero" required:"false" minimum:"0" maximum:"1" minItems:"1" maxItems:"12" doc:"In place of snow_fraction: what it would be at a tilt of 60°, one value or twelve. It is scaled to the plane's tilt by 4 − tilt/20°, 2.5 times at 30°, none from 80°."`
}

// Charger is one solar charger (DC-coupled).
type Charger struct {
	Key                     string  `json:"key,omitzero" required:"false" hash:"-" doc:"Catalogue entry that the values come from."`
	RatedA                  float64 `json:"rated_a" exclusiveMinimum:"0" maximum:"2000" doc:"Rated output current."`
	RatedArrayKW            float64 `json:"rated_array_kw" exclusiveMinimum:"0" maximum:"1000" doc:"Highest array power that the charger converts."`
	EfficiencyFraction      float64 `json:"efficiency_fraction" exclusiveMinimum:"0" maximum:"1" default:"0.97" doc:"Output over input power." basis:"common practice"`
	NightDrawW              float64 `json:"night_draw_w" minimum:"0" maximum:"100" default:"2" doc:"Draw from the bank when there is no sun." basis:"common practice"`
	TemperatureSensor       bool    `json:"temperature_sensor" default:"false" doc:"Whether the charger measures the bank's temperature and stops at the charge window (voltage-only)." basis:"common practice"`
	HearsLink               *bool   `json:"hears_link,omitzero" required:"false" doc:"Whether the bank's data link reaches the charger; one that it does not reach works voltage-only beside the others. True when left out."`
	SetOffsetV              float64 `json:"set_offset_v" minimum:"-20" maximum:"20" default:"0" doc:"How far above its set-point the charger holds the voltage, by the error of its own measurement; below it where negative." basis:"common practice"`
	VoltageSensedAt         string  `json:"voltage_sensed_at" enum:"own_output,bank" default:"own_output" doc:"Where it measures the voltage that it holds. own_output: at its own terminals, so that the bank is charged at its set-point less the drop in cable_ohm; bank: by sense wires at the bank's terminals, so that the drop is made up." basis:"common practice"`
	StartsWithoutBank       bool    `json:"starts_without_bank" default:"false" doc:"Whether the charger puts voltage on a DC bus that has none." basis:"common practice"`
	MaxInputV               float64 `json:"max_input_v,omitzero" required:"false" exclusiveMinimum:"0" maximum:"2000" hash:"-" doc:"Highest voltage that the charger bears at its input; judged by the fit check."`
	InputAboveOutputV       float64 `json:"input_above_output_v,omitzero" required:"false" minimum:"0" maximum:"100" hash:"-" doc:"By how much the input must be above the bank for the charger to give its power; 5 when left out (common practice). Judged by the fit check."`
	MaxOutputV              float64 `json:"max_output_v,omitzero" required:"false" exclusiveMinimum:"0" maximum:"2000" hash:"-" doc:"Highest output voltage that the charger can be set to; judged by the fit check."`
	DerateAboveC            float64 `json:"derate_above_c" minimum:"0" maximum:"80" default:"40" doc:"Air temperature above which the rating falls." basis:"common practice"`
	DerateFractionPC        float64 `json:"derate_fraction_per_c" minimum:"-0.1" maximum:"0" default:"-0.02" doc:"Change of rating for each kelvin above derate_above_c." basis:"common practice"`
	AltitudeFreeM           float64 `json:"altitude_free_m" minimum:"0" maximum:"6000" default:"1500" doc:"Height above sea level up to which the rating holds." basis:"common practice"`
	AltitudeFractionPer100M float64 `json:"altitude_fraction_per_100_m" minimum:"-0.1" maximum:"0" default:"-0.01" doc:"Change of rating for each 100 m above altitude_free_m." basis:"common practice"`
}
