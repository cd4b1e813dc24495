package api

import (
	"errors"
	"mime"
	"net/http"
	"strconv"
	"strings"

	"bankyear/api/media"
)

// readBody reads a JSON body whole: its type, its coding, its size. A body
// without a Content-Type is taken as JSON.
func readBody(w http.ResponseWriter, r *http.Request, limit int64) ([]byte, *Problem) {
	if given := r.Header.Get("Content-Type"); given != "" {
		if t, _, err := mime.ParseMediaType(given); err != nil || t != media.JSON {
			return nil, unsupportedMedia.problem("Content-Type is "+strconv.Quote(given)+"; send the header Content-Type: application/json.").with("Accept", media.JSON)
		}
	}
	body, err := media.Decode(http.MaxBytesReader(w, r.Body, limit), field(r, "Content-Encoding"), limit)
	var cut *http.MaxBytesError
	switch {
	case err == nil:
		return body, nil
	case errors.Is(err, media.ErrTooLarge) || errors.As(err, &cut):
		return nil, tooLarge.problem("Taken are " + strconv.FormatInt(limit, 10) + " bytes.")
	case errors.Is(err, media.ErrCoding):
		return nil, unsupportedMedia.problem("Content-Encoding is "+strconv.Quote(field(r, "Content-Encoding"))+", taken are "+strings.Join(media.Codings, ", ")+".").
			with("Accept-Encoding", strings.Join(media.Codings, ", "))
	}
	return nil, damagedBody.problem(err.Error())
}
