package api

import (
	"math"
	"net/http"

	"bankyear/sim/fault"
)

// Problem is an error answer (RFC 9457) with every fault of the input.
type Problem struct {
	Type   string  `json:"type" doc:"Where the kind of problem is described."`
	Title  string  `json:"title" doc:"The kind of problem."`
	Status int     `json:"status" doc:"HTTP status."`
	Detail string  `json:"detail,omitzero" required:"false" doc:"What is wrong this time."`
	Faults []Fault `json:"faults" doc:"Everything wrong with the input, all at once; empty when it is not the input's values."`

	header map[string]string
	text   bool // sent as one line of text
}

// Fault is one thing wrong with the input.
type Fault struct {
	Pointer   string `json:"pointer" doc:"JSON Pointer (RFC 6901) of the member in the request's body."`
	Parameter string `json:"parameter,omitzero" required:"false" doc:"Name of the query parameter, when the fault is there."`
	Line      int    `json:"line,omitzero" required:"false" doc:"Line of the uploaded file, from 1, when the fault is there."`
	Column    int    `json:"column,omitzero" required:"false" doc:"Column of the uploaded file, counted in fields from 1."`
	Value     any    `json:"value,omitempty" required:"false" doc:"The value as given."`
	Allowed   string `json:"allowed,omitzero" required:"false" doc:"What would be accepted."`
	Unit      string `json:"unit,omitzero" required:"false" doc:"Unit of value and allowed."`
	Message   string `json:"message" doc:"What is wrong, in plain words."`
}

// kindOfProblem is one row of the closed table of problems.
type kindOfProblem struct {
	name, title string
	status      int
	meaning     string
}

// The kinds of problem; the only place where a status is chosen.
var (
	notJSON            = kindOfProblem{"not-json", "The body is not JSON", http.StatusBadRequest, "The body could not be followed to its end as one JSON value."}
	badParameter       = kindOfProblem{"bad-parameter", "A query parameter is wrong", http.StatusBadRequest, "A query parameter is unknown, given twice, or has a value that is not allowed."}
	damagedBody        = kindOfProblem{"damaged-body", "The body could not be decoded", http.StatusBadRequest, "The body does not decode by its Content-Encoding, or the connection broke off."}
	faultyInput        = kindOfProblem{"faulty-input", "The input has faults", http.StatusUnprocessableEntity, "The body is JSON, and members of it are unknown, missing, of the wrong type or out of range, or do not go together. All faults are listed."}
	notFound           = kindOfProblem{"not-found", "There is nothing here", http.StatusNotFound, "No resource has this address, or the answer is no longer kept: POST the request again."}
	methodNotAllowed   = kindOfProblem{"method-not-allowed", "The method is not allowed here", http.StatusMethodNotAllowed, "The Allow header lists the methods."}
	notAcceptable      = kindOfProblem{"not-acceptable", "No acceptable representation", http.StatusNotAcceptable, "The Accept or Accept-Encoding header leaves nothing that the resource can be sent as."}
	tooLarge           = kindOfProblem{"too-large", "The body is too large", http.StatusRequestEntityTooLarge, "The body, once decoded, is larger than the service takes."}
	unsupportedMedia   = kindOfProblem{"unsupported-media-type", "The body is of a type that is not taken here", http.StatusUnsupportedMediaType, "The Content-Type or Content-Encoding is not one that the resource takes."}
	busy               = kindOfProblem{"busy", "Too many requests at once", http.StatusTooManyRequests, "The service has as much to do, or as many bodies to hold, as it takes at once. Retry-After says when to ask again."}
	inUse              = kindOfProblem{"in-use", "The content belongs to other content", http.StatusConflict, "A year of a set of years stays as long as the set, and what a stored system names as long as the system: delete these first."}
	preconditionFailed = kindOfProblem{"precondition-failed", "The stored version is another one", http.StatusPreconditionFailed, "If-Match or If-None-Match does not hold: somebody else has stored a version meanwhile. Get it, and decide again."}
	damagedContent     = kindOfProblem{"damaged-content", "The stored content is damaged", http.StatusInternalServerError, "The file in the data directory does not read back as it was written. Uploading the same content again replaces it."}
	storeFull          = kindOfProblem{"store-full", "There is no room for more content", http.StatusInsufficientStorage, "What is stored takes all the room that the service may use."}
	noContent          = kindOfProblem{"no-store", "The service stores nothing", http.StatusServiceUnavailable, "It was started without a directory for content."}
	internal           = kindOfProblem{"internal", "The service failed", http.StatusInternalServerError, "A mistake of the program; it is in its log."}
)

// kindsOfProblem lists them for the documentation.
var kindsOfProblem = []kindOfProblem{notJSON, badParameter, damagedBody, faultyInput, notFound, methodNotAllowed, notAcceptable, tooLarge, unsupportedMedia, busy, inUse, preconditionFailed, damagedContent, storeFull, noContent, keyInFlight, keyReused, studiesFull, noStudies, internal}

// problem is a problem of this kind.
func (k kindOfProblem) problem(detail string) *Problem {
	return &Problem{Type: "/docs#problem-" + k.name, Title: k.title, Status: k.status, Detail: detail, Faults: []Fault{}}
}

// with adds a header field.
func (p *Problem) with(name, value string) *Problem {
	if p.header == nil {
		p.header = map[string]string{}
	}
	p.header[name] = value
	return p
}

// faults is the problem of an input with faults: one that is no JSON at all when
// nothing could be read from it.
func (k kindOfProblem) faults(faults fault.Faults) *Problem {
	p := k.problem(count(len(faults), "fault") + ", each with its JSON Pointer, value and what is allowed.")
	for _, f := range faults {
		p.Faults = append(p.Faults, Fault{Pointer: f.Pointer, Value: tellable(f.Value), Allowed: f.Allowed, Unit: f.Unit, Message: f.Message})
	}
	return p
}

// tellable is a value as JSON can carry it: a number that was no number in the
// input, such as 007, is not finite once it is read.
func tellable(v any) any {
	if x, ok := v.(float64); ok && (math.IsNaN(x) || math.IsInf(x, 0)) {
		return nil
	}
	return v
}
