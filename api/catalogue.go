package api

import (
	"net/http"
	"strconv"
	"sync"

	"bankyear/api/document"
	"bankyear/api/media"
	"bankyear/profiles"
)

// catalogue is the catalogue as trees. An entry that does not parse is a mistake
// of the program and panics.
var catalogue = sync.OnceValue(func() document.Catalogue {
	all := document.Catalogue{}
	for _, e := range profiles.List() {
		tree, faults := document.Parse(e.Values)
		if len(faults) > 0 {
			panic("api: catalogue entry " + e.Key + ": " + faults.Error())
		}
		if all[e.Kind] == nil {
			all[e.Kind] = map[string]*document.Node{}
		}
		all[e.Kind][e.Key] = tree
	}
	return all
})

// CatalogueUse is one place of a request that a catalogue entry filled.
type CatalogueUse struct {
	Pointer   string   `json:"pointer" doc:"JSON Pointer of the object that names the entry."`
	Key       string   `json:"key" doc:"Key of the entry."`
	Title     string   `json:"title" doc:"What the entry is."`
	Basis     string   `json:"basis" doc:"Where its values come from."`
	Overrides []string `json:"overrides" doc:"JSON Pointers of the members that the request gives beside the key. A candidate that changes only the key keeps those of its base."`
}

// uses tells what was taken from the catalogue.
func uses(expansions []document.Expansion) []CatalogueUse {
	titles := map[string]profiles.Entry{}
	for _, e := range profiles.List() {
		titles[e.Key] = e // keys are unique over all kinds
	}
	out := []CatalogueUse{}
	for _, x := range expansions {
		e := titles[x.Key]
		out = append(out, CatalogueUse{Pointer: x.Pointer, Key: x.Key, Title: e.Title, Basis: e.Basis, Overrides: orEmpty(x.Overrides)})
	}
	return out
}

// Catalogue is everything that a system can refer to by key.
type Catalogue struct {
	Entries []profiles.Entry `json:"entries" doc:"The entries, by kind and key."`
}

// catalogueParameter is the query of the catalogue.
type catalogueParameter struct {
	Kind string `json:"kind" query:"kind" enum:"all,generator,inverter,load,module,solar_charger" default:"all" doc:"Kind of entry."`
}

// getCatalogue lists the catalogue.
func (s *Service) getCatalogue(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	var q catalogueParameter
	if p := readParameters(r.URL.Query(), &q); p != nil {
		return nil, p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, p
	}
	c := Catalogue{Entries: []profiles.Entry{}}
	for _, e := range profiles.List() {
		if q.Kind == "all" || q.Kind == e.Kind {
			c.Entries = append(c.Entries, e)
		}
	}
	body, err := encodeJSON(c)
	if err != nil {
		panic(err)
	}
	return &reply{mediaType: media.JSON, body: body}, nil
}

// only refuses clients that do not take the one type that there is.
func only(r *http.Request, mediaType string) *Problem {
	if _, ok := media.Choose(field(r, "Accept"), mediaType); !ok {
		return notAcceptable.problem("Accept " + strconv.Quote(field(r, "Accept")) + " leaves none of " + mediaType + ".")
	}
	return nil
}
