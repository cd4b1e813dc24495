package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/api"
)

// runNode is one server of a NATS cluster: a process of the tests. Arguments are its
// name, its directory, its ports for clients and for the others, and their ports. It
// says when the cluster works.
func runNode() {
	args := os.Args[1:]
	var port, route int
	var routes []string
	_, err := fmt.Sscan(args[2]+" "+args[3], &port, &route)
	for _, other := range args[4:] {
		routes = append(routes, "nats://127.0.0.1:"+other)
	}
	s, errNew := server.NewServer(&server.Options{
		ServerName: args[0], Host: "127.0.0.1", Port: port, JetStream: true, StoreDir: args[1], SyncAlways: true,
		JetStreamMaxMemory: 64 << 20, JetStreamMaxStore: 8 << 30, NoSigs: true,
		Cluster: server.ClusterOpts{Name: "test", Host: "127.0.0.1", Port: route}, Routes: server.RoutesFromStr(strings.Join(routes, ",")),
	})
	if err != nil || errNew != nil {
		fmt.Fprintln(os.Stderr, err, errNew)
		os.Exit(1)
	}
	s.Start()
	for !s.JetStreamIsCurrent() {
		time.Sleep(20 * time.Millisecond)
	}
	fmt.Println("ready")
	s.WaitForShutdown()
}

// freePorts are free ones on loopback.
func freePorts(t *testing.T, n int) []string {
	t.Helper()
	var list []string
	for range n {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		require.NoError(t, err)
		defer l.Close()
		_, port, err := net.SplitHostPort(l.Addr().String())
		require.NoError(t, err)
		list = append(list, port)
	}
	return list
}

// process is one that a test started.
type process struct {
	cmd *exec.Cmd
	say *bufio.Reader // what it prints
}

// begin starts a program of the tests.
func begin(t *testing.T, program string, args ...string) *process {
	t.Helper()
	p := &process{cmd: exec.Command(program, args...)}
	out, err := p.cmd.StdoutPipe()
	require.NoError(t, err)
	p.say = bufio.NewReader(out)
	require.NoError(t, p.cmd.Start())
	t.Cleanup(p.kill)
	return p
}

// kill ends it at once: kill -9.
func (p *process) kill() {
	_ = p.cmd.Process.Kill()
	_ = p.cmd.Wait()
}

// url is where a service says that it listens.
func (p *process) url(t *testing.T) string {
	t.Helper()
	line, err := p.say.ReadString('\n')
	require.NoError(t, err)
	_, url, found := strings.Cut(strings.TrimSpace(line), "listens on ")
	require.True(t, found, line)
	return url
}

// long is a study long enough to be hit in its middle, and the table that it has when
// it is computed in one process that nobody kills.
var long = sync.OnceValues(func() (study, table []byte) {
	must := func(err error) {
		if err != nil {
			panic(err)
		}
	}
	raw, err := os.ReadFile("../../testdata/scenarios/field-station-sizing.json")
	must(err)
	var sizing struct {
		Base map[string]any `json:"base"`
	}
	must(json.Unmarshal(raw, &sizing))
	sizing.Base["controls"] = map[string]any{"internal_step_s": 300} // slower
	study, err = json.Marshal(map[string]any{"kind": "ensemble", "base": sizing.Base,
		"chance": map[string]any{"seed_paths": []string{"bank.link_faults.seed"}, "per_year": 160}})
	must(err)
	dir, err := os.MkdirTemp("", "bankyear-*")
	must(err)
	defer os.RemoveAll(dir)
	file, out := filepath.Join(dir, "study.json"), filepath.Join(dir, "runs.csv")
	must(os.WriteFile(file, study, 0o600))
	must(exec.Command("bankyear", "study", file, "--out", out).Run())
	table, err = os.ReadFile(out)
	must(err)
	return study, table
})

// patience ends a test that hangs; nothing is asserted about time.
const patience = 100 * time.Second

// ask sends a request until it is answered, by whoever listens at url now.
func ask(t *testing.T, method, url string, body []byte, accept string) []byte {
	t.Helper()
	last := ""
	for begun := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		r, err := http.NewRequest(method, url, bytes.NewReader(body))
		require.NoError(t, err)
		r.Header.Set("Accept", accept)
		a, err := http.DefaultClient.Do(r)
		if err == nil {
			text, err := io.ReadAll(a.Body)
			_ = a.Body.Close()
			if err == nil && a.StatusCode < 300 {
				return text
			}
			require.NotContains(t, []int{400, 404, 422}, a.StatusCode, string(text))
			last = string(text)
		}
		require.Less(t, time.Since(begun), patience, "%s: no answer but %s", url, last)
	}
}

// progress is how far a study is.
func progress(t *testing.T, url, id string) api.StudyProgress {
	t.Helper()
	var list api.StudyList
	require.NoError(t, json.Unmarshal(ask(t, "GET", url+"/v1/studies", nil, "application/json"), &list))
	for _, s := range list.Studies {
		if s.ID == id {
			return s.Progress
		}
	}
	t.Fatalf("the study %s is gone", id)
	return api.StudyProgress{}
}

// further waits until more than so many runs are done, or all.
func further(t *testing.T, url, id string, than int) api.StudyProgress {
	t.Helper()
	for begun := time.Now(); ; time.Sleep(5 * time.Millisecond) {
		p := progress(t, url, id)
		if p.Done > than || p.State == "done" {
			return p
		}
		require.Less(t, time.Since(begun), patience, "stuck at %d runs", p.Done)
	}
}

func submit(t *testing.T, url string, study []byte) string {
	t.Helper()
	var a api.StudyAnswer
	require.NoError(t, json.Unmarshal(ask(t, "POST", url+"/v1/studies", study, "application/json"), &a))
	return a.ID
}

// ended waits for the end of a study, and holds its table against the one that was
// computed alone: every run once, none lost, the same figures.
func ended(t *testing.T, url, id string, want []byte) {
	t.Helper()
	for p := further(t, url, id, 0); p.State != "done"; p = further(t, url, id, p.Done) {
	}
	assert.Zero(t, progress(t, url, id).Failed)
	got := ask(t, "GET", url+"/v1/studies/"+id+"/runs", nil, "text/csv")
	assert.Equal(t, bytes.Count(want, []byte("\n")), bytes.Count(got, []byte("\n")))
	assert.True(t, bytes.Equal(want, got), "the table is the one of the study computed alone")
}

// The service is killed in the middle of a study, again and again, and started
// again.
func TestServiceKilled(t *testing.T) {
	t.Parallel()
	study, want := long()
	port, dir := freePorts(t, 1)[0], t.TempDir()
	service := func() *process {
		return begin(t, "bankyear", "serve", "--listen", "127.0.0.1:"+port, "--data", dir, "--workers", "2")
	}
	p := service()
	url := p.url(t)
	id := submit(t, url, study)
	draw := rand.New(rand.NewPCG(3, 1))
	kills := 0
	for done := -1; kills < 3; kills++ {
		now := further(t, url, id, done)
		if now.State == "done" {
			break
		}
		done = now.Done
		time.Sleep(time.Duration(draw.IntN(40)) * time.Millisecond)
		p.kill()
		p = service()
	}
	assert.Positive(t, kills, "in the middle of the study")
	ended(t, url, id, want)
}

// A cluster of three servers, a service and two workers, each a process: a worker,
// a server and the service are killed in the middle of a study.
func TestClusterKilled(t *testing.T) {
	t.Parallel()
	study, want := long()
	const nodes = 3
	clients, routes, dir := freePorts(t, nodes), freePorts(t, nodes), t.TempDir()
	node := func(i int) *process {
		return begin(t, "natsnode", append([]string{fmt.Sprintf("n%d", i), filepath.Join(dir, fmt.Sprint(i)), clients[i], routes[i]}, routes...)...)
	}
	var servers []*process
	var urls []string
	for i := range nodes {
		servers, urls = append(servers, node(i)), append(urls, "nats://127.0.0.1:"+clients[i])
	}
	servedAt, nats := freePorts(t, 1)[0], strings.Join(urls, ",")
	service := func() *process {
		return begin(t, "bankyear", "serve", "--listen", "127.0.0.1:"+servedAt, "--data", filepath.Join(dir, "data"), "--nats", nats, "--workers", "-1", "--silent-s", "1")
	}
	worker := func() *process {
		return begin(t, "bankyear", "worker", "--nats", nats, "--workers", "1", "--silent-s", "1")
	}
	for _, n := range servers {
		line, err := n.say.ReadString('\n')
		require.NoError(t, err)
		require.Equal(t, "ready\n", line)
	}
	p, workers := service(), []*process{worker(), worker()}
	url := p.url(t)
	id := submit(t, url, study)
	done := 0
	hit := func(victim func()) {
		now := further(t, url, id, done)
		require.Equal(t, "running", now.State, "in the middle of the study")
		done = now.Done
		victim()
	}
	hit(func() { workers[0].kill(); workers[0] = worker() })
	hit(func() { p.kill(); p = service() })
	hit(func() { servers[1].kill() })
	ended(t, url, id, want)
}
