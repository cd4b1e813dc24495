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
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// start runs the program as it is, on a port of the system's choice, and waits
// until it says where. stop ends it as a signal would and gives its exit code.
func start(t *testing.T, data string, more ...string) (url string, stop func() int) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	out, says := io.Pipe()
	code := make(chan int, 1)
	go func() {
		code <- run(ctx, append([]string{"serve", "--listen", "127.0.0.1:0", "--data", data}, more...), streams{nil, says, io.Discard})
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

// Servers that keep the studies and are away keep nothing else waiting, and are used once
// they are there.
func TestServe_ServersCome(t *testing.T) {
	port, err := strconv.Atoi(freePorts(t, 1)[0])
	require.NoError(t, err)
	url, stop := start(t, t.TempDir(), "--nats", "nats://127.0.0.1:"+strconv.Itoa(port), "--nats-replicas", "1")
	asked := func(path string) *http.Response {
		r, err := http.Get(url + path)
		require.NoError(t, err)
		require.NoError(t, r.Body.Close())
		return r
	}
	assert.Equal(t, 200, asked("/v1/catalogue").StatusCode)
	away := asked("/v1/studies")
	assert.Equal(t, 503, away.StatusCode)
	assert.Equal(t, "5", away.Header.Get("Retry-After"))
	s, err := server.NewServer(&server.Options{Host: "127.0.0.1", Port: port, JetStream: true, StoreDir: t.TempDir(), NoSigs: true, NoLog: true})
	require.NoError(t, err)
	s.Start()
	defer s.Shutdown()
	require.Eventually(t, func() bool { return asked("/v1/studies").StatusCode == 200 }, patience, 100*time.Millisecond)
	http.DefaultClient.CloseIdleConnections()
	assert.Equal(t, done, stop())
}

// What is ended before the servers are there ends well.
func TestServe_ServersDoNotCome(t *testing.T) {
	address := "nats://127.0.0.1:" + freePorts(t, 1)[0]
	_, stop := start(t, t.TempDir(), "--nats", address)
	assert.Equal(t, done, stop())
	for _, args := range [][]string{{"worker"}, {"serve", "--listen", "127.0.0.1:0", "--data", t.TempDir()}} {
		ctx, cancel := context.WithTimeout(t.Context(), 200*time.Millisecond)
		defer cancel()
		var out, problems bytes.Buffer
		assert.Equal(t, done, run(ctx, append(args, "--nats", address), streams{nil, &out, &problems}), problems.String())
	}
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
