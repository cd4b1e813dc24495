package fault_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/fault"
)

func TestFaultOnOneLine(t *testing.T) {
	for _, c := range []struct {
		fault fault.Fault
		line  string
	}{
		{fault.Fault{Pointer: "/bank/modules", Value: 99, Allowed: "1 to 64", Message: "is outside the allowed range"},
			"/bank/modules: is outside the allowed range, got 99, allowed 1 to 64"},
		{fault.Fault{Pointer: "/inverter/min_v", Value: -1.5, Allowed: "above 0", Unit: "V", Message: "is outside the allowed range"},
			"/inverter/min_v: is outside the allowed range, got -1.5 V, allowed above 0 V"},
		{fault.Fault{Pointer: "/bank", Message: "is missing"}, "/bank: is missing"},
		{fault.Fault{Pointer: "/site/latitude_deg", Value: "north", Allowed: "a number", Unit: "°", Message: "is text, not a number"},
			"/site/latitude_deg: is text, not a number, got north, allowed a number (°)"},
		{fault.Fault{Allowed: "a JSON value", Message: "is empty"}, "input: is empty, allowed a JSON value"},
	} {
		assert.Equal(t, c.line, c.fault.Error())
	}
}

// RFC 6901 §3: in a pointer "~" is written ~0 and "/" is written ~1; the
// document's own example keys of §5.
func TestPointersAreEscaped(t *testing.T) {
	c := fault.New()
	assert.Empty(t, c.Pointer(), "the whole document")
	for key, pointer := range map[string]string{"foo": "/foo", "0": "/0", "": "/", "a/b": "/a~1b", "c%d": "/c%d", "m~n": "/m~0n", "~1": "/~01"} {
		assert.Equal(t, pointer, c.At(key).Pointer())
	}
	assert.Equal(t, "/planes/roof/tilt_deg", c.At("planes", "roof").At("tilt_deg").Pointer())
}

func TestCollectorKeepsAllFaultsInOrder(t *testing.T) {
	c := fault.New()
	require.NoError(t, c.Err())
	below := c.At("bank")
	below.At("modules").Add(0, "1 to 64", "", "is outside the allowed range")
	c.At("site").Addf(nil, "has no %s", "latitude")
	below.At("module").Addf("x", "is not known")
	require.Error(t, c.Err())
	require.Len(t, c.Faults(), 3)
	var all fault.Faults
	require.ErrorAs(t, c.Err(), &all)
	assert.Equal(t, []string{"/bank/modules", "/site", "/bank/module"}, []string{all[0].Pointer, all[1].Pointer, all[2].Pointer})
	assert.Equal(t, "/bank/modules: is outside the allowed range, got 0, allowed 1 to 64\n/site: has no latitude\n/bank/module: is not known, got x", c.Err().Error())
}
