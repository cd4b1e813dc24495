package api

import (
	"net/http/httptest"
	"testing"
)

// way spoils an example so that it may have a problem; nil when it does not apply.
type way func(t testing.TB, services map[string]*Service, whole *teller, o *operation, e *example) *httptest.ResponseRecorder

// waysTo are the ways to a kind of problem, tried in turn.
func waysTo(k kindOfProblem) []way {
	switch k.name {
	case "bad-parameter":
		return []way{query("no_such_parameter=1"), query("bank.modules="), query("version=0")}
	case "not-json":
		return []way{body("{")}
	case "damaged-body":
		return []way{header("Content-Encoding", "gzip")}
	case "faulty-input":
		return []way{body(`{"no_such_member":1}`), query("bank.cable_ohm=99")}
	case "not-found":
		return []way{elsewhereInPath}
	case "not-acceptable":
		return []way{header("Accept", "image/png")}
	case "unsupported-media-type":
		return []way{header("Content-Type", "image/png")}
	case "precondition-failed":
		return []way{header("If-Match", `"another"`)}
	case "key-reused":
		return []way{secondBody}
	case "in-use":
		return []way{header("X-Nothing", "")} // the stored system names it
	case "store-full":
		return []way{atSpoilt(k.name), atSpoilt("store-full later")}
	case "busy", "too-large", "no-store", "no-studies", "damaged-content":
		return []way{atSpoilt(k.name)}
	}
	return nil
}

// do makes a request of the example's operation.
func do(t testing.TB, s *Service, whole *teller, o *operation, e *example, body []byte, query string, headers ...string) *httptest.ResponseRecorder {
	t.Helper()
	target := e.target(o.path, whole.left)
	if query != "" {
		mark := "?"
		if e.query != "" {
			mark = "&"
		}
		target += mark + query
	}
	if o.inCells { // else it is a line of text
		headers = append([]string{"Accept", "application/problem+json, text/plain;q=0.5, text/csv;q=0.5"}, headers...)
	}
	return call(t, s, o.method, target, body, headers...)
}

func query(more string) way {
	return func(t testing.TB, _ map[string]*Service, whole *teller, o *operation, e *example) *httptest.ResponseRecorder {
		return do(t, whole.s, whole, o, e, e.body(whole.left), more)
	}
}

func body(instead string) way {
	return func(t testing.TB, _ map[string]*Service, whole *teller, o *operation, e *example) *httptest.ResponseRecorder {
		if e.file == "" {
			return nil
		}
		return do(t, whole.s, whole, o, e, []byte(instead), "")
	}
}

func header(name, value string) way {
	return func(t testing.TB, _ map[string]*Service, whole *teller, o *operation, e *example) *httptest.ResponseRecorder {
		return do(t, whole.s, whole, o, e, e.body(whole.left), "", name, value)
	}
}

// atSpoilt asks a service that has the problem.
func atSpoilt(name string) way {
	return func(t testing.TB, services map[string]*Service, whole *teller, o *operation, e *example) *httptest.ResponseRecorder {
		return do(t, services[name], whole, o, e, e.body(whole.left), "")
	}
}

// elsewhereInPath asks for what is not there.
func elsewhereInPath(t testing.TB, _ map[string]*Service, whole *teller, o *operation, e *example) *httptest.ResponseRecorder {
	other := *e
	other.path = map[string]string{}
	for name := range e.path {
		other.path[name] = map[string]string{"hash": zeros, "name": "nobody", "figure": "no_such_figure", "id": "w-" + zeros[:32], "run": "-1"}[name]
	}
	return do(t, whole.s, whole, o, &other, e.body(whole.left), "")
}

// secondBody sends another body with a key that was used.
func secondBody(t testing.TB, _ map[string]*Service, whole *teller, o *operation, e *example) *httptest.ResponseRecorder {
	first := do(t, whole.s, whole, o, e, e.body(whole.left), "", "Idempotency-Key", "conformance")
	if first.Code >= 300 {
		return first
	}
	return do(t, whole.s, whole, o, e, append(e.body(whole.left), ' '), "start=false", "Idempotency-Key", "conformance")
}
