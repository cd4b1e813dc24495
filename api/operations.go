package api

import (
	"net/http"
	"slices"

	"bankyear/api/media"
)

// operation is one method of one path: what the router serves and what the
// OpenAPI document and the documentation page say about it.
type operation struct {
	method, path string
	id, summary  string
	description  string
	query        any               // struct of the query's parameters, or nil
	body         any               // type of the JSON body, or nil
	files        []string          // media types of other bodies that are taken, with the parameters of fileQuery
	fileQuery    any               // struct whose members, by dotted path, are parameters beside a file
	answers      map[string]any    // media type → type of the body; nil for text and files
	creates      bool              // answers 201 and Location, or 200 when it was there
	removes      bool              // answers 204 without a body
	problems     []kindOfProblem   // beside notFound, methodNotAllowed and internal
	pathValues   map[string]string // path parameters and what they are
	changes      bool              // further query parameters change values of a request
	headers      map[string]string // of the request, and what they are
	streams      bool              // the answer is sent while it is made: it has no entity tag
	inCells      bool              // a problem is a line of text where the client reads text
	handle       handler
}

// reading and posting are the problems that operations of a kind share.
var (
	reading = []kindOfProblem{badParameter, notAcceptable}
	posting = []kindOfProblem{notJSON, badParameter, damagedBody, faultyInput, notAcceptable, tooLarge, unsupportedMedia, busy}
)

// showing are the problems of pages, which pass over parameters that they do not
// know.
var showing = []kindOfProblem{notAcceptable}

// operations lists everything that the service does.
func (s *Service) operations() []operation {
	return slices.Concat(s.simulationOperations(), s.contentOperations(), s.systemOperations(), s.backtestOperations(), s.spreadsheetOperations(), s.studyOperations(), s.otherOperations(), s.referenceOperations())
}

func (s *Service) simulationOperations() []operation {
	simulation := map[string]any{media.JSON: Answer{}, media.CSV: nil, media.Parquet: nil, parquetAlias: nil, media.Arrow: nil}
	return []operation{
		{method: http.MethodPost, path: "/v1/simulations", id: "simulate", summary: "Simulate one system over one year",
			description: "Answers the figures, and with detail more of the year. As CSV or Parquet: the year interval by interval.",
			query:       detailParameter{}, body: Request{}, answers: simulation, problems: posting, handle: s.postSimulation},
		{method: http.MethodGet, path: "/v1/simulations/{hash}", id: "answer", summary: "The same answer again",
			description: "Of the simulations that were asked for last; another detail and media type than before may be asked for. Name, assumptions and catalogue keys are those of the latest request with this hash.",
			pathValues:  map[string]string{"hash": "Content hash of the answer."},
			query:       detailParameter{}, answers: simulation, problems: append([]kindOfProblem{busy}, reading...), handle: s.getSimulation},
		{method: http.MethodPost, path: "/v1/comparisons", id: "compare", summary: "Compare candidates on a base",
			description: "Every candidate is the base with a JSON Merge Patch (RFC 7396). Figures side by side with differences, as ranges where a year is chaotic; a verdict in words; attended and nobody there; autonomy and recharge; with detail=headroom and reliefs what breaks first and what each limit costs; further years of weather with percentiles. As a workbook (Office Open XML): figures, charts, formulas for cost, settings sheets, inputs; months and hours of at most 8 candidates when detail is left out. As a PDF: the report for the customer, up to 4 side by side.",
			query:       comparisonParameter{}, body: ComparisonRequest{}, answers: map[string]any{media.JSON: Comparison{}, media.Workbook: nil, media.PDF: nil}, problems: posting, handle: s.postComparison},
		{method: http.MethodPost, path: "/v1/sheets", id: "sheet", summary: "What to program, and whether the parts fit",
			description: "The settings sheet and the fit check of a system, without simulating it. The body is a request as for a simulation; weather and load may be left out, and checks that need the site's air then say so.",
			body:        SheetRequest{}, answers: map[string]any{media.JSON: SettingsSheet{}, media.Plain: nil}, problems: posting, handle: s.postSheet},
		reportOperation(s),
	}
}

func (s *Service) otherOperations() []operation {
	return []operation{
		{method: http.MethodGet, path: "/v1/catalogue", id: "catalogue", summary: "Generic modules, chargers, inverters, generators and loads",
			query: catalogueParameter{}, answers: map[string]any{media.JSON: Catalogue{}}, problems: reading, handle: s.getCatalogue},
		{method: http.MethodGet, path: "/openapi.json", id: "openapi", summary: "This document",
			answers: map[string]any{media.JSON: nil, media.OpenAPI: nil}, problems: showing, handle: s.getOpenAPI},
		{method: http.MethodGet, path: "/docs", id: "docs", summary: "Every input, figure, column and problem, for people",
			answers: map[string]any{media.HTML: nil}, problems: showing, handle: s.getDocs},
		{method: http.MethodGet, path: "/", id: "page", summary: "Start here",
			answers: map[string]any{media.HTML: nil}, problems: showing, handle: s.getPage},
		{method: http.MethodGet, path: "/report", id: "reportPage", summary: "The answer on paper: what the page shows, to print",
			answers: map[string]any{media.HTML: nil}, problems: showing, handle: s.getReportPage},
		{method: http.MethodGet, path: "/healthz", id: "healthz", summary: "Whether the process answers", answers: map[string]any{media.Plain: nil}, handle: s.getHealth},
		{method: http.MethodGet, path: "/readyz", id: "readyz", summary: "Whether new work is taken", answers: map[string]any{media.Plain: nil}, handle: s.getReady},
		{method: http.MethodGet, path: "/metrics", id: "metrics", summary: "Counts, in the text exposition format 0.0.4", answers: map[string]any{media.Plain: nil}, handle: s.getMetrics},
	}
}
