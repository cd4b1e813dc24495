package document

// station is a request of the shape that the service takes, for the tests of
// this package.
type station struct {
	Name       string                `json:"name,omitzero" required:"false" hash:"-"`
	Site       stationSite           `json:"site"`
	Weather    stationWeather        `json:"weather" hash:"-"`
	Bank       stationBank           `json:"bank"`
	Inverter   stationInverter       `json:"inverter" catalogue:"inverter"`
	Generators map[string]stationSet `json:"generators,omitzero" required:"false" keys:"name" catalogue:"generator"`
	Controls   *stationControls      `json:"controls,omitzero" required:"false"`
}

type stationSite struct {
	stationPlace
	ElevationM float64 `json:"elevation_m" default:"0" basis:"sea level"`
}

type stationPlace struct {
	LatitudeDeg  float64 `json:"latitude_deg" minimum:"-90" maximum:"90"`
	LongitudeDeg float64 `json:"longitude_deg" minimum:"-180" maximum:"180"`
}

type stationWeather struct {
	GHI       []float64 `json:"ghi_w_m2,omitzero" required:"false" minimum:"0"`
	DNI       []float64 `json:"dni_w_m2,omitzero" required:"false" minimum:"0"`
	DHI       []float64 `json:"dhi_w_m2,omitzero" required:"false" minimum:"0"`
	AmbientC  []float64 `json:"ambient_c,omitzero" required:"false"`
	WindMS    []float64 `json:"wind_m_s,omitzero" required:"false" minimum:"0"`
	PressureP []float64 `json:"pressure_pa,omitzero" required:"false" minimum:"0"`
}

type stationBank struct {
	Module    stationModule    `json:"module" catalogue:"module"`
	Modules   int              `json:"modules" minimum:"1" maximum:"64"`
	Operation string           `json:"operation" enum:"data_linked,voltage_only"`
	Enclosure stationEnclosure `json:"enclosure" default:"{}"`
	LinkUp    bool             `json:"link_up" default:"true"`
	Seed      uint64           `json:"seed" default:"1"`
}

type stationModule struct {
	Key           string             `json:"key,omitzero" required:"false" hash:"-"`
	CapacityAh    float64            `json:"capacity_ah" exclusiveMinimum:"0"`
	ResistanceOhm float64            `json:"resistance_ohm"`
	CeilingByC    [][2]float64       `json:"charge_a_by_c" minItems:"1"`
	Protection    stationProtection  `json:"protection"`
	Notes         map[string]string  `json:"notes,omitzero" required:"false" hash:"-"`
	Prices        map[string]float64 `json:"prices,omitzero" required:"false" keys:"name"`
}

type stationProtection struct {
	OverV  float64 `json:"over_v"`
	UnderV float64 `json:"under_v" default:"44.8" basis:"common practice"`
}

type stationEnclosure struct {
	Kind      string      `json:"kind" enum:"outdoor,fixed" default:"outdoor" basis:"stated"`
	FixedC    float64     `json:"fixed_c" default:"20" basis:"common practice"`
	ByMonth   [12]float64 `json:"by_month_c,omitzero" required:"false"`
	DirtParts []float64   `json:"dirt_fraction" default:"[0.03]"`
}

type stationInverter struct {
	Key     string           `json:"key,omitzero" required:"false" hash:"-"`
	RatedW  float64          `json:"rated_w"`
	Charger *stationCharger  `json:"charger,omitzero" required:"false" catalogue:"charger"`
	Spare   []stationCharger `json:"spare,omitzero" required:"false" catalogue:"charger"`
}

type stationCharger struct {
	Key    string  `json:"key,omitzero" required:"false" hash:"-"`
	RatedA float64 `json:"rated_a"`
}

type stationSet struct {
	Key     string   `json:"key,omitzero" required:"false" hash:"-"`
	RatedKW float64  `json:"rated_kw"`
	StartAt *float64 `json:"start_soc_fraction,omitzero" required:"false"`
	Tries   int      `json:"start_tries" default:"3" basis:"common practice"`
}

type stationControls struct {
	Shed   float64 `json:"shed_soc_fraction" default:"0.3" basis:"common practice"`
	Return float64 `json:"return_soc_fraction" default:"0.5" basis:"common practice"`
}

const stationJSON = `{
  "name": "Field station",
  "site": {"latitude_deg": 44.467, "longitude_deg": -73.15, "elevation_m": 101},
  "weather": {"ghi_w_m2": [0, 12.5, 300], "ambient_c": [-5, -4.5, -0]},
  "bank": {
    "module": {"capacity_ah": 100, "resistance_ohm": 0.025, "charge_a_by_c": [[0, 0], [15, 50]], "protection": {"over_v": 58.4}},
    "modules": 4, "operation": "data_linked"
  },
  "inverter": {"rated_w": 6000},
  "generators": {"main": {"rated_kw": 8, "start_soc_fraction": 0.25}}
}`
