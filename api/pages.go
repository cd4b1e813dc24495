package api

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"html/template"
	"net/http"
	"reflect"
	"strings"
	"sync"

	"bankyear/api/media"
	"bankyear/api/page"
	"bankyear/sim"
	"bankyear/sim/fault"
)

//go:embed pages
var pages embed.FS

// style is the one style sheet, written into each page; its hash is in the
// policy, so that nothing else can run or load.
var style = sync.OnceValue(func() string {
	text, err := pages.ReadFile("pages/style.css")
	if err != nil {
		panic("api: " + err.Error())
	}
	return string(text)
})

var policy = sync.OnceValue(func() string {
	sum := sha256.Sum256([]byte(style()))
	return "default-src 'none'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
})

// pageData is what the pages are written from: the types that the service
// decodes and answers.
type pageData struct {
	Style      template.CSS
	Engine     string
	Cautions   []string
	Inputs     []Input
	Figures    []Input
	Columns    []sim.Column
	HoursForm  string
	RunsForm   string
	Problems   []kindOfProblem
	Operations []operation
	Uploads    []uploadDoc
	// What a study takes and answers.
	Study, StudyAnswer []Input
}

// Name, Title, Status and Meaning let a page show a kind of problem.
func (k kindOfProblem) Name() string    { return k.name }
func (k kindOfProblem) Title() string   { return k.title }
func (k kindOfProblem) Status() int     { return k.status }
func (k kindOfProblem) Meaning() string { return k.meaning }

// Method, Path and Summary let a page show an operation.
func (o operation) Method() string  { return o.method }
func (o operation) Path() string    { return o.path }
func (o operation) Summary() string { return o.summary }

// render writes a page once; it does not change while the service runs.
func (s *Service) render(name string) []byte {
	t, err := template.ParseFS(pages, "pages/"+name)
	if err != nil {
		panic("api: " + err.Error())
	}
	var out bytes.Buffer
	err = t.Execute(&out, pageData{
		Style: template.CSS(style()), Engine: Engine(), Cautions: Cautions,
		Inputs: Inputs(), Figures: figureDocs(), Columns: Columns(), HoursForm: hoursForm, RunsForm: runsForm, Problems: kindsOfProblem, Operations: s.operations(), Uploads: uploadDocs(s.operations()),
		Study: inputs(reflect.TypeFor[StudyRequest](), "", nil), StudyAnswer: inputs(reflect.TypeFor[StudyAnswer](), "", nil),
	})
	if err != nil {
		panic("api: " + err.Error())
	}
	return out.Bytes()
}

// figureDocs lists the figures with their units and definitions.
func figureDocs() []Input {
	var list []Input
	for _, f := range reflect.VisibleFields(reflect.TypeFor[sim.Figures]()) {
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		list = append(list, Input{Path: name, Unit: fault.UnitOf(name), Doc: f.Tag.Get("doc"), Formula: figureFormulas[name]})
	}
	return list
}

// getDocs answers the documentation.
func (s *Service) getDocs(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	return html(w, r, policy(), s.docs())
}

// getPage answers the page with the two banks.
func (s *Service) getPage(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	return html(w, r, page.Policy, s.start())
}

// getReportPage answers the page of the report.
func (s *Service) getReportPage(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	return html(w, r, page.Policy, s.paper())
}

// html answers a page that works under a content security policy.
func html(w http.ResponseWriter, r *http.Request, policy string, body []byte) (*reply, *Problem) {
	if p := only(r, media.HTML); p != nil {
		return nil, p
	}
	w.Header().Set("Content-Security-Policy", policy)
	w.Header().Set("Referrer-Policy", "no-referrer")
	return &reply{mediaType: media.HTML, body: body}, nil
}

// getPageFile answers a file of the page.
func (s *Service) getPageFile(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		return nil, methodNotAllowed.problem(r.Method+" is not one of GET, HEAD.").with("Allow", "GET, HEAD")
	}
	f, ok := page.Find(strings.TrimPrefix(r.URL.Path, page.Prefix))
	if !ok {
		return nil, notFound.problem("The page has no file " + r.URL.Path + ".")
	}
	return &reply{mediaType: f.MediaType, body: f.Body}, nil
}
