package weather

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Causes of a Problem, to be found again with errors.Is.
var (
	ErrFormat   = errors.New("weather: not a readable weather file")
	ErrDamaged  = errors.New("weather: damaged or cut-off compressed data")
	ErrTooLarge = errors.New("weather: more data than allowed")
	ErrColumn   = errors.New("weather: a column is missing, repeated or not recognised")
	ErrNumber   = errors.New("weather: not a finite number")
	ErrRange    = errors.New("weather: outside the physical range")
	ErrTime     = errors.New("weather: unreadable time or off the grid")
	ErrOrder    = errors.New("weather: rows out of order")
	ErrRepeat   = errors.New("weather: a row is there twice")
	ErrMissing  = errors.New("weather: rows or values are missing")
	ErrCalendar = errors.New("weather: the calendar does not fit")
	ErrLength   = errors.New("weather: a column has the wrong length")
	ErrNight    = errors.New("weather: strong irradiance at night")
)

// Problem is one thing wrong with weather data. It names the place: the line
// and column of a file (both from 1), or the index (from 0) in a column that
// was given as an array.
type Problem struct {
	// Line and Column are the place in a file; 0 where there is none. Column
	// counts fields.
	Line   int `json:"line,omitzero"`
	Column int `json:"column,omitzero"`
	// Member is the column of the Year, for example "ghi_w_m2", or the name
	// that the file's header gives; empty when a whole row is meant.
	Member string `json:"member,omitzero"`
	// Index is the row of the Year, -1 when the problem is not with one row.
	Index int `json:"index"`
	// Value is what was found: a number, or the text of the field.
	Value any `json:"value,omitempty"`
	// Allowed and Unit say what would be accepted.
	Allowed string `json:"allowed,omitzero"`
	Unit    string `json:"unit,omitzero"`
	// Message says in plain words what is wrong.
	Message string `json:"message"`
	// Cause is one of the Err values above.
	Cause error `json:"-"`
}

// Error renders the problem on one line.
func (p Problem) Error() string {
	var b strings.Builder
	if p.Line > 0 {
		fmt.Fprintf(&b, "line %d", p.Line)
		if p.Column > 0 {
			fmt.Fprintf(&b, ", column %d", p.Column)
		}
		b.WriteString(": ")
	}
	if p.Member != "" {
		b.WriteString(p.Member)
		if p.Line == 0 && p.Index >= 0 {
			fmt.Fprintf(&b, "[%d]", p.Index)
		}
		b.WriteString(" ")
	}
	b.WriteString(p.Message)
	if p.Value != nil {
		fmt.Fprintf(&b, ", got %v", p.Value)
		if _, isText := p.Value.(string); p.Unit != "" && !isText {
			b.WriteString(" " + p.Unit)
		}
	}
	if p.Allowed != "" {
		fmt.Fprintf(&b, ", allowed %s", p.Allowed)
		if p.Unit != "" {
			b.WriteString(" " + p.Unit)
		}
	}
	return b.String()
}

// Unwrap gives the cause.
func (p Problem) Unwrap() error { return p.Cause }

// Limits of a list of problems: a column of nothing but bad values must not
// hide what is wrong elsewhere.
const (
	maxProblems = 100
	maxOfAKind  = 20
)

// Problems is everything found wrong with one piece of weather data. List
// holds at most 100, of them at most 20 with the same cause in the same
// column; More counts the rest.
type Problems struct {
	List []Problem `json:"problems"`
	More int       `json:"more,omitzero"`

	kinds map[kind]int
}

type kind struct {
	cause  error
	member string
}

// Err is nil when nothing is wrong, else p itself.
func (p *Problems) Err() error {
	if len(p.List) == 0 {
		return nil
	}
	return p
}

// Error renders one problem a line.
func (p *Problems) Error() string {
	var b strings.Builder
	for i, one := range p.List {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(one.Error())
	}
	if p.More > 0 {
		fmt.Fprintf(&b, "\nand %d more", p.More)
	}
	return b.String()
}

// Unwrap gives the problems one by one.
func (p *Problems) Unwrap() []error {
	all := make([]error, len(p.List))
	for i := range p.List {
		all[i] = p.List[i]
	}
	return all
}

func (p *Problems) add(one Problem) {
	k := kind{one.Cause, one.Member}
	if len(p.List) >= maxProblems || p.kinds[k] >= maxOfAKind {
		p.More++
		return
	}
	if p.kinds == nil {
		p.kinds = map[kind]int{}
	}
	p.kinds[k]++
	if text, ok := one.Value.(string); ok && len(text) > 40 {
		one.Value = strings.ToValidUTF8(text[:40], "") + "…"
	}
	p.List = append(p.List, one)
}

// addf records a problem of a file's structure.
func (p *Problems) addf(cause error, line, column int, format string, args ...any) {
	p.add(Problem{Line: line, Column: column, Index: -1, Message: fmt.Sprintf(format, args...), Cause: cause})
}

// shown keeps a number that JSON cannot carry readable.
func shown(x float64) any {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	return x
}
