package main

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// start runs the program as it is, on a port of the system's choice, and waits
// until it says where. stop ends it as a signal would and gives its exit code.
func start(t *testing.T, data string) (url string, stop func() int) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	out, says := io.Pipe()
	code := make(chan int, 1)
	go func() {
		code <- run(ctx, []string{"serve", "--listen", "127.0.0.1:0", "--data", data}, streams{nil, says, io.Discard})
		_ = says.Close()
	}()
	line, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	_, url, found := strings.Cut(strings.TrimSpace(line), "listens on ")
	require.True(t, found, line)
	return url, func() int { cancel(); return <-code }
}

func TestServe(t *testing.T) {
	url, stop := start(t, t.TempDir())
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

// What was uploaded is there when the program starts again.
func TestServe_KeepsUploads(t *testing.T) {
	data := t.TempDir()
	weather, err := os.ReadFile("../../testdata/weather/burlington_vt_tmy3.csv.gz")
	require.NoError(t, err)
	url, stop := start(t, data)
	r, err := http.Post(url+"/v1/weather", "application/gzip", bytes.NewReader(weather))
	require.NoError(t, err)
	require.NoError(t, r.Body.Close())
	require.Equal(t, 201, r.StatusCode)
	location := r.Header.Get("Location")
	http.DefaultClient.CloseIdleConnections()
	assert.Equal(t, done, stop())
	url, stop = start(t, data)
	r, err = http.Get(url + location + "/quality")
	require.NoError(t, err)
	require.NoError(t, r.Body.Close())
	assert.Equal(t, 200, r.StatusCode)
	http.DefaultClient.CloseIdleConnections()
	assert.Equal(t, done, stop())
}

// A stated directory that cannot be used is an error; without a stated one the
// service runs and stores nothing.
func TestServe_NoDirectory(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	var problems bytes.Buffer
	code := run(t.Context(), []string{"serve", "--listen", "127.0.0.1:0", "--data", file}, streams{nil, io.Discard, &problems})
	assert.Equal(t, failed, code)
	assert.Contains(t, problems.String(), "store: ")
	t.Setenv("STATE_DIRECTORY", file)
	url, stop := start(t, "")
	r, err := http.Get(url + "/v1/weather")
	require.NoError(t, err)
	require.NoError(t, r.Body.Close())
	assert.Equal(t, 503, r.StatusCode)
	http.DefaultClient.CloseIdleConnections()
	assert.Equal(t, done, stop())
	assert.Equal(t, misspelled, run(t.Context(), []string{"serve", "--data-gb", "0"}, streams{nil, io.Discard, io.Discard}))
}

// systemd.exec(5); XDG Base Directory Specification 0.8: a relative path is
// invalid and ignored.
func TestStateDir(t *testing.T) {
	for _, c := range []struct {
		env  map[string]string
		want string
	}{
		{map[string]string{"STATE_DIRECTORY": "/var/lib/bankyear:/var/lib/other", "XDG_STATE_HOME": "/x", "HOME": "/home/a"}, "/var/lib/bankyear"},
		{map[string]string{"XDG_STATE_HOME": "/x", "HOME": "/home/a"}, "/x/bankyear"},
		{map[string]string{"XDG_STATE_HOME": "x", "HOME": "/home/a"}, "/home/a/.local/state/bankyear"},
		{map[string]string{"HOME": "a"}, ""},
		{nil, ""},
	} {
		got, err := stateDir(func(name string) string { return c.env[name] })
		assert.Equal(t, filepath.FromSlash(c.want), got)
		assert.Equal(t, c.want == "", err != nil)
	}
}
