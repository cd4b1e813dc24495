package document

import (
	"fmt"
	"reflect"
	"sync"
)

// absent gives a member that is not there its default, or reports it.
func (d *decoder) absent(v reflect.Value, m *member) {
	if m.preset == nil {
		allowed, unit := wanted(m.typ, m)
		d.report(nil, allowed, unit, "is missing")
		return
	}
	outer := d.basis
	d.basis = m.basis
	d.present(m.preset, v, m)
	d.basis = outer
}

// assume lists the value that a member got from a default. A struct is not
// listed: its own members are.
func (d *decoder) assume(v reflect.Value, m *member) {
	for v.Kind() == reflect.Pointer && !v.IsNil() {
		v = v.Elem()
	}
	if holdsStructs(v.Type()) && (v.Kind() == reflect.Struct || v.Len() > 0) {
		return
	}
	d.assumed = append(d.assumed, Assumption{Pointer: d.at.pointer(), Value: v.Interface(), Unit: m.unit, Basis: d.basis})
}

// holdsStructs is true for a struct and for lists and maps of them.
func holdsStructs(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Struct:
		return true
	case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
		return t != nodeType && holdsStructs(t.Elem())
	}
	return false
}

var checked sync.Map // reflect.Type → true

// checkPresets panics when a default that can be reached from t does not fit its
// own member: a mistake in the program, found at the first use of the type.
func checkPresets(t reflect.Type) {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
		if t != nodeType {
			checkPresets(t.Elem())
		}
		return
	case reflect.Struct:
	default:
		return
	}
	if _, done := checked.LoadOrStore(t, true); done {
		return
	}
	sound := false
	defer func() {
		if !sound {
			checked.Delete(t) // the next caller is told as well
		}
	}()
	for i := range shapeOf(t).members {
		m := &shapeOf(t).members[i]
		checkPresets(m.typ)
		if m.catalogue != "" {
			checkCatalogueMember(t, m)
		}
		if m.preset == nil {
			continue
		}
		var d decoder
		d.at.enter(m.name)
		d.absent(reflect.New(m.typ).Elem(), m)
		if len(d.faults) > 0 {
			panic(fmt.Sprintf("document: a default of %v does not fit: %v", t, d.faults))
		}
	}
	sound = true
}
