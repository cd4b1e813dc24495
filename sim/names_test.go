package sim_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bankyear/api/document"
	"bankyear/sim"
)

// Another order of the members of a request, and other names of its planes, chargers and
// generators, whose order the names turn round, give the same year, bit for bit; and so do
// other names of appliances that keep their order, in which their powers add up.
func TestNamesAndOrderDecideNothing(t *testing.T) {
	raw, err := os.ReadFile("../testdata/scenarios/field-station.json")
	require.NoError(t, err)
	w, err := burlington()
	require.NoError(t, err)
	run := func(tree any, r *rapid.T) *sim.Year {
		node, faults := document.Parse([]byte(written(tree, r)))
		require.Empty(t, faults)
		s := decoded(t, node)
		s.Complete()
		return sim.Compile(&s.System, w, load(t, &s.Load, w)).Run(false)
	}
	rapid.Check(t, func(r *rapid.T) {
		station := randomStation(r)
		r.Log(station)
		base := tree(raw)
		for _, p := range []string{station, second} {
			base = merged(base, tree([]byte(p)))
		}
		want := run(base, nil)
		got := run(renamed(base.(object)), r)
		if !reflect.DeepEqual(want.Figures, got.Figures) || !reflect.DeepEqual(want.Books, got.Books) {
			for _, pair := range [][2]any{{want.Figures, got.Figures}, {want.Books, got.Books}} {
				a, b := reflect.ValueOf(pair[0]), reflect.ValueOf(pair[1])
				for i := range a.NumField() {
					if x, y := a.Field(i).Interface(), b.Field(i).Interface(); !reflect.DeepEqual(x, y) {
						r.Errorf("%s is %v, and %v under other names", a.Type().Field(i).Name, x, y)
					}
				}
			}
		}
	})
}

// Nor do the names of appliances decide anything but the order in which their powers
// add up: each row of the load is the same within its last bits.
func TestNamesOfAppliances(t *testing.T) {
	raw, err := os.ReadFile("../testdata/scenarios/field-station.json")
	require.NoError(t, err)
	w, err := burlington()
	require.NoError(t, err)
	built := func(tree any) []float64 {
		node, faults := document.Parse([]byte(written(tree, nil)))
		require.Empty(t, faults)
		l := load(t, &decoded(t, node).Load, w)
		return slices.Concat(l.ACEssentialW, l.ACFlexibleW, l.DCEssentialW)
	}
	base := tree(raw).(object)
	demand := maps.Clone(base["load"].(object))
	demand["appliances"], _ = turned(demand["appliances"].(object), true)
	around := maps.Clone(base)
	around["load"] = demand
	want, got := built(base), built(around)
	require.Len(t, got, 3*8760)
	for i := range want {
		require.InDelta(t, want[i], got[i], 1e-11*(1+want[i]), "value %d", i)
	}
}

// second is another plane with a charger of its own.
const second = `{"array":{"planes":{"wall":{"rated_kw":1.5,"tilt_deg":80,"azimuth_deg":120,"charger":"east"}},"chargers":{"east":{"key":"solar_charger_60a"}}}}`

// tree reads JSON with its numbers as they are written.
func tree(raw []byte) (out any) {
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	if err := d.Decode(&out); err != nil {
		panic(err)
	}
	return out
}

// merged is a merge patch on a tree (RFC 7396).
func merged(base, patch any) any {
	p, ok := patch.(object)
	if !ok {
		return patch
	}
	out := object{}
	if b, ok := base.(object); ok {
		out = maps.Clone(b)
	}
	for name, value := range p {
		if value == nil {
			delete(out, name)
		} else {
			out[name] = merged(out[name], value)
		}
	}
	return out
}

// written is a tree as JSON, its members in an order that r draws, or sorted without.
func written(value any, r *rapid.T) string {
	var b bytes.Buffer
	switch v := value.(type) {
	case object:
		names := slices.Sorted(maps.Keys(v))
		if r != nil && len(names) > 1 {
			names = rapid.Permutation(names).Draw(r, "order")
		}
		for i, name := range names {
			fmt.Fprintf(&b, "%s%q:%s", comma(i), name, written(v[name], r))
		}
		return "{" + b.String() + "}"
	case []any:
		for i, each := range v {
			b.WriteString(comma(i) + written(each, r))
		}
		return "[" + b.String() + "]"
	}
	raw, err := json.Marshal(value)
	if err != nil {
		panic(err)
	}
	return string(raw)
}

func comma(i int) string {
	if i == 0 {
		return ""
	}
	return ","
}

// renamed gives planes, chargers and generators names that sort the other way round, and
// appliances others that sort as they did.
func renamed(tree object) object {
	out := maps.Clone(tree)
	array := maps.Clone(tree["array"].(object))
	chargers, other := turned(array["chargers"].(object), true)
	planes, _ := turned(array["planes"].(object), true)
	for name, plane := range planes {
		p := maps.Clone(plane.(object))
		p["charger"] = other[p["charger"].(string)]
		planes[name] = p
	}
	array["planes"], array["chargers"] = planes, chargers
	out["array"] = array
	if sets, ok := tree["generators"].(object); ok {
		out["generators"], _ = turned(sets, true)
	}
	demand := maps.Clone(tree["load"].(object))
	demand["appliances"], _ = turned(demand["appliances"].(object), false)
	out["load"] = demand
	return out
}

// turned is what stands under other names, and the new names by the old.
func turned(members object, around bool) (out object, other map[string]string) {
	names := slices.Sorted(maps.Keys(members))
	out, other = object{}, map[string]string{}
	for i, name := range names {
		k := i
		if around {
			k = len(names) - 1 - i
		}
		other[name] = fmt.Sprintf("n%02d", k)
		out[other[name]] = members[name]
	}
	return out, other
}
