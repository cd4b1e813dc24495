package main

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// start runs the program as it is, on a port of the system's choice, and waits
// until it says where. stop ends it as a signal would and gives its exit code.
func start(t *testing.T) (url string, stop func() int) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	out, says := io.Pipe()
	code := make(chan int, 1)
	go func() {
		code <- run(ctx, []string{"serve", "--listen", "127.0.0.1:0"}, streams{nil, says, io.Discard})
		_ = says.Close()
	}()
	line, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	_, url, found := strings.Cut(strings.TrimSpace(line), "listens on ")
	require.True(t, found, line)
	return url, func() int { cancel(); return <-code }
}

func TestServe(t *testing.T) {
	url, stop := start(t)
	for _, path := range []string{"/healthz", "/readyz", "/", "/docs", "/openapi.json", "/v1/catalogue"} {
		r, err := http.Get(url + path)
		require.NoError(t, err)
		_, err = io.Copy(io.Discard, r.Body)
		require.NoError(t, err)
		require.NoError(t, r.Body.Close())
		assert.Equal(t, 200, r.StatusCode, path)
	}
	r, err := http.Post(url+"/v1/simulations", "application/json", strings.NewReader(`{"weather":{"file":"/etc/passwd"}}`))
	require.NoError(t, err)
	body, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	require.NoError(t, r.Body.Close())
	assert.Equal(t, 422, r.StatusCode)
	assert.Contains(t, string(body), "can only be read on the command line")
	http.DefaultClient.CloseIdleConnections()
	assert.Equal(t, done, stop())
	_, err = http.Get(url + "/healthz")
	assert.Error(t, err, "nobody listens any more")
}

// A port in use is said at once.
func TestServe_PortInUse(t *testing.T) {
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer taken.Close()
	var out, problems bytes.Buffer
	code := run(t.Context(), []string{"serve", "--listen", taken.Addr().String()}, streams{nil, &out, &problems})
	assert.Equal(t, failed, code)
	assert.Empty(t, out.String())
	assert.Contains(t, problems.String(), "address already in use")
}

func TestRun_ExitCodes(t *testing.T) {
	for _, c := range []struct {
		args []string
		in   string
		code int
	}{
		{[]string{"help"}, "", done},
		{[]string{"simulate", "-h"}, "", done},
		{nil, "", misspelled},
		{[]string{"sail"}, "", misspelled},
		{[]string{"simulate", "--out", "x.txt", "-"}, "{}", misspelled},
		{[]string{"simulate", "-"}, "{}", failed},
		{[]string{"compare", "-"}, "{}", failed},
		{[]string{"simulate", "nowhere.json"}, "", failed},
	} {
		assert.Equal(t, c.code, run(t.Context(), c.args, streams{strings.NewReader(c.in), io.Discard, io.Discard}), c.args)
	}
}
