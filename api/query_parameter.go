package api

import (
	"cmp"
	"reflect"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"bankyear/api/media"
	"bankyear/sim/fault"
	"bankyear/weather"
)

// queryParameter is a parameter of a query, for the documentation.
type queryParameter struct {
	name  string // dotted path
	field reflect.StructField
	value reflect.Type // of the field, or in the map that it is
}

// Name, Allowed, Default and Doc let a page show it.
func (q queryParameter) Name() string    { return q.name }
func (q queryParameter) Allowed() string { return allowedBy(q.field.Tag) }
func (q queryParameter) Default() string { return q.field.Tag.Get("default") }
func (q queryParameter) Doc() string     { return q.field.Tag.Get("doc") }

// Unit is that of a number.
func (q queryParameter) Unit() string {
	if q.value.Kind() == reflect.String {
		return ""
	}
	return fault.UnitOf(q.name)
}

// namesIn are the names in maps that are parameters, by the path of the map or
// by its tag names.
var namesIn = map[string][]string{
	"columns": append([]string{"time"}, columnNames()...),
	"units":   columnNames(),

	"site log": append([]string{"time"}, logColumnNames(SiteLog{})...),
	"BMS log":  append([]string{"time"}, logColumnNames(BMSLog{})...),
}

func columnNames() []string {
	var names []string
	for _, c := range columnsOf(&weather.Year{}) {
		names = append(names, c.name)
	}
	return names
}

// queryParameters lists those of an operation: its own, and those beside a file.
func (o *operation) queryParameters() []queryParameter {
	var list []queryParameter
	for _, q := range []any{o.query, o.fileQuery} {
		if q != nil {
			list = append(list, parametersIn(reflect.TypeOf(q), "")...)
		}
	}
	return list
}

// bodyMember is a member that is no parameter, because it is the body.
const bodyMember = "csv"

func parametersIn(t reflect.Type, path string) []queryParameter {
	var list []queryParameter
	for _, f := range reflect.VisibleFields(t) {
		name, inner := path+memberName(f), f.Type
		for inner.Kind() == reflect.Pointer {
			inner = inner.Elem()
		}
		switch {
		case name == bodyMember:
		case inner.Kind() == reflect.Struct:
			list = append(list, parametersIn(inner, name+".")...)
		case inner.Kind() == reflect.Map:
			for _, key := range namesIn[cmp.Or(f.Tag.Get("names"), name)] {
				list = append(list, queryParameter{name + "." + key, f, inner.Elem()})
			}
		default:
			list = append(list, queryParameter{name, f, inner})
		}
	}
	return list
}

// schema is that of the parameter's value.
func (q queryParameter) schema(s schemas) *huma.Schema {
	field := q.field
	field.Type = q.value
	out := s.field(field)
	out.Description = ""
	return out
}

// uploadDoc is what can be uploaded to one path, for the documentation.
type uploadDoc struct {
	Path       string
	Parameters []queryParameter // beside a file
	Members    []Input          // of JSON, without those of a request
	Answer     []Input
}

// uploadDocs describes every operation that takes files.
func uploadDocs(operations []operation) []uploadDoc {
	var list []uploadDoc
	for _, o := range operations {
		if o.fileQuery == nil {
			continue
		}
		d := uploadDoc{Path: o.path, Parameters: parametersIn(reflect.TypeOf(o.fileQuery), ""), Answer: inputs(reflect.TypeOf(o.answers[media.JSON]), "", nil)}
		known := map[string]bool{}
		for _, in := range Inputs() {
			known[strings.TrimPrefix(strings.TrimPrefix(in.Path, "weather."), "load.")] = true
		}
		for _, in := range inputs(reflect.TypeOf(o.body), "", nil) {
			if !known[in.Path] {
				d.Members = append(d.Members, in)
			}
		}
		list = append(list, d)
	}
	return list
}
