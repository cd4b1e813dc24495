package document

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
)

// Encode writes a Go value, or a *Node, as canonical JSON by RFC 8785 (JCS): no
// white space, members ordered by their UTF-16 code units, numbers as ECMAScript
// writes them with −0 as 0, strings with the fewest escapes. The same struct tags
// as in Decode apply; a nil slice is [], a nil map {}, a nil pointer null.
//
// It is an error (a fault.Fault with the pointer) when the value holds what JSON
// cannot carry between programs (RFC 7493): a number that is not finite, an
// integer beyond ±(2^53 − 1), a string that is not Unicode. A type that Decode
// does not support panics.
func Encode(v any) ([]byte, error) { return encode(v, false) }

// Identity is Encode without the members tagged hash:"-", such as names and
// notes, which do not change what is computed.
func Identity(v any) ([]byte, error) { return encode(v, true) }

func encode(v any, identity bool) ([]byte, error) {
	e := encoder{identity: identity}
	e.value(reflect.ValueOf(v))
	if len(e.faults) > 0 {
		return nil, e.faults[0]
	}
	return e.out, nil
}

type encoder struct {
	findings
	out      []byte
	identity bool
}

func (e *encoder) value(v reflect.Value) {
	switch k := v.Kind(); k {
	case reflect.Invalid:
		e.out = append(e.out, "null"...)
	case reflect.Float64, reflect.Float32:
		e.number(v.Float())
	case reflect.Struct:
		e.structure(v)
	case reflect.Slice, reflect.Array:
		e.list(v)
	case reflect.Map:
		e.table(v)
	case reflect.String:
		e.text(v.String())
	case reflect.Bool:
		e.out = strconv.AppendBool(e.out, v.Bool())
	case reflect.Pointer, reflect.Interface:
		if v.Type() == nodeType {
			e.node(v.Interface().(*Node))
			return
		}
		e.value(v.Elem()) // null when v is nil
	default:
		switch {
		case v.CanInt():
			e.integer(float64(v.Int()), v)
		case v.CanUint():
			e.integer(float64(v.Uint()), v)
		default:
			panic("document: a member cannot be of type " + v.Type().String())
		}
	}
}

func (e *encoder) structure(v reflect.Value) {
	s := shapeOf(v.Type())
	e.out = append(e.out, '{')
	first := true
	for _, i := range s.sorted {
		m := &s.members[i]
		if e.identity && m.unhashed {
			continue
		}
		field := m.field(v)
		if m.omitzero && field.IsZero() {
			continue
		}
		if !first {
			e.out = append(e.out, ',')
		}
		first = false
		e.out = append(e.out, m.quoted...)
		e.at.enter(m.name)
		e.value(field)
		e.at.leave()
	}
	e.out = append(e.out, '}')
}

func (e *encoder) table(v reflect.Value) {
	keys := v.MapKeys()
	slices.SortFunc(keys, func(a, b reflect.Value) int { return compareUTF16(a.String(), b.String()) })
	e.out = append(e.out, '{')
	for i, k := range keys {
		if k.Kind() != reflect.String {
			panic("document: a map needs string keys, not " + v.Type().String())
		}
		e.at.enter(k.String())
		e.name(k.String(), i == 0)
		e.value(v.MapIndex(k))
		e.at.leave()
	}
	e.out = append(e.out, '}')
}

func (e *encoder) list(v reflect.Value) {
	e.out = append(e.out, '[')
	for i := range v.Len() {
		if i > 0 {
			e.out = append(e.out, ',')
		}
		e.at.enterItem(i)
		e.value(v.Index(i))
		e.at.leave()
	}
	e.out = append(e.out, ']')
}

// node writes a tree.
func (e *encoder) node(n *Node) {
	switch n.Kind() {
	case Null:
		e.out = append(e.out, "null"...)
	case Bool:
		e.value(reflect.ValueOf(n.number != 0))
	case Number:
		e.number(n.number)
	case Text:
		e.text(n.text)
	case Array:
		e.out = append(e.out, '[')
		for i := range n.Len() {
			if i > 0 {
				e.out = append(e.out, ',')
			}
			e.at.enterItem(i)
			e.node(n.Item(i))
			e.at.leave()
		}
		e.out = append(e.out, ']')
	case Object:
		sorted := slices.Clone(n.members)
		slices.SortFunc(sorted, func(a, b Member) int { return compareUTF16(a.Name, b.Name) })
		e.out = append(e.out, '{')
		for i, m := range sorted {
			e.at.enter(m.Name)
			e.name(m.Name, i == 0)
			e.node(m.Value)
			e.at.leave()
		}
		e.out = append(e.out, '}')
	}
}

func (e *encoder) name(name string, first bool) {
	if !first {
		e.out = append(e.out, ',')
	}
	e.text(name)
	e.out = append(e.out, ':')
}

func (e *encoder) number(x float64) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		e.report(fmt.Sprint(x), "a finite number", "", "is not a number that JSON can carry")
		return
	}
	e.out = AppendNumber(e.out, x)
}

func (e *encoder) integer(x float64, v reflect.Value) {
	if x < -largestInteger || x > largestInteger {
		e.report(v.Interface(), fmt.Sprintf("a whole number from %d to %d", -largestInteger, largestInteger), "", "is an integer that JSON cannot carry without loss")
		return
	}
	e.out = AppendNumber(e.out, x)
}
