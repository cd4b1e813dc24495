package sim_test

import (
	"encoding/json"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim"
	"bankyear/sim/fault"
)

// eachEnd brings each number in a value to the ends of its range in turn and lets it be
// looked at there.
func eachEnd(v reflect.Value, tag reflect.StructTag, look func(tag reflect.StructTag)) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			eachEnd(v.Elem(), tag, look)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				eachEnd(v.Field(i), f.Tag, look)
			}
		}
	case reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
		for _, key := range keys {
			one := reflect.New(v.Type().Elem()).Elem()
			was := v.MapIndex(key)
			one.Set(was)
			eachEnd(one, "", func(tag reflect.StructTag) {
				v.SetMapIndex(key, one)
				look(tag)
			})
			v.SetMapIndex(key, was)
		}
	case reflect.Float64, reflect.Int:
		was := reflect.New(v.Type()).Elem()
		was.Set(v)
		for _, end := range []string{"minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum"} {
			text, ok := tag.Lookup(end)
			if !ok {
				continue
			}
			x, err := strconv.ParseFloat(text, 64)
			if err != nil {
				panic(err)
			}
			switch end {
			case "exclusiveMinimum":
				x += 1e-9
			case "exclusiveMaximum":
				x -= 1e-9
			}
			if v.CanInt() {
				v.SetInt(int64(x))
			} else {
				v.SetFloat(x)
			}
			look(tag)
		}
		v.Set(was)
	}
}

// long are members at whose ends a year has an event every second or a step every minute:
// it takes seconds.
var long = []string{"cells_in_series", "coulombic_efficiency_fraction", "heat_capacity_kj_per_c", "housekeeping_w", "internal_step_s", "rated_w"}

// At the ends of every range a year comes to its end, with numbers in all it says.
func TestEndsOfRanges(t *testing.T) {
	w, err := burlington()
	require.NoError(t, err)
	for name, base := range map[string][]string{"linked": {`{}`}, "by voltage": {voltageOnly}, "lead-acid": keptBanks[1].patches} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := system(t, base...)
			l := load(t, &s.Load, w)
			last := sim.Compile(&s.System, w, l)
			runs := 0
			eachEnd(reflect.ValueOf(&s.System).Elem(), "", func(tag reflect.StructTag) {
				defer func() {
					if e := recover(); e != nil {
						t.Errorf("%s: %v", tag.Get("json"), e)
					}
				}()
				if member, _, _ := strings.Cut(tag.Get("json"), ","); slices.Contains(long, member) {
					return
				}
				given := s.System
				c := fault.New()
				fault.CheckTags(c, &given)
				given.Check(c)
				if c.Err() != nil {
					return // it does not go with the others
				}
				runs++
				p := sim.CompileLike(&given, w, l, last)
				y := p.Run(false)
				for _, of := range []any{y.Figures, y.Books} {
					_, err := json.Marshal(of)
					require.NoError(t, err)
				}
			})
			assert.Greater(t, runs, 250)
		})
	}
}
