package document

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/fault"
)

func TestDecode_Values(t *testing.T) {
	var s station
	_, faults := Decode(parsed(t, stationJSON), &s)
	require.Empty(t, faults)
	quarter := 0.25
	assert.Equal(t, station{
		Name:    "Field station",
		Site:    stationSite{stationPlace: stationPlace{LatitudeDeg: 44.467, LongitudeDeg: -73.15}, ElevationM: 101},
		Weather: stationWeather{GHI: []float64{0, 12.5, 300}, AmbientC: []float64{-5, -4.5, 0}},
		Bank: stationBank{
			Module: stationModule{CapacityAh: 100, ResistanceOhm: 0.025, CeilingByC: [][2]float64{{0, 0}, {15, 50}},
				Protection: stationProtection{OverV: 58.4, UnderV: 44.8}},
			Modules: 4, Operation: "data_linked", LinkUp: true, Seed: 1,
			Enclosure: stationEnclosure{Kind: "outdoor", FixedC: 20, DirtParts: []float64{0.03}},
		},
		Inverter:   stationInverter{RatedW: 6000},
		Generators: map[string]stationSet{"main": {RatedKW: 8, StartAt: &quarter, Tries: 3}},
	}, s)
}

func TestDecode_Assumed(t *testing.T) {
	var s station
	decoded, faults := Decode(parsed(t, stationJSON), &s)
	require.Empty(t, faults)
	assert.Equal(t, []Assumption{
		{"/bank/module/protection/under_v", 44.8, "V", "common practice"},
		{"/bank/enclosure/kind", "outdoor", "", "stated"},
		{"/bank/enclosure/fixed_c", 20.0, "°C", "common practice"},
		{"/bank/enclosure/dirt_fraction", []float64{0.03}, "", "default"},
		{"/bank/link_up", true, "", "default"},
		{"/bank/seed", uint64(1), "", "default"},
		{"/generators/main/start_tries", 3, "", "common practice"},
	}, decoded.Assumed)

	decoded, faults = Decode(Merge(parsed(t, stationJSON), parsed(t, `{"site":{"elevation_m":null},"controls":{"shed_soc_fraction":0.2},
		"bank":{"enclosure":{"kind":"fixed","fixed_c":18,"dirt_fraction":[0]},"link_up":false,"seed":2,"module":{"protection":{"under_v":45}}},"generators":null}`)), &s)
	require.Empty(t, faults)
	assert.Equal(t, []Assumption{
		{"/site/elevation_m", 0.0, "m", "sea level"},
		{"/controls/return_soc_fraction", 0.5, "", "common practice"},
	}, decoded.Assumed)
	assert.Nil(t, s.Generators, "Decode starts from zero")
}

// Defaults inside defaults: written ones take the outer basis, the rest their own.
func TestDecode_AssumedInsideDefaults(t *testing.T) {
	type step struct {
		A float64 `json:"above_a"`
		S float64 `json:"hold_s" default:"60" basis:"inner"`
	}
	type plan struct {
		First *step             `json:"first" default:"{\"above_a\":5}" basis:"outer"`
		Steps []step            `json:"steps" default:"[{\"above_a\":1}]" basis:"outer"`
		Extra []step            `json:"extra" default:"[]"`
		Names map[string]string `json:"names" default:"{}"`
		Mode  *string           `json:"mode" required:"false" default:"auto"`
		Year  [3]int            `json:"year" default:"[1,2,3]"`
	}
	var p plan
	decoded, faults := Decode(parsed(t, `{}`), &p)
	require.Empty(t, faults)
	auto := "auto"
	assert.Equal(t, plan{&step{5, 60}, []step{{1, 60}}, []step{}, map[string]string{}, &auto, [3]int{1, 2, 3}}, p)
	assert.Equal(t, []Assumption{
		{"/first/above_a", 5.0, "A", "outer"}, {"/first/hold_s", 60.0, "s", "inner"},
		{"/steps/0/above_a", 1.0, "A", "outer"}, {"/steps/0/hold_s", 60.0, "s", "inner"},
		{"/extra", []step{}, "", "default"}, {"/names", map[string]string{}, "", "default"},
		{"/mode", "auto", "", "default"}, {"/year", [3]int{1, 2, 3}, "", "default"},
	}, decoded.Assumed)
}

// Of two names as near, the one that is not given yet was meant; a member in the wrong
// case is told once, not as out of range too.
func TestDecode_OneFaultAName(t *testing.T) {
	type bank struct {
		Module  string `json:"module"`
		Modules int    `json:"modules" minimum:"1" maximum:"64"`
	}
	says := func(text string) []string {
		var b bank
		decoded, faults := Decode(parsed(t, text), &b)
		check := fault.New()
		fault.CheckTags(check, b)
		return lines(append(faults, decoded.Beyond(faults, check.Faults())...))
	}
	assert.Equal(t, []string{"/moduls: is not a known member; did you mean modules?, allowed one of module, modules", "/modules: is missing, allowed a whole number"}, says(`{"module":"m","moduls":3}`))
	assert.Equal(t, []string{"/Modules: is written in the wrong case, allowed modules"}, says(`{"module":"m","Modules":3}`))
}

// Everything wrong at once: each fault has its place, value, allowed form, unit.
func TestDecode_AllFaults(t *testing.T) {
	var s station
	_, faults := Decode(parsed(t, `{
		"Name": "x",
		"site": {"latitude_deg": "44", "lattitude_deg": 1, "elevation_m": null},
		"weather": {"ghi_w_m2": [1, "2", null, 4], "ambient_c": 5, "albedo": {}},
		"bank": {
			"module": {"capacity_ah": true, "resistance_ohm": [1], "charge_a_by_c": [[0, 0], [1], 2, [3, "4"]], "protection": [],
			           "prices": {"Retail": 1, "": 2, "ok_2": "3"}, "notes": {"Anything Goes": "x"}},
			"modules": 2.5, "Operation": 7, "seed": -1, "link_up": 1, "enclosure": {"by_month_c": [1, 2]}
		},
		"generators": {"main": {"rated_kw": 8, "start_soc_fraction": null, "start_tries": 1e10, "tries": 1}, "spare": 5, "none": null},
		"controls": null
	}`), &s)
	assert.Equal(t, []string{
		"/Name: is written in the wrong case, allowed name",
		"/site/latitude_deg: is text, not a number, got 44, allowed a number (°)",
		"/site/lattitude_deg: is not a known member; did you mean latitude_deg?, allowed one of latitude_deg, longitude_deg, elevation_m",
		"/site/elevation_m: is null, which is not allowed here, allowed a number (m)",
		"/site/longitude_deg: is missing, allowed a number (°)",
		"/weather/ghi_w_m2/1: is text, not a number, got 2, allowed a number (W/m²)",
		"/weather/ghi_w_m2/2: is null, which is not allowed here, allowed a number (W/m²)",
		"/weather/ambient_c: is a number, not a list, got 5, allowed a list",
		"/weather/albedo: is not a known member, allowed one of ghi_w_m2, dni_w_m2, dhi_w_m2, ambient_c, wind_m_s, pressure_pa",
		"/bank/module/capacity_ah: is true or false, not a number, got true Ah, allowed a number (Ah)",
		"/bank/module/resistance_ohm: is a list of 1, not a number, allowed a number (Ω)",
		"/bank/module/charge_a_by_c/1: has a wrong number of items, got 1 items, allowed 2 items",
		"/bank/module/charge_a_by_c/2: is a number, not a list, got 2, allowed a list of 2",
		"/bank/module/charge_a_by_c/3/1: is text, not a number, got 4, allowed a number (°C)",
		"/bank/module/protection: is a list of 0, not an object, allowed an object",
		"/bank/module/prices/Retail: is not a name, got Retail, allowed lower-case letters a to z, digits and _",
		"/bank/module/prices/: is not a name, got , allowed lower-case letters a to z, digits and _",
		"/bank/module/prices/ok_2: is text, not a number, got 3, allowed a number",
		"/bank/modules: is not a whole number, got 2.5, allowed a whole number",
		"/bank/Operation: is written in the wrong case, allowed operation",
		"/bank/seed: is outside the allowed range, got -1, allowed a whole number from 0 to 9007199254740991",
		"/bank/link_up: is a number, not true or false, got 1, allowed true or false",
		"/bank/enclosure/by_month_c: has a wrong number of items, got 2 items, allowed 12 items",
		"/generators/main/tries: is not a known member, allowed one of key, rated_kw, start_soc_fraction, start_tries",
		"/generators/spare: is a number, not an object, got 5, allowed an object",
		"/generators/none: is null, which is not allowed here, allowed an object",
		"/inverter: is missing, allowed an object",
	}, lines(faults))

	_, faults = Decode(parsed(t, `{"kind":7,"by_month_c":5}`), &s.Bank.Enclosure)
	assert.Equal(t, []string{
		"/kind: is a number, not text, got 7, allowed one of outdoor, fixed",
		"/by_month_c: is a number, not a list, got 5, allowed a list of 12",
	}, lines(faults))
}

func TestDecode_Integers(t *testing.T) {
	type numbers struct {
		Small int8   `json:"small"`
		Big   uint64 `json:"big"`
		Plain int    `json:"plain"`
	}
	var n numbers
	_, faults := Decode(parsed(t, `{"small":-128,"big":9007199254740991,"plain":4.0}`), &n)
	require.Empty(t, faults, "a number without fractional part is an integer (JSON Schema 2020-12, validation §6.1.1)")
	assert.Equal(t, numbers{-128, 9007199254740991, 4}, n)

	_, faults = Decode(parsed(t, `{"small":128,"big":9007199254740992,"plain":-9007199254740993}`), &n)
	assert.Equal(t, []string{
		"/small: is outside the allowed range, got 128, allowed a whole number from -128 to 127",
		"/big: is outside the allowed range, got 9.007199254740992e+15, allowed a whole number from 0 to 9007199254740991",
		"/plain: is outside the allowed range, got -9.007199254740992e+15, allowed a whole number from -9007199254740991 to 9007199254740991",
	}, lines(faults))
}

// What Parse reported is not reported again, and hides no other fault.
func TestDecode_AfterParseFaults(t *testing.T) {
	n, first := Parse([]byte(`{"site":{"latitude_deg":NaN,"longitude_deg":1e999,"elevation_m":1,"elevation_m":2},
		"weather":{"ghi_w_m2":[1,NaN]},"bank":{"modules":Infinity}}`))
	assert.Len(t, first, 5)
	var s station
	_, second := Decode(n, &s)
	assert.Equal(t, []string{
		"/bank/module: is missing, allowed an object",
		"/bank/operation: is missing, allowed one of data_linked, voltage_only",
		"/inverter: is missing, allowed an object",
	}, lines(second))
}

func TestDecode_Root(t *testing.T) {
	var s station
	for text, want := range map[string]string{
		`[]`: "input: is a list of 0, not an object, allowed an object", `null`: "input: is null, which is not allowed here, allowed an object",
	} {
		_, faults := Decode(parsed(t, text), &s)
		assert.Equal(t, []string{want}, lines(faults))
	}
	var column []float64
	_, faults := Decode(parsed(t, `[1,2]`), &column)
	assert.Empty(t, faults)
	assert.Equal(t, []float64{1, 2}, column)
}

func TestDecode_KeepsRawMembers(t *testing.T) {
	type comparison struct {
		Base       *Node            `json:"base"`
		Candidates map[string]*Node `json:"candidates" keys:"name"`
		Note       *Node            `json:"note,omitzero" required:"false"`
	}
	var c comparison
	n := parsed(t, `{"base":{"Any":[1,null]},"candidates":{"two":{"bank":null},"four":{}}}`)
	_, faults := Decode(n, &c)
	require.Empty(t, faults)
	assert.Same(t, n.Get("base"), c.Base)
	assert.Equal(t, `{"base":{"Any":[1,null]},"candidates":{"four":{},"two":{"bank":null}}}`, written(t, c))
}

// A decoded value may be changed without changing the document.
func TestDecode_DoesNotShareColumns(t *testing.T) {
	n := parsed(t, `[1,2,3]`)
	var column []float64
	Decode(n, &column)
	column[0] = 9
	assert.Equal(t, `[1,2,3]`, written(t, n))
}

// Mistakes in the program's own types are found at their first use.
func TestDecode_WrongTypesPanic(t *testing.T) {
	for name, dst := range map[string]any{
		"no name": &struct{ A int }{},
		"default of a kind": &struct {
			A int `json:"a" default:"1.5"`
		}{},
		"default not JSON": &struct {
			A int `json:"a" default:"one"`
		}{},
		"default incomplete": &struct {
			A struct {
				B int `json:"b"`
			} `json:"a" default:"{}"`
		}{},
		"two of a name": &struct {
			stationPlace
			L int `json:"latitude_deg"`
		}{},
		"catalogue without key": &struct {
			A stationSite `json:"a" catalogue:"site"`
		}{},
		"catalogue key by default": &struct {
			A stationCharger `json:"a" catalogue:"charger" default:"{\"key\":\"x\"}"`
		}{},
		"channel": &struct {
			A chan int `json:"a"`
		}{},
		"map of integers": &struct {
			A map[int]string `json:"a"`
		}{},
		"not a pointer": station{},
	} {
		n := parsed(t, `{"a":{"1":"x"},"b":1}`)
		assert.Panics(t, func() { Decode(n, dst) }, name)
		assert.Panics(t, func() { Decode(n, dst) }, "%s, again", name)
	}
}
