package api

import (
	"regexp"
	"strings"
	"testing"

	"bankyear/api/document"
)

var pointerForm = regexp.MustCompile(`^(/([^~/]|~[01])*)*$`)

// FuzzRead: whatever is sent is refused with faults, each at a JSON Pointer and
// in words, or it is a case; a case written canonically is the same case.
func FuzzRead(f *testing.F) {
	f.Add([]byte(``))
	f.Add([]byte(`{"site":{"latitude_deg":44},"weather":{"text":"x"}}`))
	f.Add([]byte(`{"bank":{"module":{"key":"lfp_16s_100ah","capacity_ah":null}},"calendar_year":2050.5}`))
	f.Add([]byte(`{"weather":{"ghi_w_m2":[0,1,NaN],"step_s":60},"load":{"key":"hut"}}`))
	f.Add(text(f, station(f)))
	f.Add(text(f, withWeather(station(f), map[string]any{"plane_w_m2": make([]float64, 8760), "ambient_c": make([]float64, 8760)})))
	f.Fuzz(func(t *testing.T, raw []byte) {
		var cases Cases
		c, faults, isJSON := cases.Read(raw)
		if c == nil && len(faults) == 0 || c != nil && len(faults) > 0 || c != nil && !isJSON {
			t.Fatalf("a case and faults, or neither: %v", faults)
		}
		for _, x := range faults {
			if !pointerForm.MatchString(x.Pointer) || x.Message == "" {
				t.Fatalf("fault %+v", x)
			}
		}
		if _, err := encodeJSON(faultyInput.faults(faults)); err != nil {
			t.Fatalf("faults that cannot be told: %v", err)
		}
		if c == nil {
			return
		}
		if len(c.Hash) != 64 || strings.Trim(c.Hash, "0123456789abcdef") != "" {
			t.Fatalf("hash %q", c.Hash)
		}
		tree, _ := document.Parse(raw)
		canonical, err := document.Encode(tree)
		if err != nil {
			t.Fatal(err)
		}
		var again Cases
		other, faults, _ := again.Read(canonical)
		if other == nil || other.Hash != c.Hash {
			t.Fatalf("written canonically it is another case: %v", faults)
		}
	})
}

// FuzzCompare: likewise for comparisons.
func FuzzCompare(f *testing.F) {
	f.Add([]byte(`{"base":{},"candidates":{"a":{},"b":null}}`))
	f.Add([]byte(`{"base":{"bank":{"modules":2}},"candidates":{"a":{"bank":{"modules":null}},"base":{"x~/y":1}}}`))
	f.Add([]byte(`{"base":[],"candidates":{"a":"b"}}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		var cases Cases
		x, faults, _ := cases.readComparison(raw)
		if x == nil == (len(faults) == 0) {
			t.Fatalf("a comparison and faults, or neither: %v", faults)
		}
		for _, x := range faults {
			if !pointerForm.MatchString(x.Pointer) || x.Message == "" {
				t.Fatalf("fault %+v", x)
			}
		}
	})
}
