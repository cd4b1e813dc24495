package document

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func catalogue(t testing.TB) Catalogue {
	return Catalogue{
		"module": {
			"lfp_small": parsed(t, `{"capacity_ah":100,"resistance_ohm":0.025,"charge_a_by_c":[[0,0],[15,50]],"protection":{"over_v":58.4,"under_v":44}}`),
			"lfp_large": parsed(t, `{"capacity_ah":280,"resistance_ohm":0.012,"charge_a_by_c":[[0,0],[15,140]],"protection":{"over_v":58.4},"notes":{"a":"b"}}`),
		},
		"inverter":  {"six": parsed(t, `{"rated_w":6000,"charger":{"key":"hundred","rated_a":90}}`)},
		"charger":   {"hundred": parsed(t, `{"rated_a":100}`), "sixty": parsed(t, `{"rated_a":60}`)},
		"generator": {"diesel": parsed(t, `{"rated_kw":8,"start_soc_fraction":0.25}`)},
	}
}

const keyed = `{
  "site": {"latitude_deg": 1, "longitude_deg": 2, "elevation_m": 3},
  "weather": {},
  "bank": {"module": {"key": "lfp_small", "resistance_ohm": 0.03, "protection": {"under_v": null, "over_v": 57}}, "modules": 4, "operation": "data_linked"},
  "inverter": {"key": "six", "spare": [{"key": "sixty"}, {"rated_a": 5}]},
  "generators": {"main": {"key": "diesel"}, "own": {"rated_kw": 3}}
}`

func TestExpand(t *testing.T) {
	n := parsed(t, keyed)
	expanded, expansions, faults := Expand(n, reflect.TypeFor[station](), catalogue(t))
	require.Empty(t, faults)
	assert.Equal(t, []Expansion{
		{Pointer: "/bank/module", Key: "lfp_small", Overrides: []string{"/bank/module/resistance_ohm", "/bank/module/protection/under_v", "/bank/module/protection/over_v"}},
		{Pointer: "/inverter", Key: "six", Overrides: []string{"/inverter/spare"}},
		{Pointer: "/inverter/charger", Key: "hundred", Overrides: []string{"/inverter/charger/rated_a"}},
		{Pointer: "/inverter/spare/0", Key: "sixty"},
		{Pointer: "/generators/main", Key: "diesel"},
	}, expansions)
	assert.Equal(t, `{"capacity_ah":100,"charge_a_by_c":[[0,0],[15,50]],"key":"lfp_small","protection":{"over_v":57},"resistance_ohm":0.03}`,
		written(t, expanded.Get("bank").Get("module")))
	assert.Equal(t, `{"charger":{"key":"hundred","rated_a":90},"key":"six","rated_w":6000,"spare":[{"key":"sixty","rated_a":60},{"rated_a":5}]}`,
		written(t, expanded.Get("inverter")))
	assert.Equal(t, `{"main":{"key":"diesel","rated_kw":8,"start_soc_fraction":0.25},"own":{"rated_kw":3}}`, written(t, expanded.Get("generators")))
	assert.Same(t, n.Get("site"), expanded.Get("site"))
	assert.Equal(t, parsed(t, keyed), n, "the document is not changed")

	var s station
	decoded, faults := Decode(expanded, &s)
	require.Empty(t, faults)
	assert.Contains(t, decoded.Assumed, Assumption{"/bank/module/protection/under_v", 44.8, "V", "common practice"}, "a null takes the entry's value away")
}

// A candidate that changes the key keeps the overrides of its base, and says so.
func TestExpand_PatchedKeyKeepsOverrides(t *testing.T) {
	n := Merge(parsed(t, keyed), parsed(t, `{"bank":{"module":{"key":"lfp_large"}}}`))
	expanded, expansions, faults := Expand(n, reflect.TypeFor[station](), catalogue(t))
	require.Empty(t, faults)
	assert.Equal(t, "lfp_large", expansions[0].Key)
	assert.Contains(t, expansions[0].Overrides, "/bank/module/resistance_ohm")
	assert.Contains(t, written(t, expanded), `"resistance_ohm":0.03`)
	assert.Contains(t, written(t, expanded), `"capacity_ah":280`)
}

// An unknown key is one fault, not one for every member that it would have given.
func TestExpand_UnknownKey(t *testing.T) {
	n := parsed(t, `{"site":{"latitude_deg":1,"longitude_deg":2},"weather":{},
		"bank":{"module":{"key":"lfp_smal","resistance_ohm":"x","extra":1},"modules":4,"operation":"data_linked"},
		"inverter":{"key":6},"generators":{"main":{"key":"petrol"}}}`)
	expanded, _, faults := Expand(n, reflect.TypeFor[*station](), catalogue(t))
	assert.Equal(t, []string{
		"/bank/module/key: is not a key of the catalogue; did you mean lfp_small?, got lfp_smal, allowed one of lfp_large, lfp_small",
		"/generators/main/key: is not a key of the catalogue, got petrol, allowed one of diesel",
	}, lines(faults))
	var s station
	_, faults = Decode(expanded, &s)
	assert.Equal(t, []string{
		"/bank/module/resistance_ohm: is text, not a number, got x, allowed a number (Ω)",
		"/bank/module/extra: is not a known member, allowed one of key, capacity_ah, resistance_ohm, charge_a_by_c, protection, notes, prices",
		"/inverter/key: is a number, not text, got 6, allowed text",
	}, lines(faults))
}

func TestExpand_LeavesWhatDoesNotFit(t *testing.T) {
	for _, text := range []string{`5`, `[]`, `{"bank":5,"inverter":[{"key":"six"}],"generators":{"main":null}}`, `{"bank":{"module":{"key":null}}}`, `{"Bank":{"module":{"key":"x"}}}`} {
		n := parsed(t, text)
		expanded, expansions, faults := Expand(n, reflect.TypeFor[station](), catalogue(t))
		assert.Same(t, n, expanded)
		assert.Empty(t, expansions)
		assert.Empty(t, faults)
	}
	expanded, _, _ := Expand(nil, reflect.TypeFor[station](), catalogue(t))
	assert.Nil(t, expanded)
}

func TestExpand_ProgramMistakesPanic(t *testing.T) {
	assert.Panics(t, func() { Expand(parsed(t, keyed), reflect.TypeFor[station](), Catalogue{}) }, "a kind that is not there")
	type loop struct {
		Key  string `json:"key,omitzero" required:"false"`
		Next *loop  `json:"next,omitzero" required:"false" catalogue:"loop"`
	}
	circle := Catalogue{"loop": {"a": parsed(t, `{"next":{"key":"a"}}`)}}
	assert.Panics(t, func() { Expand(parsed(t, `{"next":{"key":"a"}}`), reflect.TypeFor[loop](), circle) })
}
