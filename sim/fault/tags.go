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
func CheckTags(c Collector, v any) { checkValue(c, reflect.ValueOf(v), "", "") }

func checkValue(c Collector, v reflect.Value, name string, tag reflect.StructTag) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			checkValue(c, v.Elem(), name, tag)
		}
	case reflect.Struct:
		checkStruct(c, v)
	case reflect.Slice, reflect.Array:
		checkItems(c, v, name, tag)
	case reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
		for _, k := range keys {
			checkValue(c.At(k.String()), v.MapIndex(k), name, tag)
		}
	case reflect.Float64, reflect.Float32:
		checkNumber(c, v.Float(), v.Interface(), name, tag)
	case reflect.Int, reflect.Int64, reflect.Int32:
		checkNumber(c, float64(v.Int()), v.Interface(), name, tag)
	case reflect.Uint64, reflect.Uint32, reflect.Uint:
		checkNumber(c, float64(v.Uint()), v.Interface(), name, tag)
	case reflect.String:
		if enum, ok := tag.Lookup("enum"); ok && !slices.Contains(strings.Split(enum, ","), v.String()) {
			c.Add(v.String(), "one of "+strings.ReplaceAll(enum, ",", ", "), "", "is not a known choice")
		}
	}
}

func checkStruct(c Collector, v reflect.Value) {
	t := v.Type()
	for i := range t.NumField() {
		f := t.Field(i)
		if !f.IsExported() {
			continue
		}
		if f.Anonymous && f.Tag.Get("json") == "" {
			checkValue(c, v.Field(i), "", "")
			continue
		}
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "-" || name == "" {
			continue
		}
		_, hasDefault := f.Tag.Lookup("default")
		if f.Tag.Get("required") == "false" && !hasDefault && v.Field(i).IsZero() {
			continue
		}
		checkValue(c.At(name), v.Field(i), name, f.Tag)
	}
}

func checkItems(c Collector, v reflect.Value, name string, tag reflect.StructTag) {
	n := v.Len()
	lo, hasLo := number(tag, "minItems")
	hi, hasHi := number(tag, "maxItems")
	switch {
	case hasLo && hasHi && (float64(n) < lo || float64(n) > hi):
		c.Add(n, fmt.Sprintf("%g to %g", lo, hi), "items", "has a wrong number of items")
	case hasLo && float64(n) < lo:
		c.Add(n, fmt.Sprintf("at least %g", lo), "items", "has too few items")
	case hasHi && float64(n) > hi:
		c.Add(n, fmt.Sprintf("at most %g", hi), "items", "has too many items")
	}
	if values, ok := v.Interface().([]float64); ok { // columns: no reflection a row
		r := rangeOf(tag)
		for i, x := range values {
			if !r.has(x) {
				c.At(strconv.Itoa(i)).Add(show(x), r.String(), UnitOf(name), "is outside the allowed range")
			}
		}
		return
	}
	for i := range n {
		checkValue(c.At(strconv.Itoa(i)), v.Index(i), name, tag)
	}
}

func checkNumber(c Collector, x float64, given any, name string, tag reflect.StructTag) {
	if r := rangeOf(tag); !r.has(x) {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			given = show(x)
		}
		c.Add(given, r.String(), UnitOf(name), "is outside the allowed range")
	}
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

// spans keeps the ranges of tags once read: a year has thousands of checks and a
// program a few hundred tags.
var spans sync.Map // reflect.StructTag → span

func rangeOf(tag reflect.StructTag) span {
	if s, ok := spans.Load(tag); ok {
		return s.(span)
	}
	s := readSpan(tag)
	spans.Store(tag, s)
	return s
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
