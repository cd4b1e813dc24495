package api

import (
	"net/http"
	"slices"

	"bankyear/api/media"
)

// systemOperations are those of stored systems.
func (s *Service) systemOperations() []operation {
	name := map[string]string{"name": "Name of the system: 1 to 64 of a to z, 0 to 9, _ and -."}
	ifMatch := map[string]string{
		"If-Match":      "Entity tag of the version that the change is meant for; * for any. 412 when the latest version is another one.",
		"If-None-Match": "* only stores what is new. 412 when there is such a system.",
	}
	getting := slices.Concat([]kindOfProblem{damagedContent, noContent, busy}, reading)
	return []operation{
		{method: http.MethodPut, path: "/v1/systems/{name}", id: "storeSystem", summary: "Store a system under a name, as its next version",
			description: "The body is a request, as for a simulation, with its weather by id. Earlier versions are kept and can be asked for by number. The same bytes again make no new version. Weather and loads that a version names cannot be removed before it.",
			pathValues:  name, headers: ifMatch, body: Request{}, answers: map[string]any{media.JSON: SystemVersion{}}, creates: true,
			problems: slices.Concat([]kindOfProblem{preconditionFailed, storeFull, noContent}, posting), handle: s.putSystem},
		{method: http.MethodGet, path: "/v1/systems", id: "listSystems", summary: "Systems that are stored",
			query: listParameter{}, answers: map[string]any{media.JSON: SystemList{}}, problems: getting, handle: s.getSystems},
		{method: http.MethodGet, path: "/v1/systems/{name}", id: "system", summary: "A stored system, byte for byte as it was sent",
			pathValues: name, query: systemParameter{}, answers: map[string]any{media.JSON: Request{}}, problems: getting, handle: s.getSystem},
		{method: http.MethodGet, path: "/v1/systems/{name}/versions", id: "systemVersions", summary: "Versions of a stored system",
			pathValues: name, query: versionsParameter{}, answers: map[string]any{media.JSON: SystemVersions{}}, problems: getting, handle: s.getVersions},
		{method: http.MethodDelete, path: "/v1/systems/{name}", id: "deleteSystem", summary: "Remove a stored system with all its versions",
			pathValues: name, headers: map[string]string{"If-Match": ifMatch["If-Match"]}, removes: true, problems: []kindOfProblem{badParameter, preconditionFailed, noContent}, handle: s.deleteSystem},
	}
}
