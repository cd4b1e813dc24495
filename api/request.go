// Package api is the service: what a request may say, what the answer says, and
// how both travel over HTTP. The command line takes the same requests and gives
// the same answers.
package api

import (
	"reflect"
	"slices"

	"bankyear/api/document"
	"bankyear/sim"
	"bankyear/sim/cost"
	"bankyear/sim/fault"
)

// Request is one simulation: a system, a year of weather and a load. The same
// JSON is taken over HTTP, from a file, and as the base of a comparison.
type Request struct {
	Name  string `json:"name,omitzero" required:"false" hash:"-" doc:"What the customer calls it; repeated in the answer, no part of the hash."`
	Notes string `json:"notes,omitzero" required:"false" hash:"-" doc:"For people; no part of the hash, not repeated."`
	sim.System
	Weather Weather `json:"weather" hash:"-" doc:"A year of weather, given in exactly one way; hashed by its columns."`
	Load    Load    `json:"load" hash:"-" catalogue:"load" doc:"What the site asks for; hashed by its columns."`
	// Prices are nil when nobody asks for money.
	Prices *cost.Prices `json:"prices,omitzero" required:"false" hash:"-" doc:"What parts, fuel and work cost; the answer then has money. Part of the hash when given."`
}

var requestType = reflect.TypeFor[Request]()

// draft is a request as far as it could be read.
type draft struct {
	request   *Request
	decoded   document.Decoded
	catalogue []document.Expansion
	// structure is what is wrong with the structure; faults has that too, and
	// everything that was found later and is not explained by it.
	structure, faults fault.Faults
}

// decode reads a tree as a request. Faults of the structure and of the ranges
// come together; a range below a structural fault is not reported, because the
// value there is none that the caller gave. parsed is what was found before.
func decode(tree *document.Node, parsed fault.Faults) *draft {
	x := &draft{request: &Request{}}
	tree, x.catalogue, x.structure = document.Expand(tree, requestType, catalogue())
	var faults fault.Faults
	x.decoded, faults = document.Decode(tree, x.request)
	x.structure = append(x.structure, faults...)
	if siteFromFile(tree) {
		x.structure = without(x.structure, "/site")
	}
	x.structure = append(parsed, document.Beyond(parsed, x.structure)...)
	x.faults = slices.Clone(x.structure)
	ranges := fault.New()
	fault.CheckTags(ranges, x.request)
	x.add(ranges.Faults())
	return x
}

// add records what earlier faults do not explain.
func (x *draft) add(faults fault.Faults) {
	x.faults = append(x.faults, x.decoded.Beyond(x.faults, faults)...)
}

// together are the parts of a request whose values System.Check holds against
// each other.
var together = []string{"bank", "inverter", "controls"}

// meaningful leaves out what was said of the meaning of parts whose structure
// could not be read: zeros stand there that nobody gave.
func (x *draft) meaningful(meaning fault.Faults) fault.Faults {
	unread := map[string]bool{}
	for _, f := range x.structure {
		unread[firstToken(f.Pointer)] = true
	}
	if slices.ContainsFunc(together, func(part string) bool { return unread[part] }) {
		for _, part := range together {
			unread[part] = true
		}
	}
	return slices.DeleteFunc(meaning, func(f fault.Fault) bool { return unread[firstToken(f.Pointer)] })
}
