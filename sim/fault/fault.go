// Package fault collects everything that is wrong with an input before
// anything is computed from it. A fault names the member by JSON Pointer
// (RFC 6901), the value as given, what is allowed, and the unit.
package fault

import (
	"fmt"
	"strings"
)

// Fault is one thing wrong with an input.
type Fault struct {
	// Pointer is the RFC 6901 JSON Pointer of the member at fault.
	Pointer string `json:"pointer"`
	// Value is the value as given; absent for a missing member.
	Value any `json:"value,omitempty"`
	// Allowed says what would be accepted, for example "1 to 16".
	Allowed string `json:"allowed,omitempty"`
	// Unit is the unit of Value and Allowed, empty for a pure number or text.
	Unit string `json:"unit,omitempty"`
	// Message says in plain words what is wrong.
	Message string `json:"message"`
}

// Error renders the fault on one line.
func (f Fault) Error() string {
	var b strings.Builder
	if f.Pointer == "" {
		b.WriteString("input")
	}
	b.WriteString(f.Pointer)
	b.WriteString(": ")
	b.WriteString(f.Message)
	if f.Value != nil {
		fmt.Fprintf(&b, ", got %v", f.Value)
		if _, isText := f.Value.(string); !isText && f.Unit != "" {
			b.WriteString(" " + f.Unit)
		}
	}
	if f.Allowed != "" {
		b.WriteString(", allowed " + f.Allowed)
		switch last := f.Allowed[len(f.Allowed)-1]; {
		case f.Unit == "":
		case '0' <= last && last <= '9': // a range
			b.WriteString(" " + f.Unit)
		default: // words, "a number"
			b.WriteString(" (" + f.Unit + ")")
		}
	}
	return b.String()
}

// Faults is every fault of one input. It is an error when not empty.
type Faults []Fault

// Error renders one fault a line.
func (fs Faults) Error() string {
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// Collector adds faults below one place of the input. Copies made by At write
// to the same list.
type Collector struct {
	pointer string
	faults  *Faults
}

// New returns a collector at the root of an input.
func New() Collector { return Collector{faults: new(Faults)} }

// At returns the collector for a member (or an index) below this place.
func (c Collector) At(tokens ...string) Collector {
	for _, t := range tokens {
		c.pointer += "/" + escape.Replace(t)
	}
	return c
}

// Pointer is the JSON Pointer of this place.
func (c Collector) Pointer() string { return c.pointer }

// Add records a fault at this place.
func (c Collector) Add(value any, allowed, unit, message string) {
	*c.faults = append(*c.faults, Fault{Pointer: c.pointer, Value: value, Allowed: allowed, Unit: unit, Message: message})
}

// Addf records a fault at this place that has no allowed range.
func (c Collector) Addf(value any, format string, args ...any) {
	c.Add(value, "", "", fmt.Sprintf(format, args...))
}

// Faults is everything recorded so far.
func (c Collector) Faults() Faults { return *c.faults }

// Err is nil when nothing was recorded, else the Faults.
func (c Collector) Err() error {
	if len(*c.faults) == 0 {
		return nil
	}
	return *c.faults
}

var escape = strings.NewReplacer("~", "~0", "/", "~1")
