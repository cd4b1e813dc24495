package api

import (
	"encoding/json"
	"maps"
	"net/url"
	"slices"
	"strings"

	"bankyear/api/document"
	"bankyear/sim/fault"
)

// readParameters reads a query into a struct of texts, by the same tags and as
// strictly as a body: unknown and repeated parameters are faults.
func readParameters(query url.Values, dst any) *Problem {
	values := map[string]string{}
	var faults fault.Faults
	for _, name := range slices.Sorted(maps.Keys(query)) {
		if values[name] = query[name][0]; len(query[name]) > 1 {
			faults = append(faults, fault.Fault{Pointer: fault.New().At(name).Pointer(), Value: strings.Join(query[name], ", "), Allowed: "each parameter once", Message: "is given more than once"})
		}
	}
	text, err := json.Marshal(values)
	if err != nil { // a map of texts
		panic("api: query: " + err.Error())
	}
	tree, more := document.Parse(text)
	faults = append(faults, more...)
	_, more = document.Decode(tree, dst)
	faults = append(faults, more...)
	ranges := fault.New()
	fault.CheckTags(ranges, dst)
	if faults = beyond(faults, ranges.Faults()); len(faults) == 0 {
		return nil
	}
	p := badParameter.faults(faults)
	for i := range p.Faults {
		p.Faults[i].Parameter = strings.TrimPrefix(p.Faults[i].Pointer, "/")
		p.Faults[i].Pointer = ""
	}
	return p
}
