package document

import (
	"strconv"

	"bankyear/sim/fault"
)

// place is where a walk stands in a document. Tokens are kept apart and made
// into a JSON Pointer (RFC 6901) only when there is something to say.
type place struct{ tokens []token }

type token struct {
	name  string
	index int // when name is empty and isIndex
	// An empty name is a legal member name, so an index needs its own mark.
	isIndex bool
}

func (p *place) enter(name string) { p.tokens = append(p.tokens, token{name: name}) }
func (p *place) enterItem(i int) {
	p.tokens = append(p.tokens, token{index: i, isIndex: true})
}
func (p *place) leave() { p.tokens = p.tokens[:len(p.tokens)-1] }

func (p *place) pointer() string {
	names := make([]string, len(p.tokens))
	for i, t := range p.tokens {
		names[i] = t.name
		if t.isIndex {
			names[i] = strconv.Itoa(t.index)
		}
	}
	return fault.New().At(names...).Pointer()
}

// mostFaults bounds what one document can make a reader remember. It is more than
// a column of an hourly year with every value wrong.
const mostFaults = 10_000

// findings are the faults met on a walk through a document.
type findings struct {
	at     place
	faults fault.Faults
}

// report records a fault at the place where the walk is. The last one that is
// kept says that there are more.
func (f *findings) report(value any, allowed, unit, message string) {
	switch len(f.faults) {
	case mostFaults:
	case mostFaults - 1:
		f.faults = append(f.faults, fault.Fault{Pointer: f.at.pointer(), Message: "and what follows is not listed: there are too many faults"})
	default:
		f.faults = append(f.faults, fault.Fault{Pointer: f.at.pointer(), Value: value, Allowed: allowed, Unit: unit, Message: message})
	}
}
