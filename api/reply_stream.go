package api

import (
	"io"
	"net/http"
	"strconv"
	"strings"
	"time"

	"bankyear/api/media"
)

// streamTimeout is how long a client may take for a piece of a stream.
const streamTimeout = 2 * time.Minute

// streamed is the body of a reply on its way.
type streamed struct {
	io.WriteCloser // codes
	to             *pieceByPiece
}

// Flush sends what was written.
func (s *streamed) Flush() error {
	if f, ok := s.WriteCloser.(interface{ Flush() error }); ok {
		if err := f.Flush(); err != nil {
			return err
		}
	}
	return s.to.control.Flush()
}

// pieceByPiece gives each piece its own time: a long stream is no slow client.
type pieceByPiece struct {
	w       io.Writer
	control *http.ResponseController
}

func (p *pieceByPiece) Write(b []byte) (int, error) {
	_ = p.control.SetWriteDeadline(time.Now().Add(streamTimeout)) // where the connection can
	return p.w.Write(b)
}

// sendStream writes a reply whose body is made while it is sent.
func sendStream(w http.ResponseWriter, r *http.Request, a *reply) *Problem {
	coding, ok := chooseCoding(r, a)
	if !ok {
		return notAcceptable.problem("Accept-Encoding " + strconv.Quote(field(r, "Accept-Encoding")) + " leaves none of " + strings.Join(media.Codings, ", ") + ".")
	}
	h := w.Header()
	h.Set("Content-Type", contentType(a.mediaType))
	h.Set("Cache-Control", "no-cache")
	if a.keep != "" {
		h.Set("Cache-Control", a.keep)
	}
	if a.filename != "" {
		h.Set("Content-Disposition", `inline; filename="`+a.filename+`"`)
	}
	if coding != media.Identity {
		h.Set("Content-Encoding", coding)
	}
	w.WriteHeader(http.StatusOK)
	if r.Method == http.MethodHead {
		return nil
	}
	to := &pieceByPiece{w, http.NewResponseController(w)}
	s := &streamed{media.NewWriter(to, coding), to}
	err := a.stream(s)
	if err == nil {
		err = s.Close()
	}
	if err != nil {
		panic(http.ErrAbortHandler) // the client must not take it for whole
	}
	return nil
}
