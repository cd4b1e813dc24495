package document

import (
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/fault"
)

func TestSet(t *testing.T) {
	patch, err := Set(nil, "bank.modules", NumberOf(6))
	require.NoError(t, err)
	assert.Equal(t, `{"bank":{"modules":6}}`, written(t, patch))
	more, err := Set(patch, "bank.module.key", TextOf("lfp_large"))
	require.NoError(t, err)
	more, err = Set(more, "generators.main", &Node{})
	require.NoError(t, err)
	assert.Equal(t, `{"bank":{"module":{"key":"lfp_large"},"modules":6},"generators":{"main":null}}`, written(t, more))
	assert.Equal(t, `{"bank":{"modules":6}}`, written(t, patch), "not changed")
	again, err := Set(more, "bank.modules", BoolOf(true))
	require.NoError(t, err)
	assert.Equal(t, `{"bank":{"module":{"key":"lfp_large"},"modules":true},"generators":{"main":null}}`, written(t, again))
}

func TestSet_Faults(t *testing.T) {
	n := parsed(t, `{"bank":null,"site":{"elevation_m":[1]}}`)
	for path, want := range map[string]string{
		"":                                  "input: is not a path, got , allowed names with dots between, such as bank.modules",
		"bank..modules":                     "input: is not a path, got bank..modules, allowed names with dots between, such as bank.modules",
		"bank.modules":                      "/bank/modules: lies below bank, which is null",
		"site.elevation_m.0":                "/site/elevation_m/0: lies below site.elevation_m, which is a list of 1",
		strings.Repeat("a.", deepest) + "a": "input: is too long a path, got " + strings.Repeat("a.", 40) + "…, allowed at most 64 names",
	} {
		_, err := Set(n, path, NumberOf(1))
		var f fault.Fault
		require.ErrorAs(t, err, &f)
		assert.Equal(t, want, f.Error())
	}
	_, err := Set(NumberOf(1), "a", NumberOf(1))
	assert.EqualError(t, err, "/a: lies below a document that is a number")
}

func TestTypeAt(t *testing.T) {
	root := reflect.TypeFor[station]()
	for path, want := range map[string]reflect.Type{
		"bank.modules":                       reflect.TypeFor[int](),
		"bank.module":                        reflect.TypeFor[stationModule](),
		"bank.module.key":                    reflect.TypeFor[string](),
		"site.latitude_deg":                  reflect.TypeFor[float64](),
		"generators.main":                    reflect.TypeFor[stationSet](),
		"generators.main.start_soc_fraction": reflect.TypeFor[*float64](),
		"inverter.charger.rated_a":           reflect.TypeFor[float64](),
		"bank.module.charge_a_by_c":          reflect.TypeFor[[][2]float64](),
		"bank.module.notes.Anything":         reflect.TypeFor[string](),
		"controls.shed_soc_fraction":         reflect.TypeFor[float64](),
	} {
		got, err := TypeAt(root, path)
		assert.NoError(t, err, path)
		assert.Equal(t, want, got, path)
	}
	for path, want := range map[string]string{
		"bank.module.charge_a_by_c.0": "/bank/module/charge_a_by_c/0: cannot be reached: bank.module.charge_a_by_c is changed as a whole",
		"bank.modules.x":              "/bank/modules/x: cannot be reached: bank.modules is changed as a whole",
		"bank.opration":               "/bank/opration: is not a known member; did you mean operation?, allowed one of module, modules, operation, enclosure, link_up, seed",
		"Bank.modules":                "/Bank: is not a known member; did you mean bank?, allowed one of name, site, weather, bank, inverter, generators, controls",
		"generators.Main.rated_kw":    "/generators/Main: is not a name, got Main, allowed lower-case letters a to z, digits and _",
		"bank.":                       "input: is not a path, got bank., allowed names with dots between, such as bank.modules",
	} {
		_, err := TypeAt(root, path)
		assert.EqualError(t, err, want, path)
	}
}

func TestSetText(t *testing.T) {
	root := reflect.TypeFor[station]()
	for _, c := range []struct{ path, text, want string }{
		{"bank.modules", "6", `{"bank":{"modules":6}}`},
		{"bank.modules", "6.0", `{"bank":{"modules":6}}`},
		{"bank.modules", "null", `{"bank":{"modules":null}}`},
		{"bank.operation", "voltage_only", `{"bank":{"operation":"voltage_only"}}`},
		{"name", "12", `{"name":"12"}`},
		{"name", `"quoted"`, `{"name":"\"quoted\""}`},
		{"bank.link_up", "false", `{"bank":{"link_up":false}}`},
		{"site.latitude_deg", "-1.5e1", `{"site":{"latitude_deg":-15}}`},
		{"generators.main.start_soc_fraction", "0.3", `{"generators":{"main":{"start_soc_fraction":0.3}}}`},
		{"generators.main", "null", `{"generators":{"main":null}}`},
		{"generators.spare", `{"key":"diesel"}`, `{"generators":{"spare":{"key":"diesel"}}}`},
		{"bank.module.charge_a_by_c", "[[0,0],[5,10]]", `{"bank":{"module":{"charge_a_by_c":[[0,0],[5,10]]}}}`},
	} {
		patch, faults := SetText(nil, root, c.path, c.text)
		require.Empty(t, faults, c.path)
		assert.Equal(t, c.want, written(t, patch))
	}
	for _, c := range []struct{ path, text, want string }{
		{"bank.modules", "", "/bank/modules: is empty; null removes the member, got , allowed a whole number"},
		{"name", "", "/name: is empty; null removes the member, got , allowed text"},
		{"bank.modules", "2.5", "/bank/modules: is not a whole number, got 2.5, allowed a whole number"},
		{"bank.modules", "1e400", "/bank/modules: is too large for a number, got 1e400, allowed a number between -1.7976931348623157e308 and 1.7976931348623157e308"},
		{"bank.seed", "-1", "/bank/seed: is outside the allowed range, got -1, allowed a whole number from 0 to 9007199254740991"},
		{"inverter.rated_w", "5,5", "/inverter/rated_w: is not a number, got 5,5, allowed a number (W)"},
		{"inverter.rated_w", "NaN", "/inverter/rated_w: is not a number, got NaN, allowed a number (W)"},
		{"inverter.rated_w", "0x10", "/inverter/rated_w: is not a number, got 0x10, allowed a number (W)"},
		{"inverter.rated_w", " 5", "/inverter/rated_w: is not a number, got  5, allowed a number (W)"},
		{"bank.link_up", "1", "/bank/link_up: is not true or false, got 1, allowed true or false"},
		{"name", "\xff", "/name: holds bytes that are not Unicode, got \xff, allowed text"},
		{"bank.module", "lfp_large", "/bank/module: is not JSON here (line 1, column 1), allowed a value: an object, a list, text in double quotes, a number, true, false or null"},
		{"bank.module", "5", "/bank/module: is a number, not an object, got 5, allowed an object"},
		{"bank.module", `{"a":1,"a":2}`, "/bank/module/a: is given more than once, got 2, allowed each member once"},
		{"bank.module.charge_a_by_c", "5", "/bank/module/charge_a_by_c: is a number, not a list, got 5, allowed a list"},
		{"bank.modulus", "5", "/bank/modulus: is not a known member; did you mean modules?, allowed one of module, modules, operation, enclosure, link_up, seed"},
	} {
		_, faults := SetText(nil, root, c.path, c.text)
		if assert.Len(t, faults, 1, "%s=%s", c.path, c.text) {
			assert.Equal(t, c.want, faults[0].Error())
		}
	}
	removed, _ := SetText(nil, root, "bank", "null")
	_, faults := SetText(removed, root, "bank.modules", "5")
	assert.Equal(t, []string{"/bank/modules: lies below bank, which is null"}, lines(faults))
}

func TestParseValue(t *testing.T) {
	n, faults := ParseValue("0.5", reflect.TypeFor[*float64]())
	require.Empty(t, faults)
	assert.Equal(t, `0.5`, written(t, n))
	n, faults = ParseValue(`{"a":[null]}`, reflect.TypeFor[*Node]())
	require.Empty(t, faults)
	assert.Equal(t, `{"a":[null]}`, written(t, n))
	_, faults = ParseValue("x", reflect.TypeFor[int]())
	assert.Equal(t, []string{"input: is not a whole number, got x, allowed a whole number"}, lines(faults))
}
