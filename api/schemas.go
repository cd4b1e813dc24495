package api

import (
	"encoding"
	"encoding/json"
	"path"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"bankyear/api/document"
	"bankyear/profiles"
	"bankyear/sim/fault"
)

const schemaPath = "#/components/schemas/"

// schemas makes JSON Schemas of Go types by the tags that document.Decode and
// fault.CheckTags go by, so that the document and the checks cannot disagree.
// huma's own reading of types knows no defaults of objects, no ranges of nested
// lists and no catalogue.
type schemas struct {
	all   map[string]*huma.Schema
	types map[string]reflect.Type // by name
}

var textType = reflect.TypeFor[encoding.TextMarshaler]()

// of is the schema of a type: a reference for a struct.
func (s schemas) of(t reflect.Type) *huma.Schema {
	switch {
	case t == reflect.TypeFor[*document.Node]():
		// Said outright: of an object without properties a generator makes one that holds nothing.
		return &huma.Schema{Type: huma.TypeObject, AdditionalProperties: true}
	case t == reflect.TypeFor[json.RawMessage](), t.Kind() == reflect.Interface:
		return &huma.Schema{}
	case t.Implements(textType):
		return &huma.Schema{Type: huma.TypeString}
	}
	switch t.Kind() {
	case reflect.Pointer:
		out := s.of(t.Elem())
		if out.Ref == "" {
			out.Nullable = true
		}
		return out
	case reflect.Struct:
		return s.reference(t)
	case reflect.Map:
		return &huma.Schema{Type: huma.TypeObject, AdditionalProperties: s.of(t.Elem())}
	case reflect.Slice:
		return &huma.Schema{Type: huma.TypeArray, Items: s.of(t.Elem())}
	case reflect.Array:
		n := t.Len()
		return &huma.Schema{Type: huma.TypeArray, Items: s.of(t.Elem()), MinItems: &n, MaxItems: &n}
	case reflect.Bool:
		return &huma.Schema{Type: huma.TypeBoolean}
	case reflect.String:
		return &huma.Schema{Type: huma.TypeString}
	case reflect.Float32, reflect.Float64:
		return &huma.Schema{Type: huma.TypeNumber}
	case reflect.Uint64, reflect.Uint32, reflect.Uint:
		return &huma.Schema{Type: huma.TypeInteger, Minimum: new(float64)}
	case reflect.Int, reflect.Int64, reflect.Int32:
		return &huma.Schema{Type: huma.TypeInteger}
	}
	panic("api: no JSON Schema for " + t.String())
}

// reference describes a struct once, under its name.
func (s schemas) reference(t reflect.Type) *huma.Schema {
	name := schemaName(t)
	if other := s.types[name]; other != nil && other != t { // two packages have one of this name
		pkg := path.Base(t.PkgPath())
		name += "Of" + strings.ToUpper(pkg[:1]) + pkg[1:]
	}
	s.types[name] = t
	if _, known := s.all[name]; !known {
		out := &huma.Schema{Type: huma.TypeObject, Properties: map[string]*huma.Schema{}, AdditionalProperties: false}
		s.all[name] = out // before its fields: a type may hold itself
		s.members(t, out)
		slices.Sort(out.Required)
	}
	return &huma.Schema{Ref: schemaPath + name}
}

// schemaName is the type's name, with the package's where the type alone does
// not say enough: bank.Spec is Bank, array.Plane is ArrayPlane.
func schemaName(t reflect.Type) string {
	pkg := path.Base(t.PkgPath())
	name := strings.ToUpper(t.Name()[:1]) + t.Name()[1:]
	switch pkg {
	case "api", "sim":
		return name
	}
	return strings.ToUpper(pkg[:1]) + pkg[1:] + strings.TrimSuffix(name, "Spec")
}

func (s schemas) members(t reflect.Type, out *huma.Schema) {
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.Anonymous && name == "" {
			s.members(f.Type, out)
			continue
		}
		if name == "-" || !f.IsExported() {
			continue
		}
		out.Properties[name] = s.field(f)
		_, hasDefault := f.Tag.Lookup("default")
		if !hasDefault && f.Tag.Get("required") != "false" && !strings.Contains(options, "omit") {
			out.Required = append(out.Required, name)
		}
	}
}

// field is the schema of a member with what its tags say.
func (s schemas) field(f reflect.StructField) *huma.Schema {
	out := s.of(f.Type)
	if f.Tag.Get("is") == "request" { // a request that is kept as JSON
		out = s.of(requestType)
	}
	if kind := f.Tag.Get("catalogue"); kind != "" {
		s.byKey(out, kind)
	}
	name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
	out.Description = f.Tag.Get("doc")
	out.Extensions = map[string]any{}
	if unit := fault.UnitOf(name); unit != "" {
		out.Extensions["x-unit"] = unit
	}
	if text, ok := f.Tag.Lookup("default"); ok {
		out.Default = text
		if out.Type != huma.TypeString {
			out.Default = json.RawMessage(text)
		}
		if basis := f.Tag.Get("basis"); basis != "" {
			out.Extensions["x-basis"] = basis
		}
	}
	if f.Tag.Get("keys") == "name" {
		out.Extensions["propertyNames"] = map[string]string{"pattern": "^[a-z0-9_]+$"}
	}
	out.MinItems, out.MaxItems = whole(f, "minItems", out.MinItems), whole(f, "maxItems", out.MaxItems)
	ranges(f, innermost(out))
	return out
}

// innermost is the schema of the single values in lists and objects.
func innermost(s *huma.Schema) *huma.Schema {
	for {
		values, isMap := s.AdditionalProperties.(*huma.Schema)
		switch {
		case s.Items != nil:
			s = s.Items
		case isMap:
			s = values
		default:
			return s
		}
	}
}

func ranges(f reflect.StructField, s *huma.Schema) {
	number := func(tag string, dst **float64) {
		if text, ok := f.Tag.Lookup(tag); ok {
			x, err := strconv.ParseFloat(text, 64)
			if err != nil {
				panic("api: tag " + tag + " of " + f.Name + ": " + err.Error())
			}
			*dst = &x
		}
	}
	number("minimum", &s.Minimum)
	number("maximum", &s.Maximum)
	number("exclusiveMinimum", &s.ExclusiveMinimum)
	number("exclusiveMaximum", &s.ExclusiveMaximum)
	if choices := f.Tag.Get("enum"); choices != "" {
		s.Enum = nil
		for choice := range strings.SplitSeq(choices, ",") {
			s.Enum = append(s.Enum, choice)
		}
	}
}

func whole(f reflect.StructField, tag string, otherwise *int) *int {
	text, ok := f.Tag.Lookup(tag)
	if !ok {
		return otherwise
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		panic("api: tag " + tag + " of " + f.Name + ": " + err.Error())
	}
	return &n
}

// byKey lets an object be given by a key of the catalogue instead of whole.
func (s schemas) byKey(out *huma.Schema, kind string) {
	if values, isMap := out.AdditionalProperties.(*huma.Schema); isMap {
		s.byKey(values, kind)
		return
	}
	name := "By" + strings.ToUpper(kind[:1]) + kind[1:] + "Key"
	if s.all[name] == nil {
		key := &huma.Schema{Type: huma.TypeString, Description: "Key of the catalogue entry."}
		for _, k := range profiles.Keys(kind) {
			key.Enum = append(key.Enum, k)
		}
		s.all[name] = &huma.Schema{Type: huma.TypeObject, Required: []string{"key"}, Properties: map[string]*huma.Schema{"key": key}, AdditionalProperties: true,
			Description: "A catalogue entry; members beside the key replace its values (JSON Merge Patch)."}
	}
	out.AnyOf = []*huma.Schema{{Ref: out.Ref}, {Ref: schemaPath + name}}
	out.Ref = ""
}
