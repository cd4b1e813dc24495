package sim

import (
	"reflect"
	"strings"
)

// Located makes a plan look for events in every segment.
func (p *Plan) Located() *Plan {
	q := *p
	q.located = true
	return &q
}

// ForkAt runs a year up to a row, lays it aside there and gives the rest of it.
func (p *Plan) ForkAt(row int) (f *Fork, rest func() *Year) {
	m, from := p.begun()
	for i := from; i < row; i++ {
		m.number(i, false)
	}
	f = new(Fork)
	f.lay(m, row)
	return f, func() *Year { return m.run(row, false, false, nil) }
}

// References are the members of a machine that two copies of it would share.
func References() []string {
	var found []string
	var walk func(t reflect.Type, path string)
	walk = func(t reflect.Type, path string) {
		switch t.Kind() {
		case reflect.Struct:
			for f := range t.Fields() {
				walk(f.Type, path+"."+f.Name)
			}
		case reflect.Array:
			walk(t.Elem(), path)
		case reflect.Pointer, reflect.Slice, reflect.Map, reflect.Func, reflect.Interface, reflect.Chan, reflect.UnsafePointer:
			found = append(found, strings.TrimPrefix(path, "."))
		}
	}
	walk(reflect.TypeFor[machine](), "")
	return found
}

// EventTime is an event and its second of the year.
type EventTime struct {
	What, Of string
	Second   float64
}

// EventTimes runs the first rows of a year and gives every event that it tells of:
// none merged with others of its day, none left out.
func (p *Plan) EventTimes(rows int) (list []EventTime) {
	m, from := p.begun()
	for i := from; i < rows; i++ {
		m.number(i, true)
		if m.rec == nil {
			continue
		}
		for _, e := range m.rec.events {
			list = append(list, EventTime{e.What, e.Of, e.seconds})
		}
		m.rec.events = nil
	}
	return list
}
