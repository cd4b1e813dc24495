package api

import (
	"net/http"
	"strings"

	"bankyear/api/media"
)

// spreadsheetOperations are the page about spreadsheets and its workbook.
func (s *Service) spreadsheetOperations() []operation {
	return []operation{
		{method: http.MethodGet, path: "/docs/spreadsheets", id: "spreadsheets", summary: "Figures in a spreadsheet: the formulas, for people",
			answers: map[string]any{media.HTML: nil}, problems: showing, handle: s.getSpreadsheets},
		{method: http.MethodGet, path: quotePath, id: "quote", summary: "A quote workbook whose cells ask the service (OpenDocument, flat XML)",
			answers: map[string]any{media.FlatSheet: nil}, problems: showing, handle: s.getQuote},
	}
}

// quotePath is where the quote workbook is, and quoteAddress the address that
// its cells ask until somebody enters another.
const (
	quotePath    = "/docs/quote.fods"
	quoteAddress = "http://127.0.0.1:8080"
)

// getSpreadsheets answers the page about spreadsheets.
func (s *Service) getSpreadsheets(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	return html(w, r, policy(), s.sheets())
}

// getQuote answers the quote workbook.
func (s *Service) getQuote(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if p := only(r, media.FlatSheet); p != nil {
		return nil, p
	}
	body, err := pages.ReadFile("pages/quote.fods")
	if err != nil {
		panic("api: " + err.Error())
	}
	return &reply{mediaType: media.FlatSheet, body: body, filename: strings.TrimPrefix(quotePath, "/docs/")}, nil
}
