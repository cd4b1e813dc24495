package document

import (
	"strconv"
	"strings"

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

// Beyond returns the faults of second that first does not already explain: those
// whose pointer is neither that of a fault of first nor below one. A member of
// the wrong type is read as zero, and a range check of that zero says nothing.
func Beyond(first, second fault.Faults) fault.Faults {
	if len(first) == 0 {
		return second
	}
	known := make(map[string]bool, len(first))
	for _, f := range first {
		known[f.Pointer] = true
	}
	var left fault.Faults
	for _, f := range second {
		if !explained(known, f.Pointer) {
			left = append(left, f)
		}
	}
	return left
}

func explained(known map[string]bool, pointer string) bool {
	for {
		if known[pointer] {
			return true
		}
		i := strings.LastIndexByte(pointer, '/')
		if i < 0 {
			return false
		}
		pointer = pointer[:i]
	}
}
