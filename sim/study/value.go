package study

import (
	"math"
	"strconv"
)

// Value is what an axis gives to a member: a number, or a text that is read as
// the member's type, as in a query parameter.
type Value struct {
	text    string
	number  float64
	numeric bool
}

// Number is the value of a number.
func Number(x float64) Value {
	form := byte('f')
	if a := math.Abs(x); a >= 1e21 || a > 0 && a < 1e-6 { // as in JSON
		form = 'e'
	}
	return Value{text: strconv.FormatFloat(x, form, -1, 64), number: x, numeric: true}
}

// Text is the value of a text: a word, true, false, null, or JSON for a member
// that is a list or an object.
func Text(s string) Value { return Value{text: s} }

// String is the value as text; a number in the fewest digits that read back the same,
// which is JSON too and has an exponent only where it is tiny or huge.
func (v Value) String() string { return v.text }

// Number is the value as number; ok is false for a text.
func (v Value) Number() (x float64, ok bool) { return v.number, v.numeric }

// Assignment is one member of a request and the value that a run gives it.
type Assignment struct {
	// Path is dotted: bank.modules.
	Path  string
	Value Value
}

// Writer gives the value of an assignment as what stands for it in JSON. What a text
// is, its member's type says, which is not known here.
type Writer func(Assignment) any
