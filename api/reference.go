package api

import (
	"net/http"
	"reflect"
	"slices"
	"strings"
	"sync"

	"bankyear/api/media"
)

// referencePage is a page of the reference beside /docs itself.
type referencePage struct{ path, id, file, summary string }

var referencePages = []referencePage{
	{"/docs/resources", "resources", "resources.html", "Every resource: parameters, request, answer, problems and an example to run"},
	{"/docs/answer", "readingAnswers", "answer.html", "How to read the answer, for people"},
	{"/docs/models", "models", "models.html", "Every model with its equation and source"},
	{"/docs/limits", "limits", "limits.html", "What the model does not see"},
}

// referenceOperations are the pages of the reference; each is written once, when
// it is first asked for.
func (s *Service) referenceOperations() []operation {
	var list []operation
	for _, p := range referencePages {
		body := sync.OnceValue(func() []byte { return s.render(p.file) })
		list = append(list, operation{method: http.MethodGet, path: p.path, id: p.id, summary: p.summary,
			answers: map[string]any{media.HTML: nil}, problems: showing,
			handle: func(w http.ResponseWriter, r *http.Request) (*reply, *Problem) { return html(w, r, policy(), body()) }})
	}
	return list
}

// ID, Description and the following let a page show an operation.
func (o operation) ID() string          { return o.id }
func (o operation) Description() string { return o.description }

// Parameters are those of the query, PathValues and Headers what they are.
func (o operation) Parameters() []queryParameter  { return o.queryParameters() }
func (o operation) PathValues() map[string]string { return o.pathValues }
func (o operation) Headers() map[string]string    { return o.headers }

// Changes is true where further parameters change values of a request.
func (o operation) Changes() bool { return o.changes }

// TakesFiles is true where a body may be a file.
func (o operation) TakesFiles() bool { return len(o.files) > 0 }

// Bodies are the media types that are taken.
func (o operation) Bodies() []string {
	if o.body == nil {
		return nil
	}
	return append([]string{media.JSON}, o.files...)
}

// ownMembers are types whose members stand elsewhere: the inputs, and the
// sections of uploads and studies.
var ownMembers = map[reflect.Type]string{
	requestType: "/docs#inputs", reflect.TypeFor[Load](): "/docs#inputs", reflect.TypeFor[SheetRequest](): "/docs#inputs",
	reflect.TypeFor[WeatherUpload](): "/docs#uploads", reflect.TypeFor[StudyRequest](): "/docs#studies", reflect.TypeFor[StudyAnswer](): "/docs#studies",
	reflect.TypeFor[WeatherResource](): "/docs#uploads", reflect.TypeFor[StoredLoad](): "/docs#uploads",
}

// members are what a type has, or where that is told.
type members struct {
	List  []Input
	Where string
}

func membersOf(v any) members {
	t := reflect.TypeOf(v)
	if t == nil {
		return members{}
	}
	if where := ownMembers[t]; where != "" {
		return members{Where: where}
	}
	return members{List: slices.DeleteFunc(inputs(t, "", nil), func(in Input) bool {
		return slices.ContainsFunc(toldWithInputs, func(inner string) bool { return strings.HasPrefix(in.Path, inner) })
	})}
}

// toldWithInputs are objects in other bodies whose members stand with the inputs
// of a request.
var toldWithInputs = []string{"system.bank.", "system.inverter.", "module.", "candidates[].answer."}

// Request and Answer are the members of JSON bodies.
func (o operation) Request() members { return membersOf(o.body) }

// Answer is that of the JSON answer.
func (o operation) Answer() members { return membersOf(o.answers[media.JSON]) }

// Answers are the media types that can be asked for, in their order.
func (o operation) Answers() []string {
	var list []string
	for t := range o.answers {
		list = append(list, t)
	}
	slices.Sort(list)
	return list
}

// Success is the status of an answer.
func (o operation) Success() string {
	switch {
	case o.removes:
		return "204"
	case o.creates:
		return "201, or 200 when it was there"
	}
	return "200"
}

// Problems are those that it may answer.
func (o operation) Problems() []kindOfProblem {
	list := slices.Clone(o.problems)
	if len(o.pathValues) > 0 {
		list = append(list, notFound)
	}
	slices.SortStableFunc(list, func(a, b kindOfProblem) int { return a.status - b.status })
	return slices.CompactFunc(list, func(a, b kindOfProblem) bool { return a.name == b.name })
}

// Example is a command of a shell.
func (o operation) Example() string {
	e, ok := exampleOf(o.id)
	if !ok {
		return ""
	}
	return e.curl(&o)
}
