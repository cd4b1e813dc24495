// Package cost says what a system costs over a horizon, from prices of the
// caller's and one simulated year that stands for every year:
//
//	present value = capital + Σ replacement · (1 + r)^−t + a · (fuel + service + grid + other) − Σ residual · (1 + r)^−N
//	a             = (1 − (1 + r)^−N) / r, N at r = 0: the present value of 1 at the end of each of N years
//	cost per kWh  = present value / (a · energy served in a year)
//
// The grid's energy is priced by its tariff. Prices are in whatever the caller calls them; nothing is converted.
package cost

// Prices are what parts and work cost. A price that is left out is 0, and the
// bill names what has none.
type Prices struct {
	Currency string `json:"currency" doc:"What the prices are in, in the caller's word; repeated, never converted."`

	Module            float64 `json:"module_each,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"One battery module."`
	ArrayPerKW        float64 `json:"array_per_kw,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"Solar modules with their mounting, for each rated kW."`
	SolarCharger      float64 `json:"solar_charger_each,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"One solar charger."`
	PVInverter        float64 `json:"pv_inverter_each,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"One inverter of an AC-coupled array."`
	Inverter          float64 `json:"inverter_each,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"One inverter-charger."`
	Generator         float64 `json:"generator_each,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"One generator."`
	DataLink          float64 `json:"data_link,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"The data link: cable, commissioning; paid when data-linked."`
	Gateway           float64 `json:"gateway_each,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"The gateway of a data link, where it has a draw_w."`
	Heater            float64 `json:"heater_each,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"Heater of one module, where there is one."`
	Cupboard          float64 `json:"insulated_cupboard,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"Insulated cupboard, where there is one."`
	TemperatureSensor float64 `json:"temperature_sensor_each,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"Temperature sensor of one solar charger, where it has one."`
	Works             float64 `json:"works,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"Everything else that is paid once: planning, transport, installation."`

	FuelPerL   float64 `json:"fuel_per_l,omitzero" required:"false" minimum:"0" maximum:"1000000" doc:"Fuel, delivered."`
	Service    float64 `json:"generator_service_each,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"One service of a generator, due after its service_every_h."`
	Delivery   float64 `json:"fuel_delivery_each,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"Bringing fuel once, beside the fuel; counted where a generator's fuel_deliveries say when."`
	Visit      float64 `json:"visit_each,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"One visit by somebody from elsewhere because the site is dark."`
	RemoteView float64 `json:"remote_view_per_y,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"Seeing the site from afar, where it is seen."`
	Operator   float64 `json:"operator_per_y,omitzero" required:"false" minimum:"0" maximum:"1000000000" doc:"Somebody on site, where there is somebody."`

	DiscountRate float64 `json:"discount_rate_fraction" minimum:"0" maximum:"1" default:"0.05" doc:"Rate by which a later payment counts less, a year, above inflation." basis:"common practice"`
	HorizonY     int     `json:"horizon_y" minimum:"1" maximum:"50" default:"20" doc:"Years that are reckoned with." basis:"common practice"`

	ModuleLifeY    float64 `json:"module_life_y,omitzero" required:"false" exclusiveMinimum:"0" maximum:"100" doc:"Life of the battery modules; left out: years_to_80_pct of the year; for lead-acid the lesser of years_by_cycles and years_on_float, for any other chemistry that of years_by_cycles and the warranty's years. The bill names which."`
	ArrayLifeY     float64 `json:"array_life_y" exclusiveMinimum:"0" maximum:"100" default:"25" doc:"Life of the solar modules." basis:"common practice"`
	ConverterLifeY float64 `json:"converter_life_y" exclusiveMinimum:"0" maximum:"100" default:"12" doc:"Life of chargers, inverters and what is electronic." basis:"common practice"`
	GeneratorLifeH float64 `json:"generator_life_h" exclusiveMinimum:"0" maximum:"200000" default:"10000" doc:"Running time that the generator lasts." basis:"common practice, small diesel set"`
	GeneratorLifeY float64 `json:"generator_life_y" exclusiveMinimum:"0" maximum:"100" default:"20" doc:"Life of the generator, however little it runs." basis:"common practice"`
}
