package document_test

import (
	"fmt"
	"reflect"

	"bankyear/api/document"
	"bankyear/sim/fault"
)

type site struct {
	Charger charger `json:"charger" catalogue:"charger"`
	Planes  int     `json:"planes" minimum:"1" maximum:"8"`
}

type charger struct {
	Key        string  `json:"key,omitzero" required:"false" hash:"-"`
	RatedA     float64 `json:"rated_a" exclusiveMinimum:"0"`
	NightDrawW float64 `json:"night_draw_w" minimum:"0" default:"2" basis:"common practice"`
}

// The order in which a request is read: patch, expand, decode, check.
func Example() {
	entry, _ := document.Parse([]byte(`{"rated_a": 60}`))
	catalogue := document.Catalogue{"charger": {"solar_60": entry}}
	base, _ := document.Parse([]byte(`{"charger": {"key": "solar_60"}, "planes": 2}`))

	read := func(path, text string) {
		patch, faults := document.SetText(nil, reflect.TypeFor[site](), path, text)
		n, expansions, more := document.Expand(document.Merge(base, patch), reflect.TypeFor[site](), catalogue)
		faults = append(faults, more...)
		var s site
		decoded, more := document.Decode(n, &s)
		faults = append(faults, more...)
		check := fault.New()
		fault.CheckTags(check, s)
		faults = append(faults, decoded.Beyond(faults, check.Faults())...)
		if len(faults) > 0 {
			fmt.Println(faults)
			return
		}
		canonical, _ := document.Encode(s)
		fmt.Printf("%s\noverrides %v, assumed %v\n", canonical, expansions[0].Overrides, decoded.Assumed)
	}
	read("charger.rated_a", "50")
	read("planes", "9")
	read("charger.key", "solar_90")
	// Output:
	// {"charger":{"key":"solar_60","night_draw_w":2,"rated_a":50},"planes":2}
	// overrides [/charger/rated_a], assumed [{/charger/night_draw_w 2 W common practice}]
	// /planes: is outside the allowed range, got 9, allowed 1 to 8
	// /charger/key: is not a key of the catalogue; did you mean solar_60?, got solar_90, allowed one of solar_60
}
