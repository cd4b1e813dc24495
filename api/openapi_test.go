package api

import (
	"encoding/json"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func document31(t testing.TB) map[string]any {
	t.Helper()
	w := call(t, New(Config{}), "GET", "/openapi.json", nil)
	require.Equal(t, 200, w.Code)
	var doc map[string]any
	require.NoError(t, json.Unmarshal(w.Body.Bytes(), &doc))
	return doc
}

// at walks into JSON objects.
func at(t testing.TB, v any, path ...string) any {
	t.Helper()
	for _, name := range path {
		object, ok := v.(map[string]any)
		require.True(t, ok, "%v", path)
		v, ok = object[name]
		require.True(t, ok, "no %s in %v", name, path)
	}
	return v
}

func TestOpenAPI_References(t *testing.T) {
	doc := document31(t)
	assert.Equal(t, "3.1.0", doc["openapi"])
	used := map[string]bool{}
	var walk func(v any)
	walk = func(v any) {
		switch x := v.(type) {
		case map[string]any:
			if ref, ok := x["$ref"].(string); ok {
				name := strings.TrimPrefix(ref, schemaPath)
				used[name] = true
				assert.Contains(t, at(t, doc, "components", "schemas"), name)
			}
			for _, inner := range x {
				walk(inner)
			}
		case []any:
			for _, inner := range x {
				walk(inner)
			}
		}
	}
	walk(doc)
	for name := range at(t, doc, "components", "schemas").(map[string]any) {
		assert.True(t, used[name], "%s is used", name)
	}
}

// The document and the router say the same: every operation answers.
func TestOpenAPI_Operations(t *testing.T) {
	doc := document31(t)
	s := New(Config{})
	ids := map[string]bool{}
	for _, o := range s.operations() {
		op := at(t, doc, "paths", o.path, strings.ToLower(o.method)).(map[string]any)
		assert.False(t, ids[op["operationId"].(string)])
		ids[op["operationId"].(string)] = true
		responses := op["responses"].(map[string]any)
		assert.Contains(t, responses, map[bool]string{false: "200", true: "204"}[o.removes])
		for _, k := range o.problems {
			assert.Contains(t, responses, strconv.Itoa(k.status))
		}
		w := call(t, s, o.method, strings.NewReplacer("{hash}", strings.Repeat("0", 64), "{id}", "w-"+strings.Repeat("0", 32), "{name}", "hut", "{figure}", "downtime_h").Replace(o.path), nil)
		assert.NotEqual(t, 405, w.Code)
	}
	for path, item := range at(t, doc, "paths").(map[string]any) {
		for method := range item.(map[string]any) {
			w := call(t, s, strings.ToUpper(method), strings.NewReplacer("{hash}", "0", "{id}", "0", "{name}", "0", "{figure}", "0").Replace(path), nil)
			assert.NotEqual(t, 405, w.Code, path)
		}
	}
}

// The document says what the decoder does: which members are mandatory, their
// ranges, units and defaults.
func TestOpenAPI_SaysWhatIsChecked(t *testing.T) {
	doc := document31(t)
	request := at(t, doc, "components", "schemas", "Request")
	required := at(t, request, "required")
	base := complete(t)
	for name := range at(t, request, "properties").(map[string]any) {
		without := merged(base, map[string]any{name: nil})
		missing := false
		for _, p := range pointers(text(t, without)) {
			missing = missing || p == "/"+name
		}
		assert.Equal(t, missing, contains(required, name), name)
	}
	modules := at(t, doc, "components", "schemas", "Bank", "properties", "modules")
	assert.Equal(t, "integer", at(t, modules, "type"))
	assert.Equal(t, 1.0, at(t, modules, "minimum"))
	assert.Equal(t, 64.0, at(t, modules, "maximum"))
	cable := at(t, doc, "components", "schemas", "Bank", "properties", "cable_ohm")
	assert.Equal(t, 0.002, at(t, cable, "default"))
	assert.Equal(t, "Ω", at(t, cable, "x-unit"))
	assert.Equal(t, "common practice", at(t, cable, "x-basis"))
	ghi := at(t, doc, "components", "schemas", "Weather", "properties", "ghi_w_m2", "items")
	assert.Equal(t, 2000.0, at(t, ghi, "maximum"))
	pair := at(t, doc, "components", "schemas", "BankModule", "properties", "cycles_by_depth", "items")
	assert.Equal(t, 2.0, at(t, pair, "minItems"), "pairs")
	assert.Equal(t, 0.0, at(t, pair, "items", "minimum"), "the range is that of the numbers inside")
}

func contains(list any, name string) bool {
	for _, x := range list.([]any) {
		if x == name {
			return true
		}
	}
	return false
}

// Every member of the request has a description in words.
func TestInputs_Described(t *testing.T) {
	seen := map[string]bool{}
	for _, in := range Inputs() {
		assert.NotEmpty(t, in.Doc, in.Path)
		assert.Equal(t, in.Default == "", in.Basis == "", "%s: a default says where it comes from", in.Path)
		assert.False(t, seen[in.Path], in.Path)
		seen[in.Path] = true
	}
	for _, path := range []string{"site.latitude_deg", "load.appliances.{name}.w", "bank.module.protection.over_v", "generators.{name}.start_below[].v", "weather.ghi_w_m2"} {
		assert.True(t, seen[path], path)
	}
	for _, f := range figureDocs() {
		assert.NotEmpty(t, f.Doc, f.Path)
	}
	for _, f := range reflect.VisibleFields(reflect.TypeFor[Answer]()) {
		assert.NotEmpty(t, f.Tag.Get("doc"), f.Name)
	}
}
