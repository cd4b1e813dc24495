package document

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"sync"

	"bankyear/sim/fault"
)

// A Go struct describes an object of the document by its tags:
//
//	json:"name"        the member's name; omitzero leaves a zero value out of Encode
//	required:"false"   the member may be absent, and then stays zero
//	default:"..."      the member may be absent, and then has this value: plain for
//	                   a string, JSON for anything else; {} fills a struct with the
//	                   defaults of its own members
//	basis:"..."        where the default comes from
//	enum:"a,b"         repeated in faults about the member; fault.CheckTags checks it
//	keys:"name"        the names in this map must match [a-z0-9_]+
//	catalogue:"kind"   the object, or each object in the map or list, may name an
//	                   entry of the catalogue by its member "key"
//	hash:"-"           the member is no part of the identity of the value
//
// A member without default and required:"false" is mandatory. An embedded struct
// without a json tag is part of the struct around it.

// member is what the type says about one member.
type member struct {
	name      string
	quoted    string // the name as canonical JSON, and a colon
	index     []int  // of the field, through embedded structs
	typ       reflect.Type
	optional  bool  // may be absent without a default
	preset    *Node // what the member is when absent, or nil
	basis     string
	choices   string // "one of a, b", or ""
	unit      string
	named     bool // keys:"name"
	catalogue string
	omitzero  bool
	unhashed  bool
}

// shape is what a struct type says about its object.
type shape struct {
	members []member // in the order of the struct
	byName  map[string]int
	byLower map[string]int // lower-case name
	sorted  []int          // members in canonical order
	names   string         // "one of a, b, c"
}

var shapes sync.Map // reflect.Type → *shape

// shapeOf is cached. It panics when the tags of the type contradict each other.
func shapeOf(t reflect.Type) *shape {
	if s, ok := shapes.Load(t); ok {
		return s.(*shape)
	}
	s := &shape{byName: map[string]int{}, byLower: map[string]int{}}
	s.collect(t, nil)
	names := make([]string, len(s.members))
	for i, m := range s.members {
		if _, twice := s.byName[m.name]; twice {
			panic(fmt.Sprintf("document: %v has two members %q", t, m.name))
		}
		s.byName[m.name], s.byLower[strings.ToLower(m.name)] = i, i
		s.sorted = append(s.sorted, i)
		names[i] = m.name
	}
	if len(s.members) == 0 && t.NumField() > 0 {
		panic(fmt.Sprintf("document: %v has no members to read or write", t))
	}
	slices.SortFunc(s.sorted, func(a, b int) int { return compareUTF16(names[a], names[b]) })
	s.names = "one of " + strings.Join(names, ", ")
	if len(names) == 0 {
		s.names = "none"
	}
	actual, _ := shapes.LoadOrStore(t, s)
	return actual.(*shape)
}

// collect adds the members of t, whose fields are reached by the index path.
func (s *shape) collect(t reflect.Type, path []int) {
	for i := range t.NumField() {
		f := t.Field(i)
		index := append(slices.Clone(path), i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case f.Anonymous && f.Type.Kind() == reflect.Struct && name == "":
			s.collect(f.Type, index)
		case name == "-" || !f.IsExported():
		case name == "":
			panic(fmt.Sprintf("document: field %s of %v has no json name", f.Name, t))
		default:
			s.members = append(s.members, memberOf(f, name, options, index))
		}
	}
}

func memberOf(f reflect.StructField, name, options string, index []int) member {
	m := member{
		name: name, quoted: quoted(name) + ":", index: index, typ: f.Type,
		optional:  f.Tag.Get("required") == "false",
		basis:     f.Tag.Get("basis"),
		unit:      fault.UnitOf(name),
		named:     f.Tag.Get("keys") == "name",
		catalogue: f.Tag.Get("catalogue"),
		omitzero:  slices.Contains(strings.Split(options, ","), "omitzero"),
		unhashed:  f.Tag.Get("hash") == "-",
	}
	if enum := f.Tag.Get("enum"); enum != "" {
		m.choices = "one of " + strings.ReplaceAll(enum, ",", ", ")
	}
	if text, ok := f.Tag.Lookup("default"); ok {
		m.optional = false
		m.preset = presetOf(f, text)
		if m.basis == "" {
			m.basis = "default"
		}
	}
	return m
}

// field is the member of a struct of the type.
func (m *member) field(v reflect.Value) reflect.Value {
	if len(m.index) == 1 {
		return v.Field(m.index[0])
	}
	return v.FieldByIndex(m.index)
}

// presetOf is the value of a default tag.
func presetOf(f reflect.StructField, text string) *Node {
	if underPointers(f.Type).Kind() == reflect.String {
		return TextOf(text)
	}
	n, faults := Parse([]byte(text))
	if len(faults) > 0 {
		panic(fmt.Sprintf("document: default of field %s: %v", f.Name, faults))
	}
	if f.Tag.Get("catalogue") != "" && n.Get(catalogueKey) != nil {
		panic(fmt.Sprintf("document: default of field %s names a catalogue entry, but defaults are filled after entries are expanded", f.Name))
	}
	return n
}

func underPointers(t reflect.Type) reflect.Type {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	return t
}
