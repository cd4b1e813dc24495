package api

import (
	"maps"
	"net/http"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"bankyear/api/media"
)

// The OpenAPI 3.1 document is written with huma's model of it. huma's own
// registration is not used: its request path answers 200 to duplicate and
// wrong-case members, knows no pointers and no wildcard in Accept, and its check
// of a body with 8760 × 6 numbers takes nine times as long as document.Parse and
// Decode with the ranges (12 ms against 1.3 ms, BenchmarkBodyCheck).

// openAPI is the document of the operations.
func openAPI(operations []operation) []byte {
	doc := &huma.OpenAPI{
		OpenAPI: "3.1.0",
		Info: &huma.Info{Title: "bankyear", Version: Engine(),
			Description: "Simulates a year of a stand-alone power system with solar array, battery bank and generator. " + Cautions[0]},
		Servers: []*huma.Server{{URL: "/"}},
		// No scheme: the service has no accounts of its own, see deploy/.
		Extensions: map[string]any{"security": []string{}},
		Paths:      map[string]*huma.PathItem{},
		Components: &huma.Components{
			Schemas: huma.NewMapRegistry(schemaPath, huma.DefaultSchemaNamer),
		},
	}
	s := schemas{all: doc.Components.Schemas.Map(), types: map[string]reflect.Type{}}
	for _, o := range operations {
		item := doc.Paths[o.path]
		if item == nil {
			item = &huma.PathItem{}
			doc.Paths[o.path] = item
		}
		op := &huma.Operation{OperationID: o.id, Summary: o.summary, Description: o.description, Responses: o.responses(s), Parameters: o.parameters(s)}
		if o.body != nil {
			op.RequestBody = o.requestBody(s)
		}
		switch o.method {
		case http.MethodGet:
			item.Get = op
		case http.MethodPost:
			item.Post = op
		case http.MethodPut:
			item.Put = op
		case http.MethodDelete:
			item.Delete = op
		default:
			panic("api: OpenAPI for method " + o.method)
		}
	}
	body, err := encodeJSON(doc)
	if err != nil {
		panic("api: OpenAPI: " + err.Error())
	}
	return body
}

// requestBody is JSON, and the files that are taken beside it.
func (o *operation) requestBody(s schemas) *huma.RequestBody {
	content := map[string]*huma.MediaType{media.JSON: {Schema: s.of(reflect.TypeOf(o.body))}}
	if e, ok := exampleOf(o.id); ok && e.file != "" {
		content[media.JSON].Example = e.shown()
	}
	what := "JSON; may be sent with Content-Encoding gzip or zstd."
	for _, t := range o.files {
		content[t] = &huma.MediaType{} // OpenAPI 3.1: no schema for binary data
		if strings.HasPrefix(t, "text/") {
			content[t].Schema = &huma.Schema{Type: huma.TypeString}
		}
		what = "JSON, or a file as it is; either may be sent with Content-Encoding gzip or zstd, and a file may be one that is compressed itself."
	}
	return &huma.RequestBody{Required: true, Description: what, Content: content}
}

// pathForms are the forms of path parameters; others are any text.
var pathForms = map[string]*huma.Schema{
	"hash": {Type: huma.TypeString, Pattern: "^[0-9a-f]{64}$"},
	"id":   {Type: huma.TypeString, Pattern: "^(w|ws|l|s)-[0-9a-f]{32}$"},
	"name": {Type: huma.TypeString, Pattern: "^[a-z0-9_-]{1,64}$"},
	"run":  {Type: huma.TypeInteger, Minimum: new(float64)},
}

// parameters are those of the path and the query.
func (o *operation) parameters(s schemas) []*huma.Param {
	var list []*huma.Param
	for _, name := range slices.Sorted(maps.Keys(o.pathValues)) {
		form := pathForms[name]
		if form == nil {
			form = &huma.Schema{Type: huma.TypeString}
		}
		list = append(list, &huma.Param{Name: name, In: "path", Required: true, Description: o.pathValues[name], Schema: form})
	}
	for _, name := range slices.Sorted(maps.Keys(o.headers)) {
		list = append(list, &huma.Param{Name: name, In: "header", Description: o.headers[name], Schema: &huma.Schema{Type: huma.TypeString}})
	}
	if o.changes {
		form := true
		list = append(list, &huma.Param{Name: "changes", In: "query", Style: "form", Explode: &form,
			Description: "Values of the request that differ from what is stored: the dotted path of a member and its value, read by the member's type; null removes it.",
			Schema:      &huma.Schema{Type: huma.TypeObject, AdditionalProperties: &huma.Schema{Type: huma.TypeString}}})
	}
	for _, in := range o.queryParameters() {
		list = append(list, &huma.Param{Name: in.name, In: "query", Description: in.field.Tag.Get("doc"), Schema: in.schema(s)})
	}
	return list
}

// responses are the answer in each media type and the problems.
func (o *operation) responses(s schemas) map[string]*huma.Response {
	content := map[string]*huma.MediaType{}
	for t, body := range o.answers {
		switch {
		case body != nil:
			content[t] = &huma.MediaType{Schema: s.of(reflect.TypeOf(body))}
		case t == media.JSON || t == media.OpenAPI:
			content[t] = &huma.MediaType{Schema: &huma.Schema{Type: huma.TypeObject}}
		case t == media.PDF || t == media.Parquet || t == parquetAlias || t == media.Workbook || t == media.Arrow || t == media.Zip:
			content[t] = &huma.MediaType{} // OpenAPI 3.1: no schema for binary data
		default:
			content[t] = &huma.MediaType{Schema: &huma.Schema{Type: huma.TypeString}}
		}
	}
	text := &huma.Schema{Type: huma.TypeString}
	out := map[string]*huma.Response{"200": {Description: "The answer.", Content: content, Headers: map[string]*huma.Param{
		"ETag": {Description: "Names this body in its media type and coding.", Schema: text},
		"Vary": {Description: "Accept, Accept-Encoding.", Schema: text},
	}}}
	switch {
	case o.removes:
		out = map[string]*huma.Response{"204": {Description: "It is removed."}}
	case o.creates:
		out["200"].Description = "The content was stored before."
		if o.method == http.MethodPut {
			out["200"].Description = "It is stored as the next version, or the latest one was the same."
		}
		out["201"] = &huma.Response{Description: "The content is stored.", Content: content, Headers: map[string]*huma.Param{
			"Location": {Description: "Where it can be had.", Schema: text},
		}}
	}
	if o.streams {
		delete(out["200"].Headers, "ETag")
	}
	if _, events := o.answers[media.Events]; events {
		out["204"] = &huma.Response{Description: "The stream has ended, and the client has seen its last event (Last-Event-ID)."}
	}
	if o.path == "/v1/simulations" || o.path == "/v1/simulations/{hash}" {
		out["200"].Headers["Content-Location"] = &huma.Param{Description: "Where the same answer can be had again.", Schema: text}
	}
	if o.method == http.MethodGet && !o.streams {
		out["304"] = &huma.Response{Description: "The client has this body already (If-None-Match)."}
	}
	kinds := slices.Concat(o.problems, []kindOfProblem{internal})
	if len(o.pathValues) > 0 {
		kinds = append(kinds, notFound)
	}
	for _, k := range kinds {
		status := strconv.Itoa(k.status)
		if out[status] == nil {
			out[status] = &huma.Response{Content: map[string]*huma.MediaType{media.Problem: {Schema: s.of(reflect.TypeFor[Problem]())}}}
			if o.inCells {
				out[status].Content[media.Plain] = &huma.MediaType{Schema: text}
			}
		}
		out[status].Description = strings.TrimSpace(out[status].Description + " " + k.meaning)
	}
	return out
}

// getOpenAPI answers the document.
func (s *Service) getOpenAPI(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	t, ok := media.Choose(field(r, "Accept"), media.JSON, media.OpenAPI)
	if !ok {
		return nil, only(r, media.JSON)
	}
	return &reply{mediaType: t, body: s.openAPI}, nil
}
