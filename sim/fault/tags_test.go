package fault_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/fault"
)

type tagged struct {
	Between float64            `json:"between_v" minimum:"1" maximum:"2"`
	Above   float64            `json:"above_a" exclusiveMinimum:"0"`
	Below   float64            `json:"below_fraction" minimum:"0" exclusiveMaximum:"1"`
	Most    int                `json:"most" maximum:"3"`
	Seed    uint64             `json:"seed" maximum:"10"`
	Any     float64            `json:"any_w"`
	Choice  string             `json:"choice" enum:"cat,dog"`
	Left    float64            `json:"left_c,omitzero" required:"false" minimum:"5"`
	Default float64            `json:"default_c" required:"false" default:"6" minimum:"5"`
	Maybe   *float64           `json:"maybe_s,omitzero" required:"false" minimum:"5"`
	List    []float64          `json:"list_w" minimum:"0" maximum:"9" minItems:"1" maxItems:"3"`
	Few     []string           `json:"few" enum:"cat,dog" minItems:"1"`
	Many    []int              `json:"many" maxItems:"2" maximum:"7"`
	Pairs   [][2]float64       `json:"pairs" minimum:"0"`
	Named   map[string]inner   `json:"named"`
	Numbers map[string]float64 `json:"numbers_kwh" minimum:"0"`
	inner
	Hidden  float64 `json:"-" minimum:"100"`
	Unnamed float64 `minimum:"100"`
}

type inner struct {
	Deep float64 `json:"deep_m" minimum:"0"`
}

func good() *tagged {
	five := 5.
	return &tagged{
		Between: 1, Above: 1e-300, Most: 3, Seed: 10, Any: -1e300, Choice: "dog", Default: 5, Maybe: &five, List: []float64{0, 9},
		Few: []string{"cat"}, Many: []int{7}, Pairs: [][2]float64{{0, 1}}, Named: map[string]inner{"x": {}}, Numbers: map[string]float64{"a": 0},
	}
}

func faultsOf(v any) fault.Faults {
	c := fault.New()
	fault.CheckTags(c, v)
	return c.Faults()
}

func TestTagsPassWhatTheyAllow(t *testing.T) {
	assert.Empty(t, faultsOf(good()))
	assert.Empty(t, faultsOf((*tagged)(nil)))
}

func TestTagsRefuse(t *testing.T) {
	four := 4.
	for name, c := range map[string]struct {
		spoil func(*tagged)
		want  fault.Fault
	}{
		"below a minimum":             {func(v *tagged) { v.Between = .5 }, fault.Fault{Pointer: "/between_v", Value: .5, Allowed: "1 to 2", Unit: "V"}},
		"above a maximum":             {func(v *tagged) { v.Between = 2.5 }, fault.Fault{Pointer: "/between_v", Value: 2.5, Allowed: "1 to 2", Unit: "V"}},
		"at an open end":              {func(v *tagged) { v.Above = 0 }, fault.Fault{Pointer: "/above_a", Value: 0., Allowed: "above 0", Unit: "A"}},
		"at an open top":              {func(v *tagged) { v.Below = 1 }, fault.Fault{Pointer: "/below_fraction", Value: 1., Allowed: "at least 0 and below 1"}},
		"whole number":                {func(v *tagged) { v.Most = 4 }, fault.Fault{Pointer: "/most", Value: 4, Allowed: "at most 3"}},
		"unsigned":                    {func(v *tagged) { v.Seed = 11 }, fault.Fault{Pointer: "/seed", Value: uint64(11), Allowed: "at most 10"}},
		"not a number":                {func(v *tagged) { v.Any = math.NaN() }, fault.Fault{Pointer: "/any_w", Value: "NaN", Allowed: "a finite number", Unit: "W"}},
		"without end":                 {func(v *tagged) { v.Above = math.Inf(1) }, fault.Fault{Pointer: "/above_a", Value: "+Inf", Allowed: "above 0", Unit: "A"}},
		"unknown choice":              {func(v *tagged) { v.Choice = "cow" }, fault.Fault{Pointer: "/choice", Value: "cow", Allowed: "one of cat, dog"}},
		"given though not needed":     {func(v *tagged) { v.Left = 4 }, fault.Fault{Pointer: "/left_c", Value: 4., Allowed: "at least 5", Unit: "°C"}},
		"zero where a default exists": {func(v *tagged) { v.Default = 0 }, fault.Fault{Pointer: "/default_c", Value: 0., Allowed: "at least 5", Unit: "°C"}},
		"behind a pointer":            {func(v *tagged) { v.Maybe = &four }, fault.Fault{Pointer: "/maybe_s", Value: 4., Allowed: "at least 5", Unit: "s"}},
		"column":                      {func(v *tagged) { v.List[1] = 10 }, fault.Fault{Pointer: "/list_w/1", Value: 10., Allowed: "0 to 9", Unit: "W"}},
		"empty list":                  {func(v *tagged) { v.List = nil }, fault.Fault{Pointer: "/list_w", Value: 0, Allowed: "1 to 3", Unit: "items"}},
		"long list":                   {func(v *tagged) { v.Many = []int{1, 2, 3} }, fault.Fault{Pointer: "/many", Value: 3, Allowed: "at most 2", Unit: "items"}},
		"no choice":                   {func(v *tagged) { v.Few = []string{} }, fault.Fault{Pointer: "/few", Value: 0, Allowed: "at least 1", Unit: "items"}},
		"choice in a list":            {func(v *tagged) { v.Few[0] = "cow" }, fault.Fault{Pointer: "/few/0", Value: "cow", Allowed: "one of cat, dog"}},
		"number in a list":            {func(v *tagged) { v.Many[0] = 8 }, fault.Fault{Pointer: "/many/0", Value: 8, Allowed: "at most 7"}},
		"number in a pair":            {func(v *tagged) { v.Pairs[0][1] = -1 }, fault.Fault{Pointer: "/pairs/0/1", Value: -1., Allowed: "at least 0"}},
		"named member":                {func(v *tagged) { v.Named["x"] = inner{Deep: -1} }, fault.Fault{Pointer: "/named/x/deep_m", Value: -1., Allowed: "at least 0", Unit: "m"}},
		"number by name":              {func(v *tagged) { v.Numbers["a"] = -1 }, fault.Fault{Pointer: "/numbers_kwh/a", Value: -1., Allowed: "at least 0", Unit: "kWh"}},
	} {
		v := good()
		c.spoil(v)
		got := faultsOf(v)
		require.Len(t, got, 1, name)
		assert.NotEmpty(t, got[0].Message, name)
		got[0].Message = ""
		assert.Equal(t, c.want, got[0], name)
	}
}

// All faults at once, in one order whatever the order of a map.
func TestTagsReportEverything(t *testing.T) {
	v := good()
	v.Between, v.Choice, v.List = 9, "", []float64{-1, 0, math.Inf(-1)}
	v.Named = map[string]inner{"b": {-1}, "a": {-1}, "c": {-1}}
	var pointers []string
	for _, f := range faultsOf(v) {
		pointers = append(pointers, f.Pointer)
	}
	assert.Equal(t, []string{"/between_v", "/choice", "/list_w/0", "/list_w/2", "/named/a/deep_m", "/named/b/deep_m", "/named/c/deep_m"}, pointers)
}

// A tag that is no number is a programmer's error.
func TestTagThatIsNoNumberPanics(t *testing.T) {
	assert.Panics(t, func() {
		faultsOf(struct {
			X float64 `json:"x" minimum:"low"`
		}{})
	})
}
