package document

import (
	"reflect"
	"strconv"
	"strings"

	"bankyear/sim/fault"
)

// Decoded is what Decode has to tell beside the value.
type Decoded struct {
	// Assumed lists every default that was used, in document order.
	Assumed []Assumption
	unread  []string // pointers of members that an unknown key left without value
}

// Assumption is a member that was absent and got its default.
type Assumption struct {
	Pointer string `json:"pointer" doc:"JSON Pointer of the member."`
	Value   any    `json:"value" doc:"Value that it got."`
	Unit    string `json:"unit,omitzero" required:"false" doc:"Unit of the value."`
	Basis   string `json:"basis" doc:"Where the value comes from."`
}

// nodeType is the type of a member that takes any JSON as it is.
var nodeType = reflect.TypeFor[*Node]()

// Decode reads a tree into the value that dst points to, which it sets to zero
// first. The Go type and its struct tags say what is allowed; see the list at
// member. Ranges, enumerations and lengths of lists are not checked here:
// fault.CheckTags does that on the value, and Decoded.Beyond drops what has been
// reported already.
//
// Faults, all at once: unknown members (with the name that was probably meant),
// names in the wrong case, wrong JSON types, missing mandatory members, fractions
// and numbers beyond 2^53 − 1 for integers (RFC 7493 §2.2), null in place of
// anything but a pointer to an optional member, wrong lengths of fixed lists,
// names that are not [a-z0-9_]+ in a map tagged keys:"name".
//
// Supported: structs, pointers, maps with string keys, slices, arrays, strings,
// bool, the integer and float kinds, and *Node for a member that is kept as it
// is. Anything else, and tags that contradict each other, panic.
func Decode(n *Node, dst any) (Decoded, fault.Faults) {
	v := reflect.ValueOf(dst)
	if v.Kind() != reflect.Pointer || v.IsNil() {
		panic("document: Decode needs a pointer to a value")
	}
	checkPresets(v.Type().Elem())
	v.Elem().SetZero()
	if n == nil {
		n = &Node{}
	}
	var d decoder
	d.value(n, v.Elem(), &member{})
	return Decoded{Assumed: d.assumed, unread: d.unread}, d.faults
}

type decoder struct {
	findings
	assumed []Assumption
	unread  []string
	basis   string  // of the default that is being read, or ""
	hints   int     // near names looked for
	reader  *Reader // of many documents; then there is no list of what was assumed
}

// wrongType reports that n is not what the type of v takes.
func (d *decoder) wrongType(n *Node, t reflect.Type, m *member) {
	allowed, unit := wanted(t, m)
	d.report(n.shown(), allowed, unit, "is "+n.describe()+", not "+noun(t))
}

// value reads n into v, which is member m of its object or an item of it.
func (d *decoder) value(n *Node, v reflect.Value, m *member) {
	k := v.Kind()
	if k == reflect.Pointer {
		if v.Type() == nodeType {
			v.Set(reflect.ValueOf(n))
			return
		}
		v.Set(reflect.New(v.Type().Elem()))
		d.value(n, v.Elem(), m)
		return
	}
	if n.kind == Null {
		allowed, unit := wanted(v.Type(), m)
		d.report(nil, allowed, unit, "is null, which is not allowed here")
		return
	}
	switch k {
	case reflect.Struct:
		d.object(n, v, m, d.structure)
	case reflect.Map:
		d.object(n, v, m, d.table)
	case reflect.Slice, reflect.Array:
		d.list(n, v, m)
	default:
		d.scalar(n, v, m)
	}
}

// object reads a struct or a map, unless a reader knows it.
func (d *decoder) object(n *Node, v reflect.Value, m *member, read func(*Node, reflect.Value, *member)) {
	if d.reader == nil {
		read(n, v, m)
		return
	}
	if d.reader.take(n, v) {
		return
	}
	before := len(d.faults)
	if read(n, v, m); len(d.faults) == before {
		d.reader.keep(n, v)
	}
}

func (d *decoder) structure(n *Node, v reflect.Value, m *member) {
	if n.kind != Object {
		d.wrongType(n, v.Type(), m)
		return
	}
	s := shapeOf(v.Type())
	var room [64]bool
	given := append(room[:0], make([]bool, len(s.members))...)
	for i := range n.members {
		name, value := n.members[i].Name, n.members[i].Value
		j, ok := s.byName[name]
		d.at.enter(name)
		if !ok {
			d.unknown(s, name, given)
		} else {
			given[j] = true
			d.present(value, s.members[j].field(v), &s.members[j])
		}
		d.at.leave()
	}
	for j := range s.members {
		if given[j] || s.members[j].optional {
			continue
		}
		d.at.enter(s.members[j].name)
		if n.partial { // Expand has reported why it is missing
			d.unread = append(d.unread, d.at.pointer())
		} else {
			d.absent(s.members[j].field(v), &s.members[j])
		}
		d.at.leave()
	}
}

// present reads a member that is there.
func (d *decoder) present(n *Node, v reflect.Value, m *member) {
	if n.kind == Null && m.optional && m.typ.Kind() == reflect.Pointer && m.typ != nodeType {
		return
	}
	d.value(n, v, m)
	if d.basis != "" && d.reader == nil {
		d.assume(v, m)
	}
}

// unknown reports a name that the struct does not have.
func (d *decoder) unknown(s *shape, name string, given []bool) {
	if j, ok := s.byLower[strings.ToLower(name)]; ok {
		given[j] = true // do not report it as missing too
		d.report(nil, s.members[j].name, "", "is written in the wrong case")
		d.at.leave()
		d.at.enter(s.members[j].name)
		d.unread = append(d.unread, d.at.pointer()) // nor its value as out of range
		d.at.leave()
		d.at.enter(name)
		return
	}
	message, allowed := "is not a known member", s.names
	if d.hints < mostHints {
		d.hints++
		message, allowed = s.unknownName(name, given)
	}
	d.report(nil, allowed, "", message)
}

func (d *decoder) table(n *Node, v reflect.Value, m *member) {
	t := v.Type()
	if t.Key().Kind() != reflect.String {
		panic("document: a map needs string keys, not " + t.String())
	}
	if n.kind != Object {
		d.wrongType(n, t, m)
		return
	}
	v.Set(reflect.MakeMapWithSize(t, len(n.members)))
	for i := range n.members {
		name := n.members[i].Name
		d.at.enter(name)
		if m.named && !isName(name) {
			d.report(shorten(name), "lower-case letters a to z, digits and _", "", "is not a name")
		}
		item := reflect.New(t.Elem()).Elem()
		d.value(n.members[i].Value, item, m)
		v.SetMapIndex(reflect.ValueOf(name).Convert(t.Key()), item)
		d.at.leave()
	}
}

func isName(s string) bool {
	for i := range len(s) {
		if c := s[i]; !(c >= 'a' && c <= 'z' || isDigit(c) || c == '_') {
			return false
		}
	}
	return s != ""
}

func (d *decoder) list(n *Node, v reflect.Value, m *member) {
	t := v.Type()
	if n.kind != Array {
		d.wrongType(n, t, m)
		return
	}
	if t.Kind() == reflect.Array && n.Len() != t.Len() {
		d.report(n.Len(), strconv.Itoa(t.Len()), "items", "has a wrong number of items")
		return
	}
	if t.Kind() == reflect.Slice {
		v.Set(reflect.MakeSlice(t, n.Len(), n.Len()))
	}
	if t.Elem().Kind() == reflect.Float64 && n.items == nil {
		copyNumbers(v, n.numbers)
		return
	}
	for i := range n.Len() {
		d.at.enterItem(i)
		d.value(n.Item(i), v.Index(i), m)
		d.at.leave()
	}
}

// copyNumbers fills a slice or an array of float64. Numbers at fault, NaN or
// infinite, have been reported by Parse.
func copyNumbers(v reflect.Value, numbers []float64) {
	if v.Kind() == reflect.Slice {
		if column, ok := v.Interface().([]float64); ok {
			copy(column, numbers)
			return
		}
	}
	for i, x := range numbers {
		v.Index(i).SetFloat(x)
	}
}
