package api

import (
	"net/http"
	"reflect"
	"strings"
	"unicode/utf8"

	"bankyear/api/document"
	"bankyear/api/media"
	"bankyear/sim/fault"
)

// postLog answers a request that holds a log, by what tell makes of it.
func (s *Service) postLog(w http.ResponseWriter, r *http.Request, query any, tell func(*document.Node, fault.Faults) (any, []Fault)) (*reply, *Problem) {
	if p := only(r, media.JSON); p != nil {
		return nil, p
	}
	tree, parsed, isTable, free, p := s.readLogBody(w, r, query)
	if p != nil {
		return nil, p
	}
	defer free()
	leave, p := s.slots.take(r.Context())
	if p != nil {
		return nil, p
	}
	defer leave()
	answer, faults := tell(tree, parsed)
	if len(faults) > 0 {
		return nil, logProblem(faults, isTable)
	}
	return told(answer), nil
}

// readLogBody reads a request that holds a log: JSON, or a table of text with
// the other members as dotted parameters of the query. isTable tells the latter,
// whose faults are at parameters and lines.
func (s *Service) readLogBody(w http.ResponseWriter, r *http.Request, query any) (tree *document.Node, parsed fault.Faults, isTable bool, free func(), p *Problem) {
	t, p := typeOfUpload(r, loadTypes)
	if p != nil {
		return nil, nil, false, nil, p
	}
	raw, free, p := s.readUpload(w, r)
	if p != nil {
		return nil, nil, false, nil, p
	}
	if t == media.JSON || t == "" && looksLikeJSON(raw) {
		if p = readParameters(r.URL.Query(), &struct{}{}); p == nil {
			if tree, parsed = document.Parse(raw); tree == nil {
				p = refused(parsed, false)
			}
		}
	} else {
		isTable = true
		tree, p = tableAsLog(r, raw, reflect.TypeOf(query))
	}
	if p != nil {
		free()
		return nil, nil, false, nil, p
	}
	return tree, parsed, isTable, free, nil
}

func tableAsLog(r *http.Request, raw []byte, query reflect.Type) (*document.Node, *Problem) {
	tree, faults := parametersOf(r.URL.Query(), query)
	if len(faults) > 0 {
		return nil, badParameters(faults)
	}
	if !utf8.Valid(raw) {
		return nil, faultyInput.faults(fault.Faults{{Allowed: "text in UTF-8", Message: "is not a table of text"}})
	}
	return mustSet(tree, "log.csv", document.TextOf(string(raw))), nil
}

// logProblem is the problem of a request with a log. Of a table that is the
// body, faults are at its lines, and those of other members at parameters.
func logProblem(faults []Fault, isTable bool) *Problem {
	p := faultyInput.problem(count(len(faults), "fault") + "; those of a table name its line and column.")
	for _, f := range faults {
		if isTable {
			if f.Pointer == "/log/csv" {
				f.Pointer = ""
			} else {
				f.asParameter()
			}
		}
		p.Faults = append(p.Faults, f)
	}
	return p
}

// inLog moves faults below the member log.
func inLog(faults []Fault) []Fault {
	for i := range faults {
		faults[i].Pointer = "/log" + strings.TrimSuffix(faults[i].Pointer, "/")
	}
	return faults
}
