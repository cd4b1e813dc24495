package api

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/document"
	"bankyear/sim/fault"
)

func find(t *testing.T, faults fault.Faults, pointer string) fault.Fault {
	t.Helper()
	for _, f := range faults {
		if f.Pointer == pointer {
			return f
		}
	}
	require.Failf(t, "no such fault", "%s in\n%s", pointer, faults)
	return fault.Fault{}
}

func TestRead_Fault(t *testing.T) {
	base := complete(t)
	for _, c := range []struct {
		name, patch    string
		pointer        string
		message        string
		allowed, unit  string
		value          any
		valueUnchecked bool
	}{
		{name: "unknown member", patch: `{"bank":{"moduls":3}}`, pointer: "/bank/moduls", message: "not a known member", allowed: "one of module", valueUnchecked: true},
		{name: "wrong case", patch: `{"bank":{"Modules":3,"modules":null}}`, pointer: "/bank/Modules", message: "wrong case", allowed: "modules", valueUnchecked: true},
		{name: "missing", patch: `{"bank":{"modules":null}}`, pointer: "/bank/modules", message: "is missing"},
		{name: "wrong type", patch: `{"bank":{"modules":"three"}}`, pointer: "/bank/modules", message: "is text", value: "three"},
		{name: "fraction for a count", patch: `{"bank":{"modules":2.5}}`, pointer: "/bank/modules", message: "not a whole number", value: 2.5},
		{name: "out of range", patch: `{"bank":{"modules":65}}`, pointer: "/bank/modules", message: "outside the allowed range", allowed: "1 to 64", value: 65},
		{name: "with unit", patch: `{"site":{"latitude_deg":91}}`, pointer: "/site/latitude_deg", message: "outside", allowed: "-90 to 90", unit: "°", value: 91.0},
		{name: "unknown choice", patch: `{"bank":{"operation":"wireless"}}`, pointer: "/bank/operation", message: "not a known choice", allowed: "one of data_linked, voltage_only", value: "wireless"},
		{name: "unknown key", patch: `{"inverter":{"key":"inverter_7kw"}}`, pointer: "/inverter/key", message: "not a key", allowed: "inverter_6kw", value: "inverter_7kw"},
		{name: "name of an appliance", patch: `{"load":{"appliances":{"Deep Freezer":{"w":100}}}}`, pointer: "/load/appliances/Deep Freezer", message: "is not a name", valueUnchecked: true},
		{name: "negative load", patch: `{"load":{"appliances":{"lights":{"w":-40}}}}`, pointer: "/load/appliances/lights/w", message: "outside", allowed: "above 0", value: -40.0},
		{name: "null", patch: `{"array":{"planes":{"roof":{"tilt_deg":[]}}}}`, pointer: "/array/planes/roof/tilt_deg", message: "is a list of 0", unit: "°"},
		{name: "file over HTTP", patch: `{"weather":{"file":"year.csv","ghi_w_m2":null,"dni_w_m2":null,"dhi_w_m2":null,"ambient_c":null,"wind_m_s":null}}`,
			pointer: "/weather/file", message: "only be read on the command line", value: "year.csv"},
		{name: "two ways of weather", patch: `{"weather":{"text":"x"}}`, pointer: "/weather", message: "several ways: text and columns"},
		{name: "no weather", patch: `{"weather":null}`, pointer: "/weather", message: "is missing"},
		{name: "format without a file", patch: `{"weather":{"format":"epw"}}`, pointer: "/weather/format", message: "only goes with text or file"},
		{name: "step", patch: `{"weather":{"step_s":1234}}`, pointer: "/weather/step_s", message: "not a step", unit: "s", value: 1234},
		{name: "wrong length", patch: `{"weather":{"ambient_c":[1,2,3]}}`, pointer: "/weather/ambient_c", message: "wrong length", allowed: "8760", unit: "rows", value: 3},
		{name: "wrong calendar", patch: `{"calendar_year":2024}`, pointer: "/weather/ghi_w_m2", message: "365 days, and 2024 has 366", allowed: "8784", unit: "rows", value: 8760},
		{name: "half of the irradiance", patch: `{"weather":{"dhi_w_m2":null}}`, pointer: "/weather/dhi_w_m2", message: "is missing beside dni_w_m2", unit: "W/m²"},
		{name: "voltage windows", patch: `{"inverter":{"key":"inverter_3kw_24v"}}`, pointer: "/bank/settings/absorb_v", message: "inverter cannot work at", unit: "V", allowed: "21 to 32", value: 56.0},
		{name: "hours of the day", patch: `{"load":{"appliances":{"lights":{"hours":"25-26"}}}}`, pointer: "/load/appliances/lights/hours", message: "", value: "25-26"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var cases Cases
			_, faults, isJSON := cases.Read(text(t, with(t, base, c.patch)))
			require.True(t, isJSON)
			f := find(t, faults, c.pointer)
			assert.Contains(t, f.Message, c.message)
			assert.Contains(t, f.Allowed, c.allowed)
			if c.unit != "" {
				assert.Equal(t, c.unit, f.Unit)
			}
			if !c.valueUnchecked {
				assert.Equal(t, c.value, f.Value)
			}
		})
	}
}

// What JSON itself cannot carry, or carries twice, is found in the text.
func TestRead_FaultOfText(t *testing.T) {
	raw := string(text(t, complete(t)))
	for _, c := range []struct{ name, old, new, pointer, message string }{
		{"duplicate", `"modules":2`, `"modules":2,"modules":3`, "/bank/modules", "more than once"},
		{"NaN", `"modules":2`, `"modules":NaN`, "/bank/modules", "not a number that JSON can carry"},
		{"infinity", `"rated_kw":2.4`, `"rated_kw":1e400`, "/array/planes/roof/rated_kw", "too large"},
		{"leading zero", `"rated_kw":2.4`, `"rated_kw":02.4`, "/array/planes/roof/rated_kw", "not a number as JSON writes it"},
		{"no number", `"ghi_w_m2":[0,`, `"ghi_w_m2":[NaN,`, "/weather/ghi_w_m2/0", "not a number that JSON can carry"},
		{"text in a column", `"ghi_w_m2":[0,`, `"ghi_w_m2":["0",`, "/weather/ghi_w_m2/0", "is text"},
		{"outside in a column", `"ghi_w_m2":[0,`, `"ghi_w_m2":[-5,`, "/weather/ghi_w_m2/0", "outside"},
		{"irradiance at night", `"ghi_w_m2":[0,`, `"ghi_w_m2":[600,`, "/weather/ghi_w_m2/0", "is strong at"},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Contains(t, raw, c.old)
			var cases Cases
			_, faults, isJSON := cases.Read([]byte(strings.Replace(raw, c.old, c.new, 1)))
			require.True(t, isJSON)
			assert.Contains(t, find(t, faults, c.pointer).Message, c.message)
		})
	}
}

// All faults come at once: of the structure, the ranges, the weather, the load
// and what the members mean together.
func TestRead_AllAtOnce(t *testing.T) {
	request := with(t, complete(t), `{
		"colour": "red",
		"site": {"latitude_deg": null},
		"bank": {"modules": 99},
		"weather": {"ambient_c": [1, 2]},
		"load": {"appliances": {"lights": {"hours": "noon"}}},
		"array": {"planes": {"roof": {"charger": "north"}}}}`)
	got := pointers(text(t, request))
	for _, pointer := range []string{"/colour", "/site/latitude_deg", "/bank/modules", "/weather/ambient_c", "/load/appliances/lights/hours", "/array/planes/roof/charger"} {
		assert.Contains(t, got, pointer)
	}
}

// A value that was not readable is not reported a second time for its range.
func TestRead_OnceOnly(t *testing.T) {
	got := pointers(text(t, with(t, complete(t), `{"bank":{"module":{"capacity_ah":"many"}}}`)))
	assert.Equal(t, []string{"/bank/module/capacity_ah"}, got)
}

// A part that could not be read is not held against others: its zeros are
// nobody's.
func TestRead_NothingSaidOfZeros(t *testing.T) {
	for patch, want := range map[string][]string{
		`{"inverter":{"key":"inverter_3kv"}}`:           {"/inverter/key"},
		`{"inverter":{"min_v":"low"}}`:                  {"/inverter/min_v"},
		`{"inverter":null}`:                             {"/inverter"},
		`{"bank":{"module":null}}`:                      {"/bank/module"},
		`{"bank":{"module":{"key":"lead"}}}`:            {"/bank/module/key"},
		`{"array":{"chargers":{"south":{"key":"x"}}}}`:  {"/array/chargers/south/key"},
		`{"controls":{"low_end":{"cut_off_v":"low"}}}`:  {"/controls/low_end/cut_off_v"},
		`{"generators":{"g":{"key":"diesel_8000kw"}}}`:  {"/generators/g/key"},
		`{"load":{"key":"castle","appliances":null}}`:   {"/load/key"},
		`{"load":{"appliances":{"lights":{"w":null}}}}`: {"/load/appliances/lights/w"},
	} {
		assert.Equal(t, want, pointers(text(t, with(t, complete(t), patch))), patch)
	}
}

// Thousands of equal faults in a column are counted, not listed.
func TestRead_Condensed(t *testing.T) {
	cold := make([]float64, 8760)
	for i := range cold {
		cold[i] = -300
	}
	request := merged(complete(t), map[string]any{"weather": map[string]any{"ambient_c": cold}, "bank": map[string]any{"modules": 0}})
	var cases Cases
	_, faults, _ := cases.Read(text(t, request))
	assert.Less(t, len(faults), 50)
	find(t, faults, "/bank/modules")
	assert.Equal(t, 8760-mostOfAKind, find(t, faults, "/weather/ambient_c").Value)
}

func TestRead_NotJSON(t *testing.T) {
	for _, raw := range []string{"", "{", `{"site":{}} x`, "<xml/>", strings.Repeat("[", 100)} {
		var cases Cases
		c, faults, isJSON := cases.Read([]byte(raw))
		assert.False(t, isJSON, raw)
		assert.Nil(t, c)
		assert.Len(t, faults, 1)
	}
	for _, raw := range []string{"null", "3", "[]", `"text"`} {
		var cases Cases
		_, faults, isJSON := cases.Read([]byte(raw))
		assert.True(t, isJSON, raw)
		assert.NotEmpty(t, faults)
	}
}

// Every value that nobody stated is listed once, with a basis.
func TestRead_Assumed(t *testing.T) {
	c := read(t, complete(t))
	seen := map[string]document.Assumption{}
	for _, a := range c.Assumed {
		assert.NotContains(t, seen, a.Pointer)
		assert.NotEmpty(t, a.Basis, a.Pointer)
		seen[a.Pointer] = a
	}
	assert.Equal(t, 0.002, seen["/bank/cable_ohm"].Value)
	assert.Equal(t, "Ω", seen["/bank/cable_ohm"].Unit)
	assert.Contains(t, seen, "/weather/step_s")
	assert.Contains(t, seen, "/bank/settings/absorb_v", "derived from the module")
	assert.NotContains(t, seen, "/calendar_year", "stated")
	stated := read(t, with(t, complete(t), `{"bank":{"cable_ohm":0.002}}`))
	assert.Len(t, stated.Assumed, len(c.Assumed)-1)
}

func TestRead_Catalogue(t *testing.T) {
	c := read(t, with(t, complete(t), `{"bank":{"module":{"capacity_ah":90}}}`))
	used := map[string]CatalogueUse{}
	for _, u := range uses(c.Catalogue) {
		used[u.Pointer] = u
	}
	assert.Equal(t, "lfp_16s_100ah", used["/bank/module"].Key)
	assert.Equal(t, []string{"/bank/module/capacity_ah"}, used["/bank/module"].Overrides)
	assert.NotEmpty(t, used["/bank/module"].Basis)
	assert.Empty(t, used["/inverter"].Overrides)
	assert.Equal(t, 90.0, c.System.Bank.Module.CapacityAh)
}

// Lead-acid that is to be data-linked is told so, and nothing of a voltage that nobody asks
// for.
func TestFaults_LeadAcidLinked(t *testing.T) {
	var cases Cases
	_, faults, _ := cases.Read(text(t, with(t, with(t, complete(t), `{"bank":{"module":null}}`), `{"bank":{"module":{"key":"lead_acid_vented_24s_400ah"},"modules":1,"operation":"data_linked"}}`)))
	var at []string
	for _, f := range faults {
		at = append(at, f.Pointer)
	}
	assert.Equal(t, []string{"/bank/operation"}, at)
}
