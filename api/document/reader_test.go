package document

import (
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bankyear/sim/fault"
)

// Whatever documents came before, right ones and wrong ones, a reader gives what
// Expand, Decode and CheckTags give, and finds a fault where they do.
func TestReader_AsAlone(t *testing.T) {
	entries := catalogue(t)
	var patches []*Node
	for _, text := range []string{
		`{}`, `{"name":"another"}`, `{"bank":{"modules":5}}`, `{"bank":{"modules":6,"enclosure":{"kind":"fixed"}}}`, `{"bank":{"module":{"capacity_ah":50}}}`,
		`{"bank":{"module":{"protection":{"under_v":40}}}}`, `{"bank":{"module":{"prices":{"a":1}}}}`, `{"bank":{"enclosure":{"dirt_fraction":[1,2]}}}`,
		`{"inverter":{"key":"six"}}`, `{"inverter":{"key":"six","rated_w":5000}}`, `{"bank":{"module":{"key":"lfp_large"}}}`, `{"inverter":{"spare":[{"key":"sixty"}]}}`, `{"inverter":{"spare":[{"rated_a":1},{"rated_a":2}]}}`,
		`{"generators":{"main":{"start_tries":4}}}`, `{"generators":{"spare":{"rated_kw":3}}}`, `{"generators":{"main":null}}`, `{"controls":{}}`, `{"controls":{"shed_soc_fraction":0.4}}`,
		// wrong: by structure, by range, by key
		`{"bank":{"modules":65}}`, `{"bank":{"modules":"many"}}`, `{"bank":{"module":{"capacity_ah":0}}}`, `{"bank":null}`, `{"bank":{"enclosure":{"kind":"tent"}}}`,
		`{"inverter":{"key":"none"}}`, `{"site":{"latitude_deg":91}}`, `{"weather":{"ghi_w_m2":[-1]}}`, `{"generators":{"Main":{"rated_kw":3}}}`, `{"extra":1}`,
	} {
		patches = append(patches, parsed(t, text))
	}
	rapid.Check(t, func(rt *rapid.T) {
		r := NewReader(entries)
		bases := []*Node{parsed(t, stationJSON), parsed(t, keyed)}
		for range 12 {
			n := rapid.SampledFrom(bases).Draw(rt, "base")
			for _, i := range rapid.SliceOfN(rapid.IntRange(0, len(patches)-1), 1, 3).Draw(rt, "patches") {
				n = Merge(n, patches[i])
			}
			var got, want station
			faults := r.Read(n, &got)
			expanded, _, first := Expand(n, reflect.TypeFor[station](), entries)
			_, more := Decode(expanded, &want)
			ranges := fault.New()
			fault.CheckTags(ranges, &want)
			if all := slices.Concat(first, more, ranges.Faults()); len(all) > 0 {
				require.Equal(rt, all, faults)
				continue
			}
			require.Empty(rt, faults)
			require.Equal(rt, want, got)
		}
	})
}

// What did not change is not read again.
func TestReader_TakesOver(t *testing.T) {
	r := NewReader(catalogue(t))
	base := parsed(t, stationJSON)
	read := func(patch string) *station {
		var s station
		require.Empty(t, r.Read(Merge(base, parsed(t, patch)), &s))
		return &s
	}
	first, second := read(`{"bank":{"modules":5}}`), read(`{"bank":{"modules":6}}`)
	same := func(a, b []float64) bool { return &a[0] == &b[0] }
	assert.True(t, same(first.Weather.GHI, second.Weather.GHI))
	assert.True(t, same(first.Bank.Enclosure.DirtParts, second.Bank.Enclosure.DirtParts), "a default too")
	assert.Equal(t, 6, second.Bank.Modules)
	third := read(`{"weather":{"ghi_w_m2":[1]}}`)
	assert.Equal(t, []float64{1}, third.Weather.GHI)
	assert.False(t, same(second.Weather.AmbientC, third.Weather.AmbientC), "of an object that changed")
}
