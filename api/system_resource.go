package api

import (
	"bytes"
	"errors"
	"net/http"
	"slices"
	"strconv"

	"github.com/gorilla/mux"

	"bankyear/api/media"
	"bankyear/api/store"
	"bankyear/sim/fault"
)

// putSystem stores a system as the next version of its name.
func (s *Service) putSystem(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if p := s.noStore(); p != nil {
		return nil, p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, p
	}
	if p := readParameters(r.URL.Query(), &struct{}{}); p != nil {
		return nil, p
	}
	name := mux.Vars(r)["name"]
	if !store.IsName(name) {
		return nil, badParameters(fault.Faults{{Pointer: "/name", Value: name, Allowed: "1 to 64 of a to z, 0 to 9, _ and -", Message: "is not a name"}})
	}
	raw, free, p := s.readBody(w, r)
	if p != nil {
		return nil, p
	}
	defer free()
	if len(raw) > mostSystemBytes {
		return nil, tooLarge.problem("Taken are " + strconv.Itoa(mostSystemBytes) + " bytes; upload weather and loads, and name their ids.")
	}
	leave, p := s.slots.take(r.Context())
	if p != nil {
		return nil, p
	}
	defer leave()
	v, p := describeSystem(s.cases(), name, raw)
	if p != nil {
		return nil, p
	}
	return s.storeSystem(r, v, raw)
}

// storeSystem writes what is not the latest version already. Without a condition
// the last one to write wins.
func (s *Service) storeSystem(r *http.Request, v *SystemVersion, raw []byte) (*reply, *Problem) {
	for {
		latest, err := s.latestSystem(v.System)
		if err != nil && !errors.Is(err, store.ErrDamaged) { // what is damaged gets a sound successor
			return nil, s.storeProblem(err)
		}
		if p := precondition(r, latest.body); p != nil {
			return nil, p
		}
		number, err := latest.number, error(nil)
		if latest.body == nil || !bytes.Equal(latest.body, raw) {
			number, err = s.content.disk.PutVersion(systemNames, v.System, latest.number, v.head(), raw, func() error { return v.stillThere(s.content.disk) })
		}
		var missing errReferenceGone
		switch {
		case errors.Is(err, store.ErrChanged):
			continue // and hold the condition against what came in between
		case errors.As(err, &missing):
			return nil, faultyInput.problem("The weather or the load " + missing.id + " was removed meanwhile.")
		case err != nil:
			return nil, s.storeProblem(err)
		}
		stored, p := s.describeVersion(v.System, number)
		if p != nil {
			return nil, p
		}
		answer := created(stored, "/v1/systems/"+v.System, latest.body == nil)
		answer.etag = stored.ETag // of what is stored, which is what was sent (RFC 9110 §9.3.4)
		return answer, nil
	}
}

// describeVersion is what a version says of itself.
func (s *Service) describeVersion(name string, number int) (*SystemVersion, *Problem) {
	list, err := s.content.disk.Versions(systemNames, name)
	if err != nil {
		return nil, s.storeProblem(err)
	}
	head, err := s.content.disk.VersionHead(systemNames, name, number)
	if err != nil {
		return nil, s.storeProblem(err)
	}
	i := slices.IndexFunc(list, func(v store.Version) bool { return v.Number == number })
	v, err := systemVersion(name, list[max(i, 0)], head)
	if err != nil {
		return nil, s.storeProblem(err)
	}
	return v, nil
}

// systemParameter is the query of a stored system.
type systemParameter struct {
	Version *int `json:"version,omitzero" query:"version" required:"false" minimum:"1" doc:"Number of a version; the latest when left out."`
}

// getSystem answers a stored system as it was sent.
func (s *Service) getSystem(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	var q systemParameter
	if p := readParameters(r.URL.Query(), &q); p != nil {
		return nil, p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, p
	}
	name := mux.Vars(r)["name"]
	found, p := s.systemOf(name, q.Version)
	if p != nil {
		return nil, p
	}
	w.Header().Set(versionHeader, strconv.Itoa(found.number))
	return &reply{mediaType: media.JSON, body: found.body, location: "/v1/systems/" + name + "?version=" + strconv.Itoa(found.number)}, nil
}

// versionHeader tells which version an answer is of.
const versionHeader = "System-Version"

// deleteSystem removes a system with all its versions.
func (s *Service) deleteSystem(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if p := readParameters(r.URL.Query(), &struct{}{}); p != nil {
		return nil, p
	}
	if p := s.noStore(); p != nil {
		return nil, p
	}
	name := mux.Vars(r)["name"]
	for {
		latest, err := s.latestSystem(name)
		if err != nil && !errors.Is(err, store.ErrDamaged) {
			return nil, s.storeProblem(err)
		}
		if p := precondition(r, latest.body); p != nil {
			return nil, p
		}
		switch err := s.content.disk.RemoveName(systemNames, name, latest.number); {
		case errors.Is(err, store.ErrChanged):
			continue
		case errors.Is(err, store.ErrNotFound):
			return nil, notFound.problem("No system " + strconv.Quote(name) + " is stored here.")
		case err != nil:
			return nil, s.storeProblem(err)
		}
		return &reply{status: http.StatusNoContent}, nil
	}
}
