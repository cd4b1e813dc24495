// Package inverter holds the inverter-charger: DC to AC for the load, AC to DC
// from a generator for the bank.
package inverter

// Spec is one inverter-charger.
type Spec struct {
	Key                       string       `json:"key,omitzero" required:"false" hash:"-" doc:"Catalogue entry that the values come from."`
	Units                     int          `json:"units" minimum:"1" maximum:"64" default:"1" basis:"one" doc:"Equal units in parallel; ratings, draws, the AC charger and ac_input_w are those of one."`
	RatedW                    float64      `json:"rated_w" exclusiveMinimum:"0" maximum:"1000000" doc:"Continuous AC rating."`
	IdleFraction              float64      `json:"idle_fraction" minimum:"0" maximum:"0.2" doc:"p0 of the loss curve: loss while the AC bus is held without load, of rated_w (Schmidt & Sauer 1996)."`
	LinearFraction            float64      `json:"linear_loss_fraction" minimum:"0" maximum:"0.2" doc:"k1 of the loss curve: loss in proportion to power."`
	QuadraticFraction         float64      `json:"quadratic_loss_fraction" minimum:"0" maximum:"0.2" doc:"k2 of the loss curve: loss with the square of power."`
	SearchDrawW               float64      `json:"search_draw_w" minimum:"0" maximum:"1000" default:"12" doc:"Draw in search mode, when it looks for load." basis:"common practice"`
	SearchBelowW              float64      `json:"search_below_w,omitzero" required:"false" minimum:"0" maximum:"10000" doc:"AC load below which it is in search mode: it then draws search_draw_w and the load instead of its idle loss. Never when left out."`
	OffDrawW                  float64      `json:"off_draw_w" minimum:"0" maximum:"1000" default:"8" doc:"Draw after a low-voltage cut-off." basis:"common practice"`
	Short                     [][2]float64 `json:"short_ratings_w_s" minimum:"0" maxItems:"8" doc:"Ratings above rated_w: pairs of watts and seconds, in rising watts and falling seconds."`
	ShortRestS                float64      `json:"short_rest_s" minimum:"0" maximum:"36000" default:"60" doc:"Time at or below the continuous rating before another short rating." basis:"common practice"`
	DerateAboveC              float64      `json:"derate_above_c" minimum:"0" maximum:"80" default:"40" doc:"Air temperature above which the rating falls." basis:"common practice"`
	DerateFractionPC          float64      `json:"derate_fraction_per_c" minimum:"-0.1" maximum:"0" default:"-0.01" doc:"Change of rating for each kelvin above derate_above_c." basis:"common practice"`
	AltitudeFreeM             float64      `json:"altitude_free_m" minimum:"0" maximum:"6000" default:"1500" doc:"Height above sea level up to which the ratings hold." basis:"common practice"`
	AltitudeFractionPer100M   float64      `json:"altitude_fraction_per_100_m" minimum:"-0.1" maximum:"0" default:"-0.01" doc:"Change of rating for each 100 m above altitude_free_m." basis:"common practice"`
	MinV                      float64      `json:"min_v" exclusiveMinimum:"0" maximum:"1500" doc:"Lowest DC voltage that it works at."`
	MaxV                      float64      `json:"max_v" exclusiveMinimum:"0" maximum:"1500" doc:"Highest DC voltage that it works at: above it for a second it stops."`
	MaxReturnV                float64      `json:"max_return_v,omitzero" required:"false" minimum:"0" maximum:"1500" doc:"DC voltage below which it starts again after a stop above max_v; 31/32 of max_v when left out, 2 V below 64 V."`
	RestartS                  float64      `json:"restart_s" minimum:"1" maximum:"3600" default:"30" doc:"Time from a restored DC supply to AC output." basis:"common practice"`
	ChargerA                  float64      `json:"charger_a" minimum:"0" maximum:"5000" doc:"Rated DC current of the AC charger."`
	ChargerEfficiencyFraction float64      `json:"charger_efficiency_fraction" exclusiveMinimum:"0" maximum:"1" default:"0.93" doc:"DC output over AC input of the AC charger." basis:"common practice"`
	ACInputW                  float64      `json:"ac_input_w,omitzero" required:"false" minimum:"0" maximum:"1000000" doc:"Limit of what the charger and the pass-through take from a generator together; 80 % of the generator's derated rating when left out."`
	ChargerHearsLink          *bool        `json:"charger_hears_link,omitzero" required:"false" doc:"Whether the bank's data link reaches the AC charger; one that it does not reach works voltage-only beside the others. True when left out."`
	ChargerSetOffsetV         float64      `json:"charger_set_offset_v" minimum:"-20" maximum:"20" default:"0" doc:"How far above its set-point the AC charger holds the voltage, by the error of its own measurement; below it where negative." basis:"common practice"`
	ChargerVoltageSensedAt    string       `json:"charger_voltage_sensed_at" enum:"own_output,bank" default:"own_output" doc:"Where the AC charger measures the voltage that it holds, as voltage_sensed_at of a solar charger." basis:"common practice"`
	ChargerStartsWithoutBank  bool         `json:"charger_starts_without_bank" default:"false" doc:"Whether the AC charger puts voltage on a DC bus that has none." basis:"common practice"`
	PassesWithoutBank         bool         `json:"passes_through_without_bank" default:"false" doc:"Whether generator power reaches the load with no bank on the DC bus." basis:"common practice"`
}
