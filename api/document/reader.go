package document

import (
	"reflect"
	"unsafe"

	"bankyear/sim/fault"
)

// Reader reads documents one after the other that share most of their parts, such as
// a base with some values changed: an object whose node the last document had too is
// taken over as it was expanded, decoded and checked, instead of read again. What is
// read shares such objects, so that nobody may change what its maps, lists and
// pointers lead to. Not for concurrent use.
type Reader struct {
	catalogue Catalogue
	expanded  memory[*Node]
	values    memory[reflect.Value]
	taken     map[location]bool // of the present document
}

// location is a value in what is read: a struct begins where its first field does.
type location struct {
	at unsafe.Pointer
	of reflect.Type
}

// NewReader makes one for documents that name entries of a catalogue.
func NewReader(catalogue Catalogue) *Reader {
	return &Reader{catalogue: catalogue, expanded: newMemory[*Node](), values: newMemory[reflect.Value](), taken: map[location]bool{}}
}

// Read is Expand, Decode and fault.CheckTags. Its faults may stand for one another,
// and nothing is told of defaults: whoever wants to say what is wrong reads the
// document once more by those.
func (r *Reader) Read(n *Node, dst any) fault.Faults {
	v := reflect.ValueOf(dst).Elem()
	v.SetZero()
	checkPresets(v.Type())
	clear(r.taken)
	x := expander{catalogue: r.catalogue, reader: r}
	d := decoder{reader: r}
	d.structure(x.walk(n, v.Type(), ""), v, &member{})
	c := fault.New()
	fault.CheckTagsBut(c, dst, r.isTaken)
	sound := len(c.Faults()) == 0 // other faults are not in what was kept
	r.expanded.turn(sound)
	r.values.turn(sound)
	return append(append(x.faults, d.faults...), c.Faults()...)
}

// take sets v to what a node was read as, and is false when that is not known.
func (r *Reader) take(n *Node, v reflect.Value) bool {
	known, ok := r.values.get(n)
	if !ok || known.Type() != v.Type() {
		return false
	}
	v.Set(known)
	if v.CanAddr() {
		r.taken[location{v.Addr().UnsafePointer(), v.Type()}] = true
	}
	return true
}

// keep remembers what a node was read as.
func (r *Reader) keep(n *Node, v reflect.Value) {
	own := reflect.New(v.Type()).Elem()
	own.Set(v)
	r.values.this[n] = own
}

func (r *Reader) isTaken(v reflect.Value) bool {
	return v.CanAddr() && r.taken[location{v.Addr().UnsafePointer(), v.Type()}]
}

// memory is what the nodes of the last document became, and those of this one.
type memory[V any] struct{ last, this map[*Node]V }

func newMemory[V any]() memory[V] { return memory[V]{map[*Node]V{}, map[*Node]V{}} }

func (m *memory[V]) get(n *Node) (v V, ok bool) {
	if v, ok = m.this[n]; ok {
		return v, true
	}
	if v, ok = m.last[n]; ok {
		m.this[n] = v
	}
	return v, ok
}

// turn begins another document: what is known is of this one if it was sound, else
// what was known before.
func (m *memory[V]) turn(sound bool) {
	if sound {
		m.last, m.this = m.this, m.last
	}
	clear(m.this)
}
