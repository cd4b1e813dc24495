package api

import (
	"net/http"

	"bankyear/api/media"
	"bankyear/profiles"
	"bankyear/weather"
)

// contentOperations are those of what is uploaded.
func (s *Service) contentOperations() []operation {
	weatherID := map[string]string{"id": "Content id of a year (w-…) or of a set of years (ws-…)."}
	loadID := map[string]string{"id": "Content id of a load (l-…)."}
	uploading := append([]kindOfProblem{storeFull, noContent}, posting...)
	listing := append([]kindOfProblem{busy, noContent}, reading...) // what is damaged is in the list
	getting := append([]kindOfProblem{damagedContent, noContent}, reading...)
	return []operation{
		{method: http.MethodPost, path: "/v1/weather", id: "uploadWeather", summary: "Store weather: a file in any format, columns, or years made from monthly means",
			description: "Recognised by Content-Type, or by its first lines; gzip and zstd are undone. Answers a content id that serves wherever weather is given, and a quality report. A file of several years is stored as its years and a set of them. The same upload has the same id.",
			body:        WeatherUpload{}, files: fileTypes, fileQuery: weather.ReadOptions{}, answers: map[string]any{media.JSON: WeatherResource{}}, creates: true, problems: uploading, handle: s.postWeather},
		{method: http.MethodGet, path: "/v1/weather", id: "listWeather", summary: "Weather that is stored",
			query: listParameter{}, answers: map[string]any{media.JSON: WeatherList{}}, problems: listing, handle: s.getWeatherList},
		{method: http.MethodGet, path: "/v1/weather/{id}", id: "weather", summary: "Stored weather: a year as JSON, CSV or Parquet, a set of years as JSON",
			description: "CSV, Parquet and the data of the JSON can be uploaded again.",
			pathValues:  weatherID, answers: map[string]any{media.JSON: WeatherResource{}, media.CSV: nil, media.Parquet: nil, parquetAlias: nil}, problems: append([]kindOfProblem{busy}, getting...), handle: s.getWeather},
		{method: http.MethodGet, path: "/v1/weather/{id}/quality", id: "quality", summary: "Whether a stored year of weather can be trusted: a verdict for each check",
			pathValues: map[string]string{"id": "Content id of a year (w-…)."}, answers: map[string]any{media.JSON: weather.Quality{}}, problems: getting, handle: s.getQuality},
		{method: http.MethodDelete, path: "/v1/weather/{id}", id: "deleteWeather", summary: "Remove stored weather",
			description: "Of a set, its years stay. A year of a set cannot be removed before it, nor what a stored system names. Requests that run already end as they would have.",
			pathValues:  weatherID, removes: true, problems: []kindOfProblem{badParameter, inUse, noContent}, handle: s.deleteWeather},
		{method: http.MethodPost, path: "/v1/loads", id: "uploadLoad", summary: "Store a load: what a request takes inline, or a table of metered data",
			description: "Answers a content id that serves wherever a load is given, and what was found in metered data.",
			body:        Load{}, files: loadTypes, fileQuery: profiles.Meter{}, answers: map[string]any{media.JSON: StoredLoad{}}, creates: true, problems: uploading, handle: s.postLoad},
		{method: http.MethodGet, path: "/v1/loads", id: "listLoads", summary: "Loads that are stored",
			query: listParameter{}, answers: map[string]any{media.JSON: LoadList{}}, problems: listing, handle: s.getLoads},
		{method: http.MethodGet, path: "/v1/loads/{id}", id: "load", summary: "A stored load",
			pathValues: loadID, answers: map[string]any{media.JSON: StoredLoad{}}, problems: getting, handle: s.getLoad},
		{method: http.MethodDelete, path: "/v1/loads/{id}", id: "deleteLoad", summary: "Remove a stored load",
			pathValues: loadID, removes: true, problems: []kindOfProblem{badParameter, inUse, noContent}, handle: s.deleteLoad},
	}
}
