package api

import (
	"context"
	"strings"

	"bankyear/sim"
)

// Tell is the answer of a year that was run, with what the details ask of other
// runs: who is on site and settings that are wrong always. It is nil when the
// context ends.
func Tell(ctx context.Context, c *Case, y *sim.Year, details ...Detail) *Answer {
	t := telling{details: details}
	x := &subject{c: c, year: y, more: &more{}}
	if !deepen(&crew{ctx: ctx}, []*subject{x}, t.deep()...) {
		return nil
	}
	return t.answer(c, y, x.more)
}

// DetailsOf reads a list of details with commas between them; bad is the first
// that is none.
func DetailsOf(list string) (read []Detail, bad string) {
	names, faults := named("detail", list, details)
	if len(faults) > 0 {
		bad, _ = faults[0].Value.(string)
		return nil, bad
	}
	for _, name := range names {
		read = append(read, Detail(name))
	}
	return read, ""
}

// DetailNames lists the details that there are.
func DetailNames() string { return strings.Join(details, ", ") }
