package api

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// conforms checks a value against a schema of the OpenAPI document, as far as
// the document uses JSON Schema, and says where it does not fit.
func conforms(doc, schema map[string]any, v any, where string) []string {
	if ref, ok := schema["$ref"].(string); ok {
		all := doc["components"].(map[string]any)["schemas"].(map[string]any)
		return conforms(doc, all[strings.TrimPrefix(ref, schemaPath)].(map[string]any), v, where)
	}
	if choices, ok := schema["anyOf"].([]any); ok {
		var wrong []string
		for _, c := range choices {
			w := conforms(doc, c.(map[string]any), v, where)
			if len(w) == 0 {
				return nil
			}
			wrong = append(wrong, w...)
		}
		return wrong
	}
	types := []string{}
	switch x := schema["type"].(type) {
	case string:
		types = append(types, x)
	case []any:
		for _, t := range x {
			types = append(types, t.(string))
		}
	}
	kind, is := "", ""
	switch x := v.(type) {
	case nil:
		kind = "null"
	case bool:
		kind = "boolean"
	case string:
		kind = "string"
	case []any:
		kind = "array"
	case map[string]any:
		kind = "object"
	case float64:
		kind = "number"
		if x == float64(int64(x)) {
			is = "integer"
		}
	}
	if len(types) > 0 && !slices.Contains(types, kind) && !slices.Contains(types, is) {
		return []string{fmt.Sprintf("%s is %s, not %v", where, kind, types)}
	}
	var wrong []string
	if enum, ok := schema["enum"].([]any); ok && !slices.Contains(enum, v) {
		wrong = append(wrong, fmt.Sprintf("%s: %v is none of %v", where, v, enum))
	}
	switch x := v.(type) {
	case float64:
		for limit, outside := range map[string]func(float64) bool{
			"minimum": func(l float64) bool { return x < l }, "maximum": func(l float64) bool { return x > l },
			"exclusiveMinimum": func(l float64) bool { return x <= l }, "exclusiveMaximum": func(l float64) bool { return x >= l },
		} {
			if l, ok := schema[limit].(float64); ok && outside(l) {
				wrong = append(wrong, fmt.Sprintf("%s: %g against %s %g", where, x, limit, l))
			}
		}
	case []any:
		items, _ := schema["items"].(map[string]any)
		for i, item := range x {
			wrong = append(wrong, conforms(doc, items, item, fmt.Sprintf("%s/%d", where, i))...)
		}
	case map[string]any:
		wrong = append(wrong, objectConforms(doc, schema, x, where)...)
	}
	return wrong
}

func objectConforms(doc, schema map[string]any, v map[string]any, where string) (wrong []string) {
	if required, ok := schema["required"].([]any); ok {
		for _, name := range required {
			if _, there := v[name.(string)]; !there {
				wrong = append(wrong, where+"/"+name.(string)+" is missing")
			}
		}
	}
	properties, _ := schema["properties"].(map[string]any)
	for name, inner := range v {
		switch p, known := properties[name].(map[string]any); {
		case known:
			wrong = append(wrong, conforms(doc, p, inner, where+"/"+name)...)
		case schema["additionalProperties"] == false:
			wrong = append(wrong, where+"/"+name+" is not in the schema")
		default:
			if values, ok := schema["additionalProperties"].(map[string]any); ok {
				wrong = append(wrong, conforms(doc, values, inner, where+"/"+name)...)
			}
		}
	}
	return wrong
}

// What the service takes and answers is what the OpenAPI document says.
func TestOpenAPI_Conformance(t *testing.T) {
	doc := document31(t)
	s := New(Config{})
	raw := text(t, complete(t))
	check := func(name string, body []byte) {
		t.Helper()
		var v any
		require.NoError(t, json.Unmarshal(body, &v))
		wrong := conforms(doc, map[string]any{"$ref": schemaPath + name}, v, "")
		assert.Empty(t, wrong[:min(len(wrong), 5)], name)
	}
	check("Request", raw)
	compare := comparisonOf(t, `{"one":{"bank":{"modules":1}},"two":{}}`)
	check("ComparisonRequest", compare)
	for _, detail := range []string{"figures", "months", "days", "events", "hours"} {
		check("Answer", call(t, s, "POST", "/v1/simulations?detail="+detail, raw).Body.Bytes())
	}
	check("Comparison", call(t, s, "POST", "/v1/comparisons", compare).Body.Bytes())
	check("Catalogue", call(t, s, "GET", "/v1/catalogue", nil).Body.Bytes())
	stored := storing(t, t.TempDir())
	year := uploaded(t, stored, "/v1/weather", openFile(t, "north_texas_2016_halfhour.csv.gz"), noType...).ID
	columns := text(t, merged(columnWeather(t), map[string]any{"site": station(t)["site"]}))
	check("WeatherUpload", columns)
	check("WeatherResource", call(t, stored, "POST", "/v1/weather", columns).Body.Bytes())
	check("WeatherResource", call(t, stored, "POST", "/v1/weather", []byte(twoYears(0, "")), noType...).Body.Bytes())
	check("WeatherResource", call(t, stored, "GET", "/v1/weather/"+year, nil).Body.Bytes())
	check("WeatherList", call(t, stored, "GET", "/v1/weather", nil).Body.Bytes())
	check("WeatherQuality", call(t, stored, "GET", "/v1/weather/"+year+"/quality", nil).Body.Bytes())
	check("StoredLoad", call(t, stored, "POST", "/v1/loads?unit=kwh", []byte(meterYear()), noType...).Body.Bytes())
	check("StoredLoad", call(t, stored, "POST", "/v1/loads", text(t, station(t)["load"])).Body.Bytes())
	check("LoadList", call(t, stored, "GET", "/v1/loads", nil).Body.Bytes())
	check("Problem", call(t, stored, "POST", "/v1/weather", []byte(twoYears(100, "x,y")), noType...).Body.Bytes())
	check("Request", text(t, withWeather(station(t), map[string]any{"id": year})))
	system := text(t, withWeather(with(t, station(t), `{"calendar_year":null}`), map[string]any{"id": year}))
	check("SystemVersion", call(t, stored, "PUT", "/v1/systems/hut", system).Body.Bytes())
	check("Request", call(t, stored, "GET", "/v1/systems/hut", nil).Body.Bytes())
	check("SystemList", call(t, stored, "GET", "/v1/systems", nil).Body.Bytes())
	check("SystemVersions", call(t, stored, "GET", "/v1/systems/hut/versions", nil).Body.Bytes())
	check("Problem", call(t, stored, "PUT", "/v1/systems/hut", raw).Body.Bytes())
	check("Answer", call(t, stored, "GET", "/v1/systems/hut/figures?bank.modules=3", nil, "Accept", "application/json").Body.Bytes())
	check("Problem", call(t, stored, "GET", "/v1/systems/hut/figures?bank.modules=99", nil, "Accept", "application/json").Body.Bytes())
	for _, body := range []string{"{", "{}", `{"bank":{"modules":99}}`} {
		check("Problem", call(t, s, "POST", "/v1/simulations", []byte(body)).Body.Bytes())
	}
	t.Run("and not anything", func(t *testing.T) {
		var v any
		require.NoError(t, json.Unmarshal(text(t, with(t, complete(t), `{"bank":{"modules":99},"x":1,"site":null}`)), &v))
		assert.Len(t, conforms(doc, map[string]any{"$ref": schemaPath + "Request"}, v, ""), 3)
	})
}
