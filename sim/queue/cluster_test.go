package queue_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/queue"
)

// ports are free ones on loopback.
func ports(t *testing.T, n int) []int {
	var list []int
	for range n {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		require.NoError(t, err)
		defer l.Close()
		list = append(list, l.Addr().(*net.TCPAddr).Port)
	}
	return list
}

// A cluster of three servers and two workers, each a process. Workers are killed
// and started at random instants, one server is killed and comes back: every run is
// there once, none lost, and a study that was submitted meanwhile is completed too.
func TestCluster(t *testing.T) {
	t.Parallel()
	const nodes = 3
	clients, routes := ports(t, nodes), ports(t, nodes)
	var urls, all []string
	for i := range nodes {
		urls = append(urls, fmt.Sprintf("nats://127.0.0.1:%d", clients[i]))
		all = append(all, fmt.Sprint(routes[i]))
	}
	url, dir := strings.Join(urls, ","), t.TempDir()
	node := func(i int) *process {
		return start(t, "node", fmt.Sprintf("NAME=n%d", i), fmt.Sprintf("DIR=%s/n%d", dir, i), fmt.Sprintf("PORT=%d", clients[i]),
			fmt.Sprintf("CLUSTER_PORT=%d", routes[i]), "ROUTES="+strings.Join(all, " "))
	}
	var servers []*process
	for i := range nodes {
		servers = append(servers, node(i))
	}
	for _, p := range servers {
		require.True(t, p.lines.Scan(), "works")
	}
	q := open(t, queue.Config{URL: url, Engine: "e", AckWait: time.Second, Log: config(t, "", &tracker{}).Log})
	worker := func() *process { return start(t, "worker", "URL="+url) }
	a, b := submission("a", 2400, 3), submission("b", 150, 3)
	submit(t, q, a)
	workers := []*process{worker(), worker()}
	for _, p := range workers {
		require.True(t, p.lines.Scan(), "works")
	}

	draw := rand.New(rand.NewPCG(3, 5))
	for kill := range 6 {
		time.Sleep(time.Duration(draw.IntN(300)) * time.Millisecond)
		if kill == 2 {
			servers[1].kill()
		}
		if kill == 3 {
			servers[1] = node(1)
		}
		i := draw.IntN(len(workers))
		workers[i].kill()
		workers[i] = worker()
	}
	state, err := q.Status("a")
	require.NoError(t, err)
	assert.False(t, state.Final(), "killed in mid-study")
	for { // a server that has just come back may not answer yet
		_, err := q.Submit(soon(t), b)
		if err == nil {
			break
		}
		require.NoError(t, soon(t).Err())
	}
	for _, s := range []queue.Submission{a, b} {
		last := finish(t, q, s.ID)
		assert.Equal(t, queue.Done, last.State)
		assert.Zero(t, last.Failed)
		everyRunOnce(t, q, s)
	}
	refused, err := q.Publish(soon(t), "a", queue.Part{From: 0, To: 3, Data: []byte("late")})
	require.NoError(t, err)
	assert.True(t, refused, "a second result, also on a cluster")
}

// A worker waits for servers that are not there yet, until its time is over.
func TestServersThatAreNotThere(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithTimeout(t.Context(), time.Second)
	defer cancel()
	_, err := queue.Open(ctx, queue.Config{URL: fmt.Sprintf("nats://127.0.0.1:%d", ports(t, 1)[0]), Engine: "e"})
	assert.Error(t, err)
}
