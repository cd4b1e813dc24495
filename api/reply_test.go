package api

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"github.com/klauspost/compress/gzip"
	"github.com/klauspost/compress/zstd"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api/media"
)

func TestService_Coding(t *testing.T) {
	s := New(Config{})
	raw := text(t, complete(t))
	plain := call(t, s, "POST", "/v1/simulations?detail=hours", raw).Body.Bytes()
	tags := map[string]bool{}
	for coding, decode := range map[string]func(io.Reader) (io.Reader, error){
		"gzip": func(r io.Reader) (io.Reader, error) { return gzip.NewReader(r) },
		"zstd": func(r io.Reader) (io.Reader, error) { return zstd.NewReader(r) },
		"":     func(r io.Reader) (io.Reader, error) { return r, nil },
	} {
		w := call(t, s, "POST", "/v1/simulations?detail=hours", raw, "Accept-Encoding", coding)
		assert.Equal(t, coding, w.Header().Get("Content-Encoding"))
		tags[w.Header().Get("ETag")] = true
		if coding != "" {
			assert.Less(t, w.Body.Len(), len(plain)/2)
		}
		r, err := decode(w.Body)
		require.NoError(t, err)
		body, err := io.ReadAll(r)
		require.NoError(t, err)
		assert.True(t, bytes.Equal(plain, body), coding)
	}
	assert.Len(t, tags, 3, "an ETag for each coding")
	w := call(t, s, "POST", "/v1/simulations", raw, "Accept-Encoding", "zstd, gzip", "Accept", media.Parquet)
	assert.Empty(t, w.Header().Get("Content-Encoding"), "Parquet is compressed inside")
	problemOf(t, call(t, s, "POST", "/v1/simulations", raw, "Accept-Encoding", "identity;q=0, br"), 406)
}

func TestService_CodedBody(t *testing.T) {
	s := New(Config{MaxBodyBytes: 4 << 20})
	raw := text(t, complete(t))
	want := call(t, s, "POST", "/v1/simulations", raw).Body.String()
	for _, coding := range []string{"gzip", "zstd", "identity", "x-gzip"} {
		body := media.Encode(raw, strings.TrimPrefix(coding, "x-"))
		w := call(t, s, "POST", "/v1/simulations", body, "Content-Encoding", coding)
		assert.Equal(t, 200, w.Code, coding)
		assert.Equal(t, want, w.Body.String(), coding)
	}
	t.Run("unknown", func(t *testing.T) {
		w := call(t, s, "POST", "/v1/simulations", raw, "Content-Encoding", "br")
		problemOf(t, w, 415)
		assert.Equal(t, "zstd, gzip, identity", w.Header().Get("Accept-Encoding"))
	})
	t.Run("damaged", func(t *testing.T) {
		problemOf(t, call(t, s, "POST", "/v1/simulations", raw, "Content-Encoding", "gzip"), 400)
		cut := media.Encode(raw, "zstd")
		problemOf(t, call(t, s, "POST", "/v1/simulations", cut[:len(cut)/2], "Content-Encoding", "zstd"), 400)
	})
	t.Run("bomb", func(t *testing.T) {
		bomb := media.Encode(bytes.Repeat([]byte(" "), 50<<20), "zstd")
		require.Less(t, len(bomb), 1<<20)
		problemOf(t, call(t, s, "POST", "/v1/simulations", bomb, "Content-Encoding", "zstd"), 413)
	})
	t.Run("too large", func(t *testing.T) {
		problemOf(t, call(t, s, "POST", "/v1/simulations", bytes.Repeat([]byte(" "), 5<<20)), 413)
	})
}

func TestService_IfNoneMatch(t *testing.T) {
	s := New(Config{})
	for _, target := range []string{"/v1/catalogue", "/openapi.json", "/docs", "/"} {
		first := call(t, s, "GET", target, nil)
		require.Equal(t, 200, first.Code, target)
		tag := first.Header().Get("ETag")
		for _, sent := range []string{tag, "W/" + tag, `"other", ` + tag, "*"} {
			w := call(t, s, "GET", target, nil, "If-None-Match", sent)
			assert.Equal(t, 304, w.Code, sent)
			assert.Empty(t, w.Body.Bytes())
			assert.Equal(t, tag, w.Header().Get("ETag"))
			assert.NotEmpty(t, w.Header().Get("Vary"))
		}
		assert.Equal(t, 200, call(t, s, "GET", target, nil, "If-None-Match", `"other"`).Code)
		assert.Equal(t, 200, call(t, s, "GET", target, nil, "If-None-Match", tag, "Accept-Encoding", "gzip").Code, "another coding has another tag")
	}
}
