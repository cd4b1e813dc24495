package document

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"

	"bankyear/sim/fault"
)

// Set returns n with the value at a dotted path, such as bank.modules, replaced;
// objects on the way are made where there are none. On a nil n the result is a
// merge patch that sets this one member; a null value then removes it. n is not
// changed.
//
// The error is a fault.Fault: a path with an empty name, with one that is not
// Unicode, or with more than 64 of them, or one that leads through something that is not an object.
func Set(n *Node, path string, value *Node) (*Node, error) {
	names, err := names(path)
	if err != nil {
		return nil, err
	}
	return set(n, names, 0, value)
}

func set(n *Node, names []string, at int, value *Node) (*Node, error) {
	if at == len(names) {
		return value, nil
	}
	if n != nil && n.kind != Object {
		message := "lies below " + strings.Join(names[:at], ".") + ", which is " + n.describe()
		if at == 0 {
			message = "lies below a document that is " + n.describe()
		}
		return nil, pathFault(names, nil, "", message)
	}
	below, err := set(n.Get(names[at]), names, at+1, value)
	if err != nil {
		return nil, err
	}
	members := slices.Clone(n.Members())
	i := slices.IndexFunc(members, func(m Member) bool { return m.Name == names[at] })
	if i < 0 {
		i, members = len(members), append(members, Member{Name: names[at]})
	}
	members[i].Value = below
	return newObject(members), nil
}

// TypeAt is the Go type of the member at a dotted path below t, through structs,
// pointers and maps. Lists are reached as a whole only. The error is a
// fault.Fault that names the members that there are.
func TypeAt(t reflect.Type, path string) (reflect.Type, error) {
	m, err := memberAt(t, path)
	return m.typ, err
}

func memberAt(t reflect.Type, path string) (member, error) {
	names, err := names(path)
	if err != nil {
		return member{}, err
	}
	m := member{typ: t}
	for i, name := range names {
		if m, err = m.below(names[:i+1], name); err != nil {
			return member{}, err
		}
	}
	return m, nil
}

// below is the member of m with a name; path is the way to it.
func (m member) below(path []string, name string) (member, error) {
	t := underPointers(m.typ)
	switch {
	case t == nodeType.Elem():
	case t.Kind() == reflect.Struct:
		s := shapeOf(t)
		if i, ok := s.byName[name]; ok {
			return s.members[i], nil
		}
		message, allowed := s.unknownName(name, nil)
		return member{}, pathFault(path, nil, allowed, message)
	case t.Kind() == reflect.Map:
		if m.named && !isName(name) {
			return member{}, pathFault(path, shorten(name), "lower-case letters a to z, digits and _", "is not a name")
		}
		m.typ = t.Elem()
		return m, nil
	}
	return member{}, pathFault(path, nil, "", "cannot be reached: "+strings.Join(path[:len(path)-1], ".")+" is changed as a whole")
}

// ParseValue reads the text of a query parameter or a command-line argument as
// the JSON value of a member of type t: text as it is, numbers, true and false,
// and JSON for lists and objects. "null" is null for every type, and so removes
// the member in a merge patch. An empty text is a fault. The pointers of the
// faults start at the value.
func ParseValue(text string, t reflect.Type) (*Node, fault.Faults) {
	return parseValue(text, &member{typ: t})
}

func parseValue(text string, m *member) (*Node, fault.Faults) {
	if text == "null" {
		return &Node{}, nil
	}
	t := underPointers(m.typ)
	if t == nodeType.Elem() {
		return Parse([]byte(text))
	}
	allowed, unit := wanted(t, m)
	wrong := func(message string) fault.Faults {
		return fault.Faults{{Value: shorten(text), Allowed: allowed, Unit: unit, Message: message}}
	}
	if text == "" {
		return nil, wrong("is empty; null removes the member")
	}
	switch k := t.Kind(); {
	case k == reflect.String:
		n, faults := &Node{kind: Text, text: text}, fault.Faults(nil)
		if _, err := Encode(text); err != nil {
			n, faults = nil, wrong("holds bytes that are not Unicode")
		}
		return n, faults
	case k == reflect.Bool:
		if text != "true" && text != "false" {
			return nil, wrong("is not true or false")
		}
		return BoolOf(text == "true"), nil
	case isFloat(k) || isInteger(k):
		if !validNumber([]byte(text)) {
			return nil, wrong("is not " + noun(t))
		}
	}
	n, faults := Parse([]byte(text))
	if len(faults) > 0 {
		return nil, faults
	}
	var d decoder
	switch k := t.Kind(); {
	case n.kind == Number && (isFloat(k) || isInteger(k)):
		d.value(n, reflect.New(t).Elem(), m)
	case noun(t) == "an object" && n.kind != Object, noun(t) == "a list" && n.kind != Array:
		d.wrongType(n, t, m)
	}
	if len(d.faults) > 0 {
		return nil, d.faults
	}
	return n, nil
}

// SetText is TypeAt, ParseValue and Set in one: it adds to a merge patch (nil at
// first) on a document of type t what a text such as a query parameter sets at a
// dotted path. The pointers of the faults start at the document.
func SetText(patch *Node, t reflect.Type, path, text string) (*Node, fault.Faults) {
	m, err := memberAt(t, path)
	if err != nil {
		return nil, asFaults(err)
	}
	value, faults := parseValue(text, &m)
	if len(faults) > 0 {
		place := fault.New().At(strings.Split(path, ".")...).Pointer()
		for i := range faults {
			faults[i].Pointer = place + faults[i].Pointer
		}
		return nil, faults
	}
	out, err := Set(patch, path, value)
	if err != nil {
		return nil, asFaults(err)
	}
	return out, nil
}

// names are those of a dotted path.
func names(path string) ([]string, error) {
	list := strings.Split(path, ".")
	if slices.Contains(list, "") || !utf8.ValidString(path) {
		return nil, fault.Fault{Value: shorten(path), Allowed: "names with dots between, such as bank.modules", Message: "is not a path"}
	}
	if len(list) > deepest {
		return nil, fault.Fault{Value: shorten(path), Allowed: fmt.Sprintf("at most %d names", deepest), Message: "is too long a path"}
	}
	return list, nil
}

func pathFault(names []string, value any, allowed, message string) error {
	return fault.Fault{Pointer: fault.New().At(names...).Pointer(), Value: value, Allowed: allowed, Message: message}
}

// asFaults is for the errors of this file, which are all of type fault.Fault.
func asFaults(err error) fault.Faults { return fault.Faults{err.(fault.Fault)} }
