package api

import (
	"errors"
	"net/http"
	"slices"
	"strings"

	"github.com/gorilla/mux"

	"bankyear/api/media"
	"bankyear/api/store"
)

// listParameter is the query of a list.
type listParameter struct {
	After string `json:"after,omitzero" query:"after" required:"false" doc:"Lists what follows this id: next of the list before."`
	Limit int    `json:"limit" query:"limit" minimum:"1" maximum:"1000" default:"1000" doc:"How many at most."`
}

// listed gives the heads of what is stored of some kinds, in the order of ids.
func (s *Service) listed(r *http.Request, each func(one store.Info, head []byte) error, kinds ...string) (damaged []string, next string, p *Problem) {
	damaged = []string{}
	if p := s.noStore(); p != nil {
		return nil, "", p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, "", p
	}
	var q listParameter
	if p := readParameters(r.URL.Query(), &q); p != nil {
		return nil, "", p
	}
	leave, p := s.slots.take(r.Context())
	if p != nil {
		return nil, "", p
	}
	defer leave()
	all, err := s.content.disk.List("")
	if err != nil {
		return nil, "", s.storeProblem(err)
	}
	all = slices.DeleteFunc(all, func(one store.Info) bool {
		kind, _, _ := strings.Cut(one.ID, "-")
		return one.ID <= q.After || !slices.Contains(kinds, kind)
	})
	if len(all) > q.Limit {
		all = all[:q.Limit]
		next = all[q.Limit-1].ID
	}
	for _, one := range all {
		head, err := s.content.disk.Head(one.ID)
		if err == nil {
			err = each(one, head)
		}
		switch {
		case err == nil || errors.Is(err, store.ErrNotFound): // deleted meanwhile
		case errors.Is(err, store.ErrDamaged):
			damaged = append(damaged, one.ID)
		default:
			return nil, "", s.storeProblem(err)
		}
	}
	return damaged, next, nil
}

// told is an answer in JSON.
func told(v any) *reply {
	body, err := encodeJSON(v)
	if err != nil {
		panic(err)
	}
	return &reply{mediaType: media.JSON, body: body}
}

// stored reads what a request's path names, which must be of one of the kinds.
func (s *Service) stored(r *http.Request, kinds ...string) (id, kind string, head, body []byte, p *Problem) {
	if p := s.noStore(); p != nil {
		return "", "", nil, nil, p
	}
	id = mux.Vars(r)["id"]
	kind, _, _ = strings.Cut(id, "-")
	err := store.ErrNotFound
	if slices.Contains(kinds, kind) {
		head, body, err = s.content.disk.Read(id)
	}
	if err != nil {
		return "", "", nil, nil, s.storeProblem(err)
	}
	return id, kind, head, body, nil
}

// errInUse is the error of removing what something else names.
type errInUse struct{ by string }

func (e errInUse) Error() string { return "api: in use: " + e.by }

// remove removes what a request's path names.
func (s *Service) remove(r *http.Request, keep func(id string) error, kinds ...string) (*reply, *Problem) {
	if p := s.noStore(); p != nil {
		return nil, p
	}
	if p := readParameters(r.URL.Query(), &struct{}{}); p != nil {
		return nil, p
	}
	id := mux.Vars(r)["id"]
	if kind, _, _ := strings.Cut(id, "-"); !slices.Contains(kinds, kind) {
		return nil, s.storeProblem(store.ErrNotFound)
	}
	err := s.content.disk.Remove(id, func() error { return keep(id) })
	var held errInUse
	if errors.As(err, &held) {
		return nil, inUse.problem(held.by)
	}
	if err != nil {
		return nil, s.storeProblem(err)
	}
	s.content.forget(id)
	return &reply{status: http.StatusNoContent}, nil
}
