package document

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"bankyear/sim/fault"
)

// catalogueKey is the member that names a catalogue entry.
const catalogueKey = "key"

// Catalogue holds the entries of each kind ("module", "inverter", ...) by key.
type Catalogue map[string]map[string]*Node

// Expansion is one place of a document where a catalogue entry was put in.
type Expansion struct {
	Pointer string `json:"pointer" doc:"JSON Pointer of the object that named the entry."`
	Key     string `json:"key" doc:"Key of the entry."`
	// A candidate that changes only the key keeps the overrides of its base:
	// they are listed so that nobody takes the entry for untouched.
	Overrides []string `json:"overrides,omitzero" required:"false" doc:"JSON Pointers of the members given beside the key."`
}

// Expand replaces every object that names a catalogue entry, such as
// {"key": "lfp_16s_100ah", "capacity_ah": 90}, by the entry with the members
// beside the key merged onto it (RFC 7396; the key stays). The tag
// catalogue:"kind" of type t says where: on the field of such an object, or of a
// map or list of them. An object without a key is left as it is. An entry may
// name other entries in its turn.
//
// A key that the catalogue does not have is a fault that lists the keys of its
// kind; Decode then does not report the members missing there. A kind that the
// catalogue does not have panics, as does a catalogue that goes in circles.
//
// n is not changed. A nil n stays nil.
func Expand(n *Node, t reflect.Type, catalogue Catalogue) (*Node, []Expansion, fault.Faults) {
	x := expander{catalogue: catalogue}
	n = x.walk(n, t, "")
	return n, x.expansions, x.faults
}

type expander struct {
	findings
	reader     *Reader // of many documents; or nil
	catalogue  Catalogue
	expansions []Expansion
}

// walk returns n, of type t, with everything in it expanded. kind is that of the
// objects at this place, or "".
func (x *expander) walk(n *Node, t reflect.Type, kind string) *Node {
	if len(x.at.tokens) > 2*deepest {
		panic("document: the catalogue refers to itself at " + x.at.pointer())
	}
	t = underPointers(t)
	switch {
	case t.Kind() == reflect.Struct && t != nodeType.Elem() && n.Kind() == Object:
		if x.reader == nil {
			return x.object(n, t, kind)
		}
		if known, ok := x.reader.expanded.get(n); ok {
			return known
		}
		before := len(x.faults)
		out := x.object(n, t, kind)
		if len(x.faults) == before {
			x.reader.expanded.this[n] = out
		}
		return out
	case t.Kind() == reflect.Map && n.Kind() == Object && holdsStructs(t):
		return x.members(n, func(string) (reflect.Type, string) { return t.Elem(), kind })
	case (t.Kind() == reflect.Slice || t.Kind() == reflect.Array) && n.Kind() == Array && holdsStructs(t):
		return x.items(n, t.Elem(), kind)
	}
	return n
}

// object expands an object of a struct type.
func (x *expander) object(n *Node, t reflect.Type, kind string) *Node {
	if kind != "" && n.Get(catalogueKey).Kind() != Null {
		n = x.entry(n, kind)
	}
	s := shapeOf(t)
	return x.members(n, func(name string) (reflect.Type, string) {
		if i, ok := s.byName[name]; ok {
			return s.members[i].typ, s.members[i].catalogue
		}
		return nil, ""
	})
}

// members walks the members of an object whose type is known.
func (x *expander) members(n *Node, typeOf func(name string) (reflect.Type, string)) *Node {
	var changed []Member
	for i, m := range n.members {
		t, kind := typeOf(m.Name)
		if t == nil || !holdsStructs(underPointers(t)) {
			continue
		}
		x.at.enter(m.Name)
		v := x.walk(m.Value, t, kind)
		x.at.leave()
		if v != m.Value {
			if changed == nil {
				changed = slices.Clone(n.members)
			}
			changed[i].Value = v
		}
	}
	if changed == nil {
		return n
	}
	out := *n
	out.members = changed // same names at the same places: the index holds
	return &out
}

func (x *expander) items(n *Node, t reflect.Type, kind string) *Node {
	var changed []*Node
	for i, item := range n.items {
		x.at.enterItem(i)
		v := x.walk(item, t, kind)
		x.at.leave()
		if v != item {
			if changed == nil {
				changed = slices.Clone(n.items)
			}
			changed[i] = v
		}
	}
	if changed == nil {
		return n
	}
	return &Node{kind: Array, items: changed}
}

// entry puts the catalogue entry that n names under the members of n.
func (x *expander) entry(n *Node, kind string) *Node {
	entries, ok := x.catalogue[kind]
	if !ok {
		panic(fmt.Sprintf("document: the catalogue has no kind %q", kind))
	}
	key, isText := n.Get(catalogueKey).Text()
	entry := entries[key]
	if !isText || entry == nil {
		if isText { // Decode reports any other type
			x.unknownKey(key, slices.Sorted(maps.Keys(entries)))
		}
		out := *n
		out.partial = true
		return &out
	}
	x.expansions = append(x.expansions, Expansion{Pointer: x.at.pointer(), Key: key, Overrides: x.overrides(n)})
	return Merge(entry, n)
}

func (x *expander) unknownKey(key string, keys []string) {
	message := "is not a key of the catalogue"
	if near := nearest(key, keys); near != "" {
		message += "; did you mean " + near + "?"
	}
	allowed := "no key: the catalogue has none of this kind"
	if len(keys) > 0 {
		allowed = "one of " + strings.Join(keys, ", ")
	}
	x.at.enter(catalogueKey)
	x.report(shorten(key), allowed, "", message)
	x.at.leave()
}

// overrides lists the pointers of the members beside the key.
func (x *expander) overrides(n *Node) []string {
	var list []string
	for _, m := range n.members {
		if m.Name != catalogueKey {
			list = x.leaves(m, list)
		}
	}
	return list
}

// leaves adds the pointers of what m holds, down to what is not an object.
func (x *expander) leaves(m Member, list []string) []string {
	x.at.enter(m.Name)
	defer x.at.leave()
	if len(m.Value.Members()) == 0 {
		return append(list, x.at.pointer())
	}
	for _, below := range m.Value.members {
		list = x.leaves(below, list)
	}
	return list
}

// checkCatalogueMember panics when the objects of a member tagged as catalogue
// entries cannot carry a key.
func checkCatalogueMember(t reflect.Type, m *member) {
	entry := underPointers(m.typ)
	for k := entry.Kind(); k == reflect.Map || k == reflect.Slice || k == reflect.Array; k = entry.Kind() {
		entry = underPointers(entry.Elem())
	}
	if entry.Kind() == reflect.Struct {
		if _, ok := shapeOf(entry).byName[catalogueKey]; ok {
			return
		}
	}
	panic(fmt.Sprintf("document: member %q of %v is tagged as a catalogue entry, but its objects have no member %q", m.name, t, catalogueKey))
}
