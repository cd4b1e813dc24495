// Package api is the service: what a request may say, what the answer says, and
// how both travel over HTTP. The command line takes the same requests and gives
// the same answers.
package api

import (
	"reflect"

	"bankyear/api/document"
	"bankyear/profiles"
	"bankyear/sim"
	"bankyear/sim/fault"
)

// Request is one simulation: a system, a year of weather and a load. The same
// JSON is taken over HTTP, from a file, and as the base of a comparison.
type Request struct {
	Name  string `json:"name,omitzero" required:"false" hash:"-" doc:"What the customer calls it; repeated in the answer, no part of the hash."`
	Notes string `json:"notes,omitzero" required:"false" hash:"-" doc:"For people; no part of the hash, not repeated."`
	sim.System
	Weather Weather       `json:"weather" hash:"-" doc:"A year of weather, given in exactly one way; hashed by its columns."`
	Load    profiles.Spec `json:"load" hash:"-" catalogue:"load" doc:"What the site asks for; hashed by its columns."`
}

var requestType = reflect.TypeFor[Request]()

// provenance is where the values of a request come from.
type provenance struct {
	assumed   []document.Assumption
	catalogue []document.Expansion
}

// decode reads a tree as a request. Faults of the structure and of the ranges
// come together; a range below a structural fault is not reported, because the
// value there is none that the caller gave.
func decode(tree *document.Node) (*Request, provenance, fault.Faults) {
	tree, expansions, faults := document.Expand(tree, requestType, catalogue())
	r := &Request{}
	decoded, more := document.Decode(tree, r)
	faults = append(faults, more...)
	if siteFromFile(tree) {
		faults = without(faults, "/site")
	}
	ranges := fault.New()
	fault.CheckTags(ranges, r)
	faults = append(faults, document.Beyond(faults, ranges.Faults())...)
	return r, provenance{assumed: decoded.Assumed, catalogue: expansions}, faults
}
