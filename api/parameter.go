package api

import (
	"maps"
	"net/url"
	"reflect"
	"slices"
	"strings"

	"bankyear/api/document"
	"bankyear/sim/fault"
	"bankyear/weather"
)

// readParameters reads a query into a struct, by the same tags and as strictly
// as a body: each parameter is a dotted path to a member, its value is read by
// the member's type, and unknown and repeated parameters are faults.
func readParameters(query url.Values, dst any) *Problem {
	if faults := parameterFaults(query, dst); len(faults) > 0 {
		return badParameters(faults)
	}
	return nil
}

// WeatherOptions reads what a weather file does not say of itself, by the names
// of a query, such as site.latitude_deg. Pointers of the faults start at the
// options.
func WeatherOptions(query url.Values) (o weather.ReadOptions, faults fault.Faults) {
	faults = parameterFaults(query, &o)
	return o, faults
}

func parameterFaults(query url.Values, dst any) fault.Faults {
	patch, faults := parametersOf(query, reflect.TypeOf(dst).Elem())
	_, more := document.Decode(patch, dst)
	faults = beyond(faults, more)
	ranges := fault.New()
	fault.CheckTags(ranges, dst)
	return beyond(faults, ranges.Faults())
}

// parametersOf is a query as a document of a type, as far as it can be read.
func parametersOf(query url.Values, t reflect.Type) (*document.Node, fault.Faults) {
	patch, faults := document.Parse([]byte("{}"))
	for _, name := range slices.Sorted(maps.Keys(query)) {
		place := fault.New().At(strings.Split(name, ".")...).Pointer()
		if len(query[name]) > 1 {
			faults = append(faults, fault.Fault{Pointer: place, Value: strings.Join(query[name], ", "), Allowed: "each parameter once", Message: "is given more than once"})
			continue
		}
		next, more := document.SetText(patch, t, name, query[name][0])
		if len(more) > 0 {
			for i := range more { // also where it is no path at all
				more[i].Pointer = place
			}
			faults = append(faults, more...)
			continue
		}
		patch = next
	}
	return patch, faults
}

// badParameters is the problem of a query with faults: their pointers become the
// names of parameters.
func badParameters(faults fault.Faults) *Problem {
	p := badParameter.problem(count(len(faults), "fault") + ", each with its parameter, value and what is allowed.")
	p.Faults = toldFaults(faults)
	for i := range p.Faults {
		p.Faults[i].asParameter()
	}
	return p
}

// asParameter turns the pointer into the name of a query parameter.
func (f *Fault) asParameter() {
	f.Parameter = asName.Replace(strings.TrimPrefix(f.Pointer, "/"))
	f.Pointer = ""
	if !strings.Contains(f.Parameter, ".") { // else a member is left out of a path
		f.Message = strings.Replace(f.Message, "is not a known member", "is not a known parameter", 1)
	}
}

var asName = strings.NewReplacer("/", ".", "~1", "/", "~0", "~")
