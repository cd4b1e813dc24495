package fault

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// CheckTags walks a value and records a fault for every number outside its
// `minimum`/`maximum`/`exclusiveMinimum`/`exclusiveMaximum` tag, every string
// outside its `enum` tag, every list outside `minItems`/`maxItems`, and every
// number that is not finite. The tags are those that the OpenAPI document is
// made from, so that the document and the check cannot disagree. A tag on a
// slice or a map of numbers holds for each element. A zero value of a member
// tagged `required:"false"` that has no `default` was left out and passes.
func CheckTags(c Collector, v any) { CheckTagsBut(c, v, nil) }

// CheckTagsBut is CheckTags without the structs and maps that are known to be sound.
func CheckTagsBut(c Collector, v any, sound func(reflect.Value) bool) {
	w := tagWalk{c: c, sound: sound}
	w.value(reflect.ValueOf(v), &fieldTags{})
}

// tagWalk is on its way through a value. The place is written out only where
// something is wrong: a request has hundreds of members, and most are right.
type tagWalk struct {
	c     Collector
	path  []step
	sound func(reflect.Value) bool // or nil
}

// step is a member's name, or the number of an item; that of a name is -1.
type step struct {
	name string
	item int
}

func (w *tagWalk) enter(name string) { w.path = append(w.path, step{name: name, item: -1}) }
func (w *tagWalk) item(i int)        { w.path = append(w.path, step{item: i}) }
func (w *tagWalk) leave()            { w.path = w.path[:len(w.path)-1] }

// here is the collector at the place of now.
func (w *tagWalk) here() Collector {
	at := w.c
	for _, s := range w.path {
		if s.item >= 0 {
			s.name = strconv.Itoa(s.item)
		}
		at = at.At(s.name)
	}
	return at
}

// fieldTags is what the tags of a struct's field say.
type fieldTags struct {
	index    int
	name     string
	embedded bool
	leftOut  bool // a zero value was left out
	within   span
	choices  []string
	items    span // how many a list may have
}

// tagsOf keeps what the tags of a struct type say, once read.
var tagsOf sync.Map // reflect.Type → []fieldTags

func fieldsOf(t reflect.Type) []fieldTags {
	if known, ok := tagsOf.Load(t); ok {
		return known.([]fieldTags)
	}
	var list []fieldTags
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case !f.IsExported():
		case f.Anonymous && f.Tag.Get("json") == "":
			list = append(list, fieldTags{index: i, embedded: true})
		case name != "-" && name != "":
			x := fieldTags{index: i, name: name, within: readSpan(f.Tag), items: span{lo: math.Inf(-1), hi: math.Inf(1)}}
			_, hasDefault := f.Tag.Lookup("default")
			x.leftOut = f.Tag.Get("required") == "false" && !hasDefault
			if enum, ok := f.Tag.Lookup("enum"); ok {
				x.choices = strings.Split(enum, ",")
			}
			if n, ok := number(f.Tag, "minItems"); ok {
				x.items.lo = n
			}
			if n, ok := number(f.Tag, "maxItems"); ok {
				x.items.hi = n
			}
			list = append(list, x)
		}
	}
	tagsOf.Store(t, list)
	return list
}

func (w *tagWalk) value(v reflect.Value, f *fieldTags) {
	k := v.Kind()
	if w.sound != nil && (k == reflect.Struct || k == reflect.Map) && w.sound(v) {
		return
	}
	switch k {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			w.value(v.Elem(), f)
		}
	case reflect.Struct:
		w.structure(v)
	case reflect.Slice, reflect.Array:
		w.list(v, f)
	case reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
		for _, k := range keys {
			w.enter(k.String())
			w.value(v.MapIndex(k), f)
			w.leave()
		}
	case reflect.Float64, reflect.Float32:
		w.number(v.Float(), v, f)
	case reflect.Int, reflect.Int64, reflect.Int32:
		w.number(float64(v.Int()), v, f)
	case reflect.Uint64, reflect.Uint32, reflect.Uint:
		w.number(float64(v.Uint()), v, f)
	case reflect.String:
		if f.choices != nil && !slices.Contains(f.choices, v.String()) {
			w.here().Add(v.String(), "one of "+strings.Join(f.choices, ", "), "", "is not a known choice")
		}
	}
}

func (w *tagWalk) structure(v reflect.Value) {
	list := fieldsOf(v.Type())
	for i := range list {
		f := &list[i]
		inner := v.Field(f.index)
		switch {
		case f.embedded:
			w.value(inner, f)
		case !f.leftOut || !inner.IsZero():
			w.enter(f.name)
			w.value(inner, f)
			w.leave()
		}
	}
}

func (w *tagWalk) list(v reflect.Value, f *fieldTags) {
	n := v.Len()
	lo, hi := f.items.lo, f.items.hi
	hasLo, hasHi := lo > math.Inf(-1), hi < math.Inf(1)
	switch tooFew, tooMany := hasLo && float64(n) < lo, hasHi && float64(n) > hi; {
	case hasLo && hasHi && (tooFew || tooMany):
		w.here().Add(n, fmt.Sprintf("%g to %g", lo, hi), "items", "has a wrong number of items")
	case tooFew:
		w.here().Add(n, fmt.Sprintf("at least %g", lo), "items", "has too few items")
	case tooMany:
		w.here().Add(n, fmt.Sprintf("at most %g", hi), "items", "has too many items")
	}
	if v.Kind() == reflect.Slice && v.Type() == numbersType { // columns: no reflection a row
		for i, x := range v.Interface().([]float64) {
			if !f.within.has(x) {
				w.here().At(strconv.Itoa(i)).Add(show(x), f.within.String(), UnitOf(f.name), "is outside the allowed range")
			}
		}
		return
	}
	for i := range n {
		w.item(i)
		w.value(v.Index(i), f)
		w.leave()
	}
}

var numbersType = reflect.TypeFor[[]float64]()

func (w *tagWalk) number(x float64, given reflect.Value, f *fieldTags) {
	if f.within.has(x) {
		return
	}
	value := given.Interface()
	if math.IsNaN(x) || math.IsInf(x, 0) {
		value = show(x)
	}
	w.here().Add(value, f.within.String(), UnitOf(f.name), "is outside the allowed range")
}

// show keeps a number that JSON cannot carry readable.
func show(x float64) any {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	return x
}

// span is the range that a member's tags allow.
type span struct {
	lo, hi         float64
	openLo, openHi bool
}

func readSpan(tag reflect.StructTag) span {
	s := span{lo: math.Inf(-1), hi: math.Inf(1)}
	if x, ok := number(tag, "minimum"); ok {
		s.lo = x
	}
	if x, ok := number(tag, "exclusiveMinimum"); ok {
		s.lo, s.openLo = x, true
	}
	if x, ok := number(tag, "maximum"); ok {
		s.hi = x
	}
	if x, ok := number(tag, "exclusiveMaximum"); ok {
		s.hi, s.openHi = x, true
	}
	return s
}

func (s span) has(x float64) bool {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return false
	}
	return (x > s.lo || x == s.lo && !s.openLo) && (x < s.hi || x == s.hi && !s.openHi)
}

// String says the range as people do: "0 to 1", "above 0", "at least 2".
func (s span) String() string {
	lo, hi := !math.IsInf(s.lo, -1), !math.IsInf(s.hi, 1)
	low := fmt.Sprintf("at least %g", s.lo)
	if s.openLo {
		low = fmt.Sprintf("above %g", s.lo)
	}
	high := fmt.Sprintf("at most %g", s.hi)
	if s.openHi {
		high = fmt.Sprintf("below %g", s.hi)
	}
	switch {
	case lo && hi && !s.openLo && !s.openHi:
		return fmt.Sprintf("%g to %g", s.lo, s.hi)
	case lo && hi:
		return low + " and " + high
	case lo:
		return low
	case hi:
		return high
	}
	return "a finite number"
}

func number(tag reflect.StructTag, key string) (float64, bool) {
	text, ok := tag.Lookup(key)
	if !ok {
		return 0, false
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic("fault: tag " + key + " is not a number: " + text)
	}
	return x, true
}
