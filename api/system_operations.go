package api

import (
	"net/http"
	"slices"
	"strings"

	"bankyear/api/media"
)

// systemOperations are those of stored systems.
func (s *Service) systemOperations() []operation {
	name := map[string]string{"name": "Name of the system: 1 to 64 of a to z, 0 to 9, _ and -."}
	ifMatch := map[string]string{
		"If-Match":      "Entity tag of the version that the change is meant for; * for any. 412 when the latest version is another one.",
		"If-None-Match": "* only stores what is new. 412 when there is such a system.",
	}
	listing := slices.Concat([]kindOfProblem{noContent, busy}, reading) // what is damaged is in the list
	getting := slices.Concat([]kindOfProblem{damagedContent}, listing)
	asking := append([]kindOfProblem{faultyInput}, getting...)
	return []operation{
		{method: http.MethodPut, path: "/v1/systems/{name}", id: "storeSystem", summary: "Store a system under a name, as its next version",
			description: "The body is a request, as for a simulation, with its weather by id. Earlier versions are kept and can be asked for by number. The same bytes again make no new version. Weather and loads that a version names cannot be removed before it.",
			pathValues:  name, headers: ifMatch, body: Request{}, answers: map[string]any{media.JSON: SystemVersion{}}, creates: true,
			problems: slices.Concat([]kindOfProblem{preconditionFailed, storeFull, noContent}, posting), handle: s.putSystem},
		{method: http.MethodGet, path: "/v1/systems", id: "listSystems", summary: "Systems that are stored",
			query: listParameter{}, answers: map[string]any{media.JSON: SystemList{}}, problems: listing, handle: s.getSystems},
		{method: http.MethodGet, path: "/v1/systems/{name}", id: "system", summary: "A stored system, byte for byte as it was sent",
			pathValues: name, query: systemParameter{}, answers: map[string]any{media.JSON: Request{}}, problems: slices.Concat([]kindOfProblem{damagedContent, noContent}, reading), handle: s.getSystem},
		{method: http.MethodGet, path: "/v1/systems/{name}/versions", id: "systemVersions", summary: "Versions of a stored system",
			pathValues: name, query: versionsParameter{}, answers: map[string]any{media.JSON: SystemVersions{}}, problems: listing, handle: s.getVersions},
		{method: http.MethodDelete, path: "/v1/systems/{name}", id: "deleteSystem", summary: "Remove a stored system with all its versions",
			pathValues: name, headers: map[string]string{"If-Match": ifMatch["If-Match"]}, removes: true, problems: []kindOfProblem{badParameter, preconditionFailed, noContent}, handle: s.deleteSystem},
		{method: http.MethodGet, path: "/v1/systems/{name}/figures/{figure}", id: "figure", summary: "One figure of a stored system, for a cell of a spreadsheet",
			description: "The number alone, in the unit that its name ends with; the header Figure-Unit says it too. Further query parameters change values of the system: bank.modules=6.",
			pathValues:  map[string]string{"name": name["name"], "figure": "Name of a figure, with a dot for a cause: downtime_by_cause_h.empty; or one that takes other runs: " + strings.Join(furtherNames(), ", ") + "."},
			query:       cellParameter{}, changes: true, inCells: true, answers: map[string]any{media.Plain: nil}, problems: asking, handle: inCell(s.getFigure)},
		{method: http.MethodGet, path: "/v1/systems/{name}/figures", id: "figures", summary: "Every figure of a stored system: two columns, name and value; as JSON the answer of a simulation",
			description: "Further query parameters change values of the system: bank.modules=6.",
			pathValues:  name, query: cellParameter{}, changes: true, inCells: true, answers: map[string]any{media.CSV: nil, media.JSON: Answer{}}, problems: asking, handle: inCell(s.getFigures)},
		{method: http.MethodGet, path: "/v1/systems/{name}/figures.csv", id: "figureTable", summary: "Figures of a stored system, a row for every combination of what is varied",
			description: "Further query parameters change values of the system in every row. A combination that does not go together has its fault in a last column, error, which is there only then.",
			pathValues:  name, query: tableParameter{}, changes: true, inCells: true, answers: map[string]any{media.CSV: nil}, problems: asking, handle: inCell(s.getTable)},
	}
}
