package api

import (
	"bytes"
	"errors"
	"io"
	"mime"
	"net/http"
	"strconv"
	"strings"

	"bankyear/api/media"
)

// admit reads a JSON body and takes a place for the work on it. The caller gives
// both back by calling leave.
func (s *Service) admit(w http.ResponseWriter, r *http.Request) (body []byte, leave func(), p *Problem) {
	body, free, p := s.readBody(w, r)
	if p != nil {
		return nil, nil, p
	}
	place, p := s.slots.take(r.Context())
	if p != nil {
		free()
		return nil, nil, p
	}
	return body, func() { place(); free() }, nil
}

// readBody reads a JSON body whole: its type, its coding, its size. A body
// without a Content-Type is taken as JSON. Its memory counts until the caller
// gives it back by calling free.
func (s *Service) readBody(w http.ResponseWriter, r *http.Request) (body []byte, free func(), p *Problem) {
	if given := r.Header.Get("Content-Type"); given != "" {
		if t, _, err := mime.ParseMediaType(given); err != nil || t != media.JSON {
			return nil, nil, unsupportedMedia.problem("Content-Type is "+strconv.Quote(given)+"; send the header Content-Type: application/json.").with("Accept", media.JSON)
		}
	}
	return s.readWhole(w, r)
}

// readUpload reads the body of any type whole, and decodes it when it is a
// compressed file.
func (s *Service) readUpload(w http.ResponseWriter, r *http.Request) (body []byte, free func(), p *Problem) {
	raw, freeRaw, p := s.readWhole(w, r)
	coding := media.CodingOf(raw)
	if p != nil || coding == media.Identity {
		return raw, freeRaw, p
	}
	defer freeRaw()
	return s.decode(r, bytes.NewReader(raw), coding, -1)
}

func (s *Service) readWhole(w http.ResponseWriter, r *http.Request) (body []byte, free func(), p *Problem) {
	return s.decode(r, http.MaxBytesReader(w, r.Body, s.config.MaxBodyBytes), field(r, "Content-Encoding"), r.ContentLength)
}

// decode reads from a content coding into memory that is held.
func (s *Service) decode(r *http.Request, from io.Reader, coding string, announced int64) (body []byte, free func(), p *Problem) {
	limit, held := s.config.MaxBodyBytes, s.memory.hold()
	if !held.more(media.HoldsBytes(coding)) {
		return nil, nil, noMemory()
	}
	z, err := media.NewReader(from, coding)
	if err == nil {
		defer z.Close()
		body, err = readAll(z, limit, announced, held)
	}
	if err != nil {
		held.free()
		return nil, nil, bodyProblem(r, err, limit)
	}
	return body, held.free, nil
}

// errTooLarge is the error of a body that decodes to more than is taken, and
// errNoMemory of one that the service has no memory for at the moment.
var (
	errTooLarge = errors.New("api: body too large")
	errNoMemory = errors.New("api: no memory for another body")
)

// firstBytes and trustedBytes are what a body's buffer begins with: the latter
// when the client says how long it is, up to this size. A client that says more
// than it sends holds no more.
const (
	firstBytes   = 32 << 10
	trustedBytes = 2 << 20
)

// readAll reads r to its end into memory that is held before it is allocated.
func readAll(r io.Reader, limit, announced int64, held *held) ([]byte, error) {
	size := min(max(announced+1, firstBytes), trustedBytes)
	if !held.more(size) {
		return nil, errNoMemory
	}
	buffer := make([]byte, 0, size)
	for {
		if len(buffer) == cap(buffer) {
			if !held.more(2 * int64(cap(buffer))) {
				return nil, errNoMemory
			}
			grown := append(make([]byte, 0, 2*cap(buffer)), buffer...)
			held.less(int64(cap(buffer)))
			buffer = grown
		}
		n, err := r.Read(buffer[len(buffer):cap(buffer)])
		buffer = buffer[:len(buffer)+n]
		switch {
		case int64(len(buffer)) > limit:
			return nil, errTooLarge
		case errors.Is(err, io.EOF):
			return buffer, nil
		case err != nil:
			return nil, err
		}
	}
}

// bodyProblem is the problem of a body that could not be read.
func bodyProblem(r *http.Request, err error, limit int64) *Problem {
	var cut *http.MaxBytesError
	switch {
	case errors.Is(err, errTooLarge) || errors.As(err, &cut):
		return tooLarge.problem("Taken are " + strconv.FormatInt(limit, 10) + " bytes.")
	case errors.Is(err, errNoMemory):
		return noMemory()
	case errors.Is(err, media.ErrCoding):
		return unsupportedMedia.problem("Content-Encoding is "+strconv.Quote(field(r, "Content-Encoding"))+", taken are "+strings.Join(media.Codings, ", ")+".").
			with("Accept-Encoding", strings.Join(media.Codings, ", "))
	}
	return damagedBody.problem(err.Error())
}
