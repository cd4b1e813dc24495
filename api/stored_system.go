package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"bankyear/api/document"
	"bankyear/api/media"
	"bankyear/api/store"
	"bankyear/sim/fault"
)

// systemNames is the kind of names that stand for systems.
const systemNames = "systems"

// mostSystemBytes bounds the text of a stored system: its weather is named by
// id, and a long load should be.
const mostSystemBytes = 1 << 20

// SystemVersion is one version of a stored system.
type SystemVersion struct {
	System     string   `json:"system" doc:"Name that it is stored under."`
	Version    int      `json:"version" doc:"Its number, from 1. What a number stands for never changes, and the number of a version that was removed is not used again."`
	Name       string   `json:"name,omitzero" required:"false" doc:"Name given in the request."`
	ETag       string   `json:"etag" doc:"Entity tag of the request that is stored, for If-Match."`
	Hash       string   `json:"hash" doc:"Content hash of the system when it was stored. While the engine is the same, a simulation of this version has this hash and the same bytes."`
	Engine     string   `json:"engine" doc:"Engine that the hash is of."`
	References []string `json:"references" doc:"Ids of the weather and the load that it names; they cannot be removed before it."`
	Stored     string   `json:"stored_at" doc:"When it was stored, UTC."`
}

// SystemList is what is stored, the latest version of each.
type SystemList struct {
	Systems []SystemVersion `json:"systems" doc:"Latest versions, by name."`
	Damaged []string        `json:"damaged" doc:"Names whose latest version does not read back as it was written."`
	Next    string          `json:"next,omitzero" required:"false" doc:"Name to ask after for more; left out at the end."`
}

// SystemVersions are the versions of one system.
type SystemVersions struct {
	Versions []SystemVersion `json:"versions" doc:"Versions, the latest first."`
	Damaged  []int           `json:"damaged" doc:"Numbers of versions that do not read back as they were written."`
	Before   int             `json:"before,omitzero" required:"false" doc:"Number to ask before for more; left out at the end."`
}

// systemText is a stored version as it was sent.
type systemText struct {
	number int
	body   []byte
}

// latestSystem reads the latest version of a name. Of a name that stands for
// nothing (any more) the body is nil, and the number that of the last version.
func (s *Service) latestSystem(name string) (systemText, error) {
	last, err := s.content.disk.Last(systemNames, name)
	if err != nil || last == 0 {
		return systemText{}, err
	}
	_, body, err := s.content.disk.ReadVersion(systemNames, name, last)
	if errors.Is(err, store.ErrNotFound) {
		return systemText{number: last}, nil
	}
	return systemText{last, body}, err
}

// systemOf reads a version of a stored system, nil for the latest.
func (s *Service) systemOf(name string, version *int) (systemText, *Problem) {
	if p := s.noStore(); p != nil {
		return systemText{}, p
	}
	var found systemText
	err := error(nil)
	if version == nil {
		found, err = s.latestSystem(name)
	} else {
		found.number = *version
		_, found.body, err = s.content.disk.ReadVersion(systemNames, name, *version)
		if errors.Is(err, store.ErrNotFound) {
			err = nil
		}
	}
	switch {
	case errors.Is(err, store.ErrDamaged):
		return found, damagedContent.problem(fmt.Sprintf("PUT the system again: it becomes version %d.", found.number+1))
	case err != nil:
		return found, s.storeProblem(err)
	case found.body == nil && version != nil:
		return found, notFound.problem(fmt.Sprintf("No version %d of a system %q is stored here.", *version, name))
	case found.body == nil:
		return found, notFound.problem(fmt.Sprintf("No system %q is stored here.", name))
	}
	return found, nil
}

// describeSystem checks a system that is to be stored. The tree must have been
// parsed from text.
func describeSystem(cases *Cases, name string, text []byte) (*SystemVersion, *Problem) {
	tree, faults := document.Parse(text)
	if tree == nil {
		return nil, refused(faults, false)
	}
	c, faults := cases.Prepare(tree, faults)
	weatherID, byID := tree.Get("weather").Get("id").Text()
	if w := tree.Get("weather"); w != nil && !byID && !slices.ContainsFunc(faults, func(f fault.Fault) bool { return firstToken(f.Pointer) == "weather" }) {
		faults = append(faults, fault.Fault{Pointer: "/weather", Allowed: `{"id": …} with an id that POST /v1/weather has answered`, Message: "is given inline; a stored system names its weather by id"})
	}
	if p := refused(faults, true); p != nil {
		return nil, p
	}
	v := &SystemVersion{System: name, Name: c.Name, ETag: etag(text, media.Identity), Hash: c.Hash, Engine: Engine(), References: []string{weatherID}}
	if loadID, byID := tree.Get("load").Get("id").Text(); byID {
		v.References = append(v.References, loadID)
	}
	return v, nil
}

// stillThere is nil while the store has everything that a system names.
func (v *SystemVersion) stillThere(disk *store.Store) error {
	for _, id := range v.References {
		if !disk.Has(id) {
			return errReferenceGone{id}
		}
	}
	return nil
}

// errReferenceGone is the error of storing a system whose weather or load was
// removed meanwhile.
type errReferenceGone struct{ id string }

func (e errReferenceGone) Error() string { return "api: " + e.id + " is not stored any more" }

// head is what is written before the text of a version.
func (v *SystemVersion) head() []byte {
	short := *v
	short.System, short.Version, short.Stored = "", 0, "" // the file's name and time say so
	head, err := json.Marshal(short)
	if err != nil {
		panic("api: stored system: " + err.Error())
	}
	return head
}

// systemVersion reads what head wrote.
func systemVersion(name string, one store.Version, head []byte) (*SystemVersion, error) {
	var v SystemVersion
	if err := json.Unmarshal(head, &v); err != nil {
		return nil, fmt.Errorf("%w: %w", store.ErrDamaged, err)
	}
	v.System, v.Version, v.Stored = name, one.Number, storedAt(one.Stored)
	return &v, nil
}

// inNoSystem is nil for content that no version of a stored system names.
func (s *Service) inNoSystem(id string) error {
	names, err := s.content.disk.Names(systemNames)
	if err != nil {
		return err
	}
	for _, name := range names {
		versions, err := s.content.disk.Versions(systemNames, name)
		if errors.Is(err, store.ErrNotFound) {
			continue // removed meanwhile
		}
		if err != nil {
			return err
		}
		for _, one := range versions {
			head, err := s.content.disk.VersionHead(systemNames, name, one.Number)
			if err != nil {
				continue // damaged: it names nothing any more
			}
			if v, err := systemVersion(name, one, head); err == nil && slices.Contains(v.References, id) {
				return errInUse{fmt.Sprintf("Version %d of the system %s names it.", one.Number, name)}
			}
		}
	}
	return nil
}

// precondition holds If-Match and If-None-Match against the text that is stored,
// nil for none (RFC 9110 §13.1.1, §13.1.2).
func precondition(r *http.Request, text []byte) *Problem {
	holds := func(lines []string) bool {
		return text != nil && slices.ContainsFunc(media.Codings, func(coding string) bool { return matches(lines, etag(text, coding)) })
	}
	// If-Match compares strongly: a weak tag names nothing.
	if lines := r.Header.Values("If-Match"); len(lines) > 0 && (strings.Contains(strings.Join(lines, ","), "W/") || !holds(lines)) {
		return preconditionFailed.problem("If-Match names another version than the latest one, or there is none.")
	}
	if lines := r.Header.Values("If-None-Match"); len(lines) > 0 && holds(lines) {
		return preconditionFailed.problem("If-None-Match: there is such a system already.")
	}
	return nil
}
