package profiles

import "strings"

// Problem is one thing wrong with a load.
type Problem struct {
	// Pointer is the RFC 6901 JSON Pointer of the member, from the Spec down.
	Pointer string
	// Value is the value as given, nil for what is missing.
	Value any
	// Allowed says what would be accepted, and Unit what it is measured in.
	Allowed, Unit string
	// Message says in plain words what is wrong.
	Message string
}

// problems collects at one place of a load; copies made by at share the list.
type problems struct {
	pointer string
	list    *[]Problem
}

func (p problems) at(tokens ...string) problems {
	for _, t := range tokens {
		p.pointer += "/" + strings.NewReplacer("~", "~0", "/", "~1").Replace(t)
	}
	return p
}

func (p problems) add(value any, allowed, unit, message string) {
	*p.list = append(*p.list, Problem{Pointer: p.pointer, Value: value, Allowed: allowed, Unit: unit, Message: message})
}
