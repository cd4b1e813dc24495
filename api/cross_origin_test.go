package api

import (
	"net/http/httptest"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Pages of other origins are let in by a list, which is empty by default (Fetch
// standard, CORS protocol).
func TestCrossOrigin(t *testing.T) {
	const page = "https://quotes.example"
	closed, open := New(Config{}), New(Config{AllowOrigins: []string{page}})
	ask := func(s *Service, method, target string, headers ...string) *httptest.ResponseRecorder {
		return call(t, s, method, target, nil, headers...)
	}
	t.Run("off by default", func(t *testing.T) {
		w := ask(closed, "GET", "/v1/catalogue", "Origin", page)
		assert.Equal(t, 200, w.Code)
		assert.Empty(t, w.Header().Get("Access-Control-Allow-Origin"))
		assert.NotContains(t, w.Header().Get("Vary"), "Origin")
		assert.Equal(t, 405, ask(closed, "OPTIONS", "/v1/simulations", "Origin", page, "Access-Control-Request-Method", "POST").Code)
	})
	t.Run("an origin of the list", func(t *testing.T) {
		w := ask(open, "GET", "/v1/catalogue", "Origin", page)
		assert.Equal(t, page, w.Header().Get("Access-Control-Allow-Origin"))
		assert.Contains(t, w.Header().Get("Access-Control-Expose-Headers"), "Figure-Unit")
		assert.Contains(t, w.Header().Get("Vary"), "Origin")
		assert.Empty(t, w.Header().Get("Access-Control-Allow-Credentials"))
		w = ask(open, "GET", "/v1/none", "Origin", page)
		assert.Equal(t, 404, w.Code)
		assert.Equal(t, page, w.Header().Get("Access-Control-Allow-Origin"), "errors can be read too")
	})
	t.Run("preflight", func(t *testing.T) {
		w := ask(open, "OPTIONS", "/v1/systems/hut", "Origin", page, "Access-Control-Request-Method", "PUT", "Access-Control-Request-Headers", "content-type,if-match")
		assert.Equal(t, 204, w.Code)
		assert.Equal(t, "DELETE, GET, HEAD, PUT", w.Header().Get("Access-Control-Allow-Methods"))
		assert.Contains(t, w.Header().Get("Access-Control-Allow-Headers"), "If-Match")
		assert.Equal(t, 405, ask(open, "OPTIONS", "/v1/systems/hut", "Origin", page).Code, "an OPTIONS that is none")
	})
	for _, other := range []string{"https://quotes.example.net", "http://quotes.example", "https://quotes.example:8443", "null", "*"} {
		w := ask(open, "GET", "/v1/catalogue", "Origin", other)
		assert.Empty(t, w.Header().Get("Access-Control-Allow-Origin"), other)
		assert.Contains(t, w.Header().Get("Vary"), "Origin")
		assert.Equal(t, 405, ask(open, "OPTIONS", "/v1/simulations", "Origin", other, "Access-Control-Request-Method", "POST").Code, other)
	}
}

func TestCheckOrigin(t *testing.T) {
	for _, ok := range []string{"https://quotes.example", "http://127.0.0.1:8080", "http://[::1]:8080"} {
		assert.NoError(t, CheckOrigin(ok), ok)
	}
	for _, wrong := range []string{"", "*", "null", "quotes.example", "https://quotes.example/", "https://quotes.example/a", "https://*.example", "https://Quotes.example", "ftp://quotes.example", "https://a@quotes.example", "https://quotes.example?x"} {
		assert.Error(t, CheckOrigin(wrong), wrong)
	}
}
