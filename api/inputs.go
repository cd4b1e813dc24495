package api

import (
	"reflect"
	"strings"

	"bankyear/api/document"
	"bankyear/sim/fault"
)

// Input is one member that a request may have, for the documentation.
type Input struct {
	Path     string // dotted; {name} stands for a name of the caller's, [] for an item
	Kind     string
	Unit     string
	Allowed  string
	Default  string
	Basis    string
	Doc      string
	Formula  string // of a figure
	Required bool
}

// Inputs lists every member of a request in its order.
func Inputs() []Input { return inputs(requestType, "", nil) }

func inputs(t reflect.Type, path string, list []Input) []Input {
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.Anonymous && name == "" {
			list = inputs(f.Type, path, list)
			continue
		}
		if name == "-" || !f.IsExported() {
			continue
		}
		value, hasDefault := f.Tag.Lookup("default")
		in := Input{Path: path + name, Unit: fault.UnitOf(name), Default: value, Basis: f.Tag.Get("basis"), Doc: f.Tag.Get("doc"),
			Required: !hasDefault && f.Tag.Get("required") != "false"}
		inner, suffix := f.Type, ""
		for {
			switch inner.Kind() {
			case reflect.Pointer:
				inner = inner.Elem()
				continue
			case reflect.Map:
				inner, suffix = inner.Elem(), suffix+".{name}"
				continue
			case reflect.Slice, reflect.Array:
				inner, suffix = inner.Elem(), suffix+"[]"
				continue
			}
			break
		}
		in.Kind = kindName(inner) + strings.Repeat(", list", strings.Count(suffix, "[]"))
		in.Allowed = allowedBy(f.Tag)
		if kind := f.Tag.Get("catalogue"); kind != "" {
			in.Allowed = "or {\"key\": …} of the catalogue's kind " + kind
		}
		if in.Default == "{}" {
			in.Default, in.Basis = "", ""
		}
		list = append(list, in)
		if inner.Kind() == reflect.Struct && inner != reflect.TypeFor[document.Node]() {
			list = inputs(inner, in.Path+suffix+".", list)
		}
	}
	return list
}

func kindName(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Struct:
		return "object"
	case reflect.String:
		return "text"
	case reflect.Bool:
		return "true or false"
	case reflect.Float64:
		return "number"
	case reflect.Interface:
		return "any value"
	}
	return "whole number"
}

// allowedBy says the range of a member's tags in words.
func allowedBy(tag reflect.StructTag) string {
	if choices := tag.Get("enum"); choices != "" {
		return strings.ReplaceAll(choices, ",", ", ")
	}
	var parts []string
	for _, limit := range []struct{ tag, words string }{{"minimum", "at least "}, {"exclusiveMinimum", "above "}, {"maximum", "at most "}, {"exclusiveMaximum", "below "}} {
		if x, ok := tag.Lookup(limit.tag); ok {
			parts = append(parts, limit.words+x)
		}
	}
	for _, limit := range []struct{ tag, words string }{{"minItems", "at least "}, {"maxItems", "at most "}} {
		if x, ok := tag.Lookup(limit.tag); ok {
			parts = append(parts, limit.words+x+" items")
		}
	}
	return strings.Join(parts, ", ")
}
