package document

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"

	"bankyear/sim/fault"
)

func TestBeyond(t *testing.T) {
	first := fault.Faults{{Pointer: "/bank/modules"}, {Pointer: "/site"}, {Pointer: "/a~1b"}}
	second := fault.Faults{{Pointer: "/bank/modules"}, {Pointer: "/bank/modules_more"}, {Pointer: "/site/latitude_deg"}, {Pointer: "/bank"},
		{Pointer: "/a"}, {Pointer: "/a~1b/0"}, {Pointer: ""}}
	var left []string
	for _, f := range Beyond(first, second) {
		left = append(left, f.Pointer)
	}
	assert.Equal(t, []string{"/bank/modules_more", "/bank", "/a", ""}, left)
	assert.Equal(t, second, Beyond(nil, second))
}

// What an unknown key would have given is not checked; what is given beside it is.
func TestBeyond_UnknownKey(t *testing.T) {
	n := Merge(parsed(t, keyed), parsed(t, `{"bank":{"module":{"key":"none","charge_a_by_c":[]}},"inverter":{"key":6}}`))
	n, _, first := Expand(n, reflect.TypeFor[station](), catalogue(t))
	var s station
	decoded, more := Decode(n, &s)
	check := fault.New()
	fault.CheckTags(check, s)
	assert.Contains(t, lines(check.Faults()), "/bank/module/capacity_ah: is outside the allowed range, got 0 Ah, allowed above 0 Ah")
	assert.Equal(t, []string{"/bank/module/charge_a_by_c: has too few items, got 0 items, allowed at least 1 items"},
		lines(decoded.Beyond(append(first, more...), check.Faults())))
}
