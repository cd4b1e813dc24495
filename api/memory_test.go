package api

import (
	"bytes"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/media"
)

// A body is read whole whatever its length, and the memory that is held covers
// its buffer.
func TestReadAll(t *testing.T) {
	for _, n := range []int{0, 1, firstBytes - 1, firstBytes, firstBytes + 1, 5*firstBytes + 3} {
		for _, announced := range []int64{-1, 0, int64(n), 1 << 40} {
			m := &memory{most: 64 << 20}
			h := m.hold()
			want := bytes.Repeat([]byte("ab"), n)[:n]
			got, err := readAll(iotest.HalfReader(bytes.NewReader(want)), int64(n), announced, h)
			require.NoError(t, err)
			assert.True(t, bytes.Equal(want, got))
			assert.GreaterOrEqual(t, h.bytes, int64(cap(got)))
			h.free()
			assert.Zero(t, m.used.Load())
		}
	}
	h := (&memory{most: 1 << 20}).hold()
	_, err := readAll(strings.NewReader("abc"), 2, 3, h)
	assert.ErrorIs(t, err, errTooLarge)
	_, err = readAll(bytes.NewReader(make([]byte, 1<<20)), 1<<30, -1, h)
	assert.ErrorIs(t, err, errNoMemory)
	lost := errors.New("lost")
	_, err = readAll(iotest.ErrReader(lost), 2, 3, h)
	assert.ErrorIs(t, err, lost)
}

// Bodies beyond the memory for all of them are refused for the moment, and every
// end of a request gives back what it held.
func TestService_HoldsNoMoreThanItMay(t *testing.T) {
	s := New(Config{MaxHeldBytes: 1 << 20})
	other := s.memory.hold()
	require.True(t, other.more(1<<20-10))
	w := call(t, s, "POST", "/v1/simulations", []byte("{}"))
	problemOf(t, w, 429)
	assert.Equal(t, "1", w.Header().Get("Retry-After"))
	other.free()
	for status, send := range map[int]func() *httptest.ResponseRecorder{
		422: func() *httptest.ResponseRecorder { return call(t, s, "POST", "/v1/simulations", []byte("{}")) },
		400: func() *httptest.ResponseRecorder {
			return call(t, s, "POST", "/v1/simulations", []byte("{}"), "Content-Encoding", "gzip")
		},
		429: func() *httptest.ResponseRecorder { // its window alone is larger
			return call(t, s, "POST", "/v1/comparisons", media.Encode([]byte("{}"), media.Zstd), "Content-Encoding", "zstd")
		},
		415: func() *httptest.ResponseRecorder {
			return call(t, s, "POST", "/v1/simulations", []byte("{}"), "Content-Encoding", "br")
		},
	} {
		problemOf(t, send(), status)
		assert.Zero(t, s.memory.used.Load(), status)
	}
	s = New(Config{MaxBodyBytes: 10})
	for _, coding := range []string{media.Identity, media.Gzip, media.Zstd} {
		body := media.Encode([]byte(strings.Repeat("{}", 100)), coding)
		problemOf(t, call(t, s, "POST", "/v1/simulations", body, "Content-Encoding", coding), 413)
		assert.Zero(t, s.memory.used.Load())
	}
	r := httptest.NewRequest("POST", "/v1/simulations", io.MultiReader(strings.NewReader("{"), iotest.ErrReader(errors.New("connection lost"))))
	w = httptest.NewRecorder()
	http.Handler(s).ServeHTTP(w, r)
	problemOf(t, w, 400)
	assert.Zero(t, s.memory.used.Load())
}
