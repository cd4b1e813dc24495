package document

import (
	"fmt"
	"math"
	"reflect"
)

// largestInteger is the largest integer that JSON carries between programs
// without loss: 2^53 − 1 (RFC 7493 §2.2).
const largestInteger = 1<<53 - 1

func (d *decoder) scalar(n *Node, v reflect.Value, m *member) {
	switch k := v.Kind(); {
	case isFloat(k) && n.kind == Number: // NaN and infinite ones have been reported by Parse
		v.SetFloat(n.number)
	case k == reflect.Bool && n.kind == Bool:
		v.SetBool(n.number != 0)
	case k == reflect.String && n.kind == Text:
		v.SetString(n.text)
	case isInteger(k) && n.kind == Number:
		d.integer(n.number, v, m)
	default:
		d.wrongType(n, v.Type(), m) // panics when v takes no JSON at all
	}
}

// integer sets v to x, unless that has been reported by Parse.
func (d *decoder) integer(x float64, v reflect.Value, m *member) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return
	}
	t := v.Type()
	allowed, unit := noun(t), m.unit
	lo, hi := integerRange(t)
	switch {
	case x != math.Trunc(x):
		d.report(x, allowed, unit, "is not a whole number")
	case x < lo || x > hi:
		d.report(x, fmt.Sprintf("a whole number from %.0f to %.0f", lo, hi), unit, "is outside the allowed range")
	case v.CanUint():
		v.SetUint(uint64(x))
	default:
		v.SetInt(int64(x))
	}
}

func isFloat(k reflect.Kind) bool { return k == reflect.Float64 || k == reflect.Float32 }

func isInteger(k reflect.Kind) bool { return k >= reflect.Int && k <= reflect.Uint64 }

// integerRange is what an integer type holds, within what JSON carries.
func integerRange(t reflect.Type) (lo, hi float64) {
	bits := float64(t.Bits())
	if t.Kind() >= reflect.Uint {
		return 0, min(math.Exp2(bits)-1, largestInteger)
	}
	return max(-math.Exp2(bits-1), -largestInteger), min(math.Exp2(bits-1)-1, largestInteger)
}

// wanted says what a type takes, for a fault, and in which unit. It panics for
// a type that no JSON fits.
func wanted(t reflect.Type, m *member) (allowed, unit string) {
	t = underPointers(t)
	switch k := t.Kind(); {
	case k == reflect.String && m.choices != "":
		return m.choices, ""
	case k == reflect.Array:
		return fmt.Sprintf("a list of %d", t.Len()), ""
	case isFloat(k) || isInteger(k):
		return noun(t), m.unit
	}
	return noun(t), ""
}

// noun is the JSON type that a Go type is written as.
func noun(t reflect.Type) string {
	t = underPointers(t)
	switch k := t.Kind(); {
	case k == reflect.Bool:
		return "true or false"
	case k == reflect.String:
		return "text"
	case isFloat(k):
		return "a number"
	case isInteger(k):
		return "a whole number"
	case k == reflect.Slice || k == reflect.Array:
		return "a list"
	case k == reflect.Map || k == reflect.Struct:
		return "an object"
	}
	panic("document: a member cannot be of type " + t.String())
}
