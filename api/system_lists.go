package api

import (
	"errors"
	"net/http"
	"slices"

	"github.com/gorilla/mux"

	"bankyear/api/media"
	"bankyear/api/store"
)

// getSystems lists the stored systems.
func (s *Service) getSystems(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	var q listParameter
	leave, p := s.beginList(r, &q)
	if p != nil {
		return nil, p
	}
	defer leave()
	names, err := s.content.disk.Names(systemNames)
	if err != nil {
		return nil, s.storeProblem(err)
	}
	names = slices.DeleteFunc(names, func(name string) bool { return name <= q.After })
	out := SystemList{Systems: []SystemVersion{}, Damaged: []string{}}
	if len(names) > q.Limit {
		names = names[:q.Limit]
		out.Next = names[q.Limit-1]
	}
	for _, name := range names {
		versions, err := s.content.disk.Versions(systemNames, name)
		var v *SystemVersion
		if err == nil {
			v, err = s.headOf(name, versions[len(versions)-1])
		}
		switch {
		case err == nil:
			out.Systems = append(out.Systems, *v)
		case errors.Is(err, store.ErrNotFound): // removed meanwhile
		case errors.Is(err, store.ErrDamaged):
			out.Damaged = append(out.Damaged, name)
		default:
			return nil, s.storeProblem(err)
		}
	}
	return told(out), nil
}

func (s *Service) headOf(name string, one store.Version) (*SystemVersion, error) {
	head, err := s.content.disk.VersionHead(systemNames, name, one.Number)
	if err != nil {
		return nil, err
	}
	return systemVersion(name, one, head)
}

// beginList checks a request for a list, reads its query, and takes a place to
// run.
func (s *Service) beginList(r *http.Request, q any) (leave func(), p *Problem) {
	if p := s.noStore(); p != nil {
		return nil, p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, p
	}
	if p := readParameters(r.URL.Query(), q); p != nil {
		return nil, p
	}
	return s.slots.take(r.Context())
}

// versionsParameter is the query of the list of versions.
type versionsParameter struct {
	Before int `json:"before,omitzero" query:"before" required:"false" minimum:"1" doc:"Lists what is older than this number: before of the list that came first."`
	Limit  int `json:"limit" query:"limit" minimum:"1" maximum:"1000" default:"100" doc:"How many at most."`
}

// getVersions lists the versions of a stored system.
func (s *Service) getVersions(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	var q versionsParameter
	leave, p := s.beginList(r, &q)
	if p != nil {
		return nil, p
	}
	defer leave()
	name := mux.Vars(r)["name"]
	list, err := s.content.disk.Versions(systemNames, name)
	if err != nil {
		return nil, s.storeProblem(err)
	}
	list = slices.DeleteFunc(list, func(v store.Version) bool { return q.Before > 0 && v.Number >= q.Before })
	slices.Reverse(list)
	out := SystemVersions{Versions: []SystemVersion{}, Damaged: []int{}}
	if len(list) > q.Limit {
		list = list[:q.Limit]
		out.Before = list[q.Limit-1].Number
	}
	for _, one := range list {
		v, err := s.headOf(name, one)
		switch {
		case err == nil:
			out.Versions = append(out.Versions, *v)
		case errors.Is(err, store.ErrDamaged):
			out.Damaged = append(out.Damaged, one.Number)
		case !errors.Is(err, store.ErrNotFound):
			return nil, s.storeProblem(err)
		}
	}
	return told(out), nil
}
