package api

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"
)

// CheckOrigin tells what is wrong with the origin of a page that is to be let in
// (RFC 6454 §6.2): scheme://host, with a port if it is not the scheme's own.
func CheckOrigin(origin string) error {
	u, err := url.Parse(origin)
	if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" || u.Scheme+"://"+u.Host != origin || strings.ToLower(origin) != origin || strings.Contains(origin, "*") {
		return errors.New("an origin is a scheme and a host in lower case, with a port if need be, such as https://quotes.example:8443")
	}
	return nil
}

// Headers of answers that a page of another origin may read, and of requests
// that it may send.
const (
	exposedHeaders = "Content-Location, ETag, " + figureUnit + ", Location, Retry-After, " + hashHeader + ", " + versionHeader
	allowedHeaders = "Accept, Content-Encoding, Content-Type, Idempotency-Key, If-Match, If-None-Match, Last-Event-ID"
)

// vary names what answers depend on.
func (s *Service) vary() string {
	if len(s.config.AllowOrigins) > 0 {
		return "Accept, Accept-Encoding, Origin"
	}
	return "Accept, Accept-Encoding"
}

// letIn tells a browser that a page of an allowed origin may read the answer
// (Fetch standard, CORS protocol). Nobody's credentials are involved.
func (s *Service) letIn(w http.ResponseWriter, r *http.Request) bool {
	origin := r.Header.Get("Origin")
	if origin == "" || !slices.Contains(s.config.AllowOrigins, origin) {
		return false
	}
	w.Header().Set("Access-Control-Allow-Origin", origin)
	w.Header().Set("Access-Control-Expose-Headers", exposedHeaders)
	return true
}

// preflight answers a browser that asks, for a page of an allowed origin,
// whether it may send a request.
func (s *Service) preflight(w http.ResponseWriter, r *http.Request, methods string) bool {
	if r.Method != http.MethodOptions || r.Header.Get("Access-Control-Request-Method") == "" || !s.letIn(w, r) {
		return false
	}
	h := w.Header()
	h.Set("Access-Control-Allow-Methods", methods)
	h.Set("Access-Control-Allow-Headers", allowedHeaders)
	h.Set("Access-Control-Max-Age", "3600")
	return true
}
