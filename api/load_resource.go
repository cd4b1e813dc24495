package api

import (
	"net/http"
	"reflect"
	"strings"
	"unicode/utf8"

	"bankyear/api/document"
	"bankyear/api/media"
	"bankyear/api/store"
	"bankyear/profiles"
	"bankyear/sim/fault"
)

// LoadList is what is stored.
type LoadList struct {
	Loads   []StoredLoad `json:"loads" doc:"Loads, by id."`
	Damaged []string     `json:"damaged" doc:"Ids whose files do not read back as they were written."`
	Next    string       `json:"next,omitzero" required:"false" doc:"Id to ask after for more; left out at the end."`
}

// loadTypes are the media types of tables of metered data.
var loadTypes = []string{media.CSV, media.Plain, "application/octet-stream", "application/gzip", "application/zstd"}

// postLoad stores a load: as JSON what a request takes inline, or a table of
// metered data with the parameters that say how to read it.
func (s *Service) postLoad(w http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if p := s.noStore(); p != nil {
		return nil, p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, p
	}
	t, p := typeOfUpload(r, loadTypes)
	if p != nil {
		return nil, p
	}
	raw, free, p := s.readUpload(w, r)
	if p != nil {
		return nil, p
	}
	defer free()
	leave, p := s.uploads.take(r.Context())
	if p != nil {
		return nil, p
	}
	defer leave()
	var load *StoredLoad
	if t == media.JSON || t == "" && looksLikeJSON(raw) {
		load, p = readLoadJSON(r, raw)
	} else {
		load, p = readMeter(r, raw)
	}
	if p != nil {
		return nil, p
	}
	batch := s.content.disk.Add()
	defer batch.Discard()
	if err := putLoad(batch, load); err != nil {
		return nil, s.storeProblem(err)
	}
	added, err := batch.Commit()
	if err != nil {
		return nil, s.storeProblem(err)
	}
	load.Load = nil // the client has it
	return created(load, "/v1/loads/"+load.ID, len(added) > 0), nil
}

func readLoadJSON(r *http.Request, raw []byte) (*StoredLoad, *Problem) {
	if p := readParameters(r.URL.Query(), &struct{}{}); p != nil {
		return nil, p
	}
	tree, faults := document.Parse(raw)
	if tree == nil {
		return nil, refused(faults, false)
	}
	load, faults := describeLoad(tree, faults)
	return load, refused(faults, true)
}

// meterCSV is where the table is in a load.
const meterCSV = "/meter/csv"

// readMeter makes a load of a table of metered data. A fault of what the query
// says is at its parameter, one of the table names its line.
func readMeter(r *http.Request, raw []byte) (*StoredLoad, *Problem) {
	query := r.URL.Query()
	if query.Has("csv") {
		return nil, badParameters(fault.Faults{{Pointer: "/csv", Allowed: "the table as the body", Message: "is not a parameter"}})
	}
	meter, faults := parametersOf(query, reflect.TypeFor[profiles.Meter]())
	if len(faults) > 0 {
		return nil, badParameters(faults)
	}
	if !utf8.Valid(raw) {
		return nil, faultyInput.faults(fault.Faults{{Allowed: "text in UTF-8", Message: "is not a table of text"}})
	}
	meter = mustSet(meter, "csv", document.TextOf(string(raw)))
	load, faults := describeLoad(mustSet(nil, "meter", meter), nil)
	if len(faults) == 0 {
		return load, nil
	}
	p := faultyInput.faults(faults)
	p.Detail = count(len(faults), "fault") + "; those of the table name its line."
	for i, f := range p.Faults {
		if f.Pointer == meterCSV {
			p.Faults[i].Pointer = ""
		} else if member, ok := strings.CutPrefix(f.Pointer, "/meter"); ok {
			p.Faults[i].Pointer = member
			p.Faults[i].asParameter()
		}
	}
	return nil, p
}

// getLoads lists what is stored.
func (s *Service) getLoads(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	out := LoadList{Loads: []StoredLoad{}}
	var p *Problem
	out.Damaged, out.Next, p = s.listed(r, func(one store.Info, head []byte) error {
		l, err := loadHead(head)
		if err == nil {
			l.Stored = storedAt(one.Stored)
			out.Loads = append(out.Loads, *l)
		}
		return err
	}, loadKind)
	if p != nil {
		return nil, p
	}
	return told(out), nil
}

// getLoad answers a stored load.
func (s *Service) getLoad(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	if p := readParameters(r.URL.Query(), &struct{}{}); p != nil {
		return nil, p
	}
	if p := only(r, media.JSON); p != nil {
		return nil, p
	}
	_, _, head, body, p := s.stored(r, loadKind)
	if p != nil {
		return nil, p
	}
	l, err := loadHead(head)
	if err != nil {
		return nil, s.storeProblem(err)
	}
	l.Load = body
	return told(l), nil
}

// deleteLoad removes a load.
func (s *Service) deleteLoad(_ http.ResponseWriter, r *http.Request) (*reply, *Problem) {
	return s.remove(r, s.inNoSystem, loadKind)
}
