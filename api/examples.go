package api

import (
	"embed"
	"encoding/json"
	"slices"
	"strings"

	"bankyear/api/media"
)

//go:embed examples
var exampleFiles embed.FS

// example is a request of an operation that can be made as it stands, against a
// service at which the examples before it were made.
type example struct {
	id     string            // of the operation
	query  string            // of the address, without ?
	file   string            // body, of the folder examples; "" for none
	path   map[string]string // values of the path
	leaves string            // what the answer's id (or hash) is called in later examples
	as     map[string]string // query that another media type needs, by media type
}

// story is an example of every operation. A word in braces, {weather}, stands for
// what an earlier one left; a value {hut} in a body for that whole file.
var story = []example{
	{id: "page"}, {id: "docs"}, {id: "spreadsheets"}, {id: "quote"}, {id: "reportPage"},
	{id: "resources"}, {id: "readingAnswers"}, {id: "models"}, {id: "limits"},
	{id: "openapi"}, {id: "healthz"}, {id: "readyz"}, {id: "metrics"},
	{id: "catalogue", query: "kind=module"},
	{id: "simulate", query: "detail=months", file: "hut.json", leaves: "hash"},
	{id: "answer", query: "detail=events", path: map[string]string{"hash": "{hash}"}},
	{id: "report", path: map[string]string{"hash": "{hash}"}},
	{id: "compare", file: "comparison.json"},
	{id: "sheet", file: "hut.json"},
	{id: "backtest", file: "backtest.json"},
	{id: "history", file: "history.json"},
	{id: "uploadWeather", file: "weather.json", leaves: "weather"},
	{id: "listWeather", query: "limit=10"},
	{id: "weather", path: map[string]string{"id": "{weather}"}},
	{id: "quality", path: map[string]string{"id": "{weather}"}},
	{id: "uploadLoad", file: "load.json", leaves: "load"},
	{id: "listLoads", query: "limit=10"},
	{id: "load", path: map[string]string{"id": "{load}"}},
	{id: "storeSystem", file: "system.json", path: map[string]string{"name": "hut"}},
	{id: "listSystems"},
	{id: "system", path: map[string]string{"name": "hut"}},
	{id: "systemVersions", path: map[string]string{"name": "hut"}},
	{id: "figure", query: "bank.modules=3", path: map[string]string{"name": "hut", "figure": "downtime_h"}},
	{id: "figures", query: "bank.modules=3", path: map[string]string{"name": "hut"}},
	{id: "figureTable", query: "vary=bank.modules:1..3&figures=downtime_h,lowest_soc_fraction", path: map[string]string{"name": "hut"}},
	{id: "submitStudy", file: "study.json", leaves: "study"},
	{id: "listStudies"},
	{id: "studyEvents", path: map[string]string{"id": "{study}"}},
	{id: "study", path: map[string]string{"id": "{study}"}},
	{id: "studyRuns", path: map[string]string{"id": "{study}"}, as: map[string]string{media.Zip: "partition=bank.modules"}},
	{id: "studyRun", path: map[string]string{"id": "{study}", "run": "2"}},
	{id: "cancelStudy", path: map[string]string{"id": "{study}"}},
	{id: "deleteStudy", path: map[string]string{"id": "{study}"}},
	{id: "deleteSystem", path: map[string]string{"name": "hut"}},
	{id: "deleteLoad", path: map[string]string{"id": "{load}"}},
	{id: "deleteWeather", path: map[string]string{"id": "{weather}"}},
}

// exampleOf is the example of an operation; ok is false where there is none.
func exampleOf(id string) (example, bool) {
	i := slices.IndexFunc(story, func(e example) bool { return e.id == id })
	if i < 0 {
		return example{}, false
	}
	return story[i], true
}

// body is the example's body with what earlier ones left, nil for none.
func (e *example) body(left map[string]string) []byte {
	if e.file == "" {
		return nil
	}
	text := exampleFile(e.file)
	if strings.Contains(text, `"{hut}"`) {
		text = strings.ReplaceAll(text, `"{hut}"`, strings.TrimSpace(exampleFile("hut.json")))
	}
	return []byte(putIn(text, left))
}

func exampleFile(name string) string {
	raw, err := exampleFiles.ReadFile("examples/" + name)
	if err != nil {
		panic("api: " + err.Error())
	}
	return string(raw)
}

// putIn puts what earlier examples left into a text.
func putIn(text string, left map[string]string) string {
	for name, value := range left {
		text = strings.ReplaceAll(text, "{"+name+"}", value)
	}
	return text
}

// target is the address of the example, without the service's.
func (e *example) target(path string, left map[string]string) string {
	path = putIn(putIn(path, e.path), left)
	if e.query != "" {
		path += "?" + e.query
	}
	return path
}

// pretend stands for what earlier examples leave, in documents that no service
// has made.
var pretend = map[string]string{"weather": "w-" + zeros[:32], "load": "l-" + zeros[:32], "study": "s-" + zeros[:32], "hash": zeros}

const zeros = "0000000000000000000000000000000000000000000000000000000000000000"

// shown is the body as the OpenAPI document and the pages show it, nil for none.
func (e *example) shown() json.RawMessage {
	body := e.body(pretend)
	if body == nil || !json.Valid(body) {
		return nil
	}
	return json.RawMessage(body)
}

// curl is the example as a command of a shell, whose BANKYEAR is the service's
// address; what earlier examples leave are variables there too.
func (e *example) curl(o *operation) string {
	variables := map[string]string{"weather": "$WEATHER", "load": "$LOAD", "study": "$STUDY", "hash": "$HASH"}
	command := "curl -s"
	if o.method != "GET" {
		command += " -X " + o.method
	}
	command += ` "$BANKYEAR` + e.target(o.path, variables) + `"`
	if body := e.body(variables); body != nil {
		command += " -H 'Content-Type: " + media.JSON + "' -d @- <<END\n" + strings.TrimSpace(string(body)) + "\nEND"
	}
	return command
}
