package api

import (
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"strconv"
	"strings"

	"bankyear/api/media"
)

// reply is a whole answer, encoded before anything is sent: a status is only
// written once its body is there.
type reply struct {
	status    int // 0 is 200
	mediaType string
	body      []byte
	location  string // Content-Location, or ""
	created   string // Location of what the request has created, or ""; then the status is 201
	etag      string // of what the request has stored, or "": that of the body
	filename  string // suggested to a browser that saves it, or ""
	// stream writes the body as it comes instead of body; it is made once the header
	// is sent, and its error breaks the connection off.
	stream func(*streamed) error
	// keep says how long the answer may be kept without asking again.
	keep string
}

// smallest is the size from which a body is compressed.
const smallest = 1000

// coded is true for media types whose bodies are compressed already.
func coded(mediaType string) bool {
	return mediaType == media.Parquet || mediaType == parquetAlias || mediaType == media.PDF || mediaType == media.Workbook || mediaType == media.Zip
}

// send writes a reply in the content coding that the client wants, with an ETag
// for this media type and coding, or 304 when the client has it.
func send(w http.ResponseWriter, r *http.Request, a *reply) *Problem {
	if a.status == http.StatusNoContent {
		w.WriteHeader(a.status)
		return nil
	}
	if a.stream != nil {
		return sendStream(w, r, a)
	}
	coding, ok := chooseCoding(r, a)
	if !ok {
		return notAcceptable.problem("Accept-Encoding " + strconv.Quote(field(r, "Accept-Encoding")) + " leaves none of " + strings.Join(media.Codings, ", ") + ".")
	}
	h := w.Header()
	h.Set("Content-Type", contentType(a.mediaType))
	if a.etag == "" {
		a.etag = etag(a.body, coding)
	}
	h.Set("ETag", a.etag)
	h.Set("Cache-Control", "no-cache")
	if a.keep != "" {
		h.Set("Cache-Control", a.keep)
	}
	if a.location != "" {
		h.Set("Content-Location", a.location)
	}
	if a.created != "" {
		h.Set("Location", a.created)
		a.status = http.StatusCreated
	}
	if a.filename != "" {
		h.Set("Content-Disposition", `inline; filename="`+a.filename+`"`)
	}
	safe := r.Method == http.MethodGet || r.Method == http.MethodHead
	if safe && matches(r.Header.Values("If-None-Match"), h.Get("ETag")) {
		h.Del("Content-Type")
		h.Del("Content-Disposition")
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	body := media.Encode(a.body, coding)
	if coding != media.Identity {
		h.Set("Content-Encoding", coding)
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	if a.status != 0 {
		w.WriteHeader(a.status)
	}
	_, _ = w.Write(body) // a client that went away is no concern of ours
	return nil
}

// chooseCoding leaves small bodies and those that are compressed already as they
// are, unless the client refuses that.
func chooseCoding(r *http.Request, a *reply) (coding string, ok bool) {
	wanted := field(r, "Accept-Encoding")
	if coded(a.mediaType) || a.stream == nil && len(a.body) < smallest || a.mediaType == media.Events {
		if coding, ok = media.ChooseCoding(wanted, media.Identity); ok {
			return coding, ok
		}
	}
	return media.ChooseCoding(wanted, media.Codings...)
}

// sendProblem writes a problem. Problems are sent as JSON but for those of cells, whatever the
// client accepts: it must be able to read why it got nothing else.
func sendProblem(w http.ResponseWriter, p *Problem) {
	mediaType := media.Problem
	body, err := encodeJSON(p)
	if err != nil { // a value that JSON cannot carry has been shown as text
		panic("api: problem: " + err.Error())
	}
	if p.text {
		mediaType, body = contentType(media.Plain), []byte(p.line())
	}
	h := w.Header()
	for _, name := range []string{"Content-Encoding", "ETag", "Content-Location", "Content-Disposition"} {
		h.Del(name)
	}
	for name, value := range p.header {
		h.Set(name, value)
	}
	h.Set("Content-Type", mediaType)
	h.Set("Cache-Control", "no-store")
	h.Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(p.Status)
	_, _ = w.Write(body)
}

// field joins the lines of a header field (RFC 9110 §5.2).
func field(r *http.Request, name string) string {
	return strings.Join(r.Header.Values(name), ",")
}

// contentType adds what a reader of text needs to know.
func contentType(mediaType string) string {
	switch mediaType {
	case media.CSV:
		return mediaType + "; charset=utf-8; header=present"
	case media.HTML, media.Plain:
		return mediaType + "; charset=utf-8"
	}
	return mediaType
}

// etag names a body in a coding: other media types have other bodies.
func etag(body []byte, coding string) string {
	sum := sha256.Sum256(body)
	return `"` + hex.EncodeToString(sum[:16]) + "-" + coding + `"`
}

// matches compares entity tags weakly (RFC 9110 §13.1.2).
func matches(lines []string, tag string) bool {
	for candidate := range strings.SplitSeq(strings.Join(lines, ","), ",") {
		candidate = strings.TrimSpace(candidate)
		if candidate == "*" || strings.TrimPrefix(candidate, "W/") == tag {
			return true
		}
	}
	return false
}
