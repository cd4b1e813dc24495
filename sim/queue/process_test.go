package queue_test

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/stretchr/testify/require"

	"bankyear/sim/queue"
)

// The test binary also is the processes that the tests kill.
const roleVariable = "BANKYEAR_QUEUE_TEST_ROLE"

func TestMain(m *testing.M) {
	role := os.Getenv(roleVariable)
	if role == "" {
		os.Exit(m.Run())
	}
	if err := play(role); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func play(role string) error {
	go func() { // ends with whoever started it
		_, _ = bufio.NewReader(os.Stdin).ReadString(0)
		os.Exit(2)
	}()
	switch role {
	case "node":
		return playNode()
	case "service", "poisoned":
		return playService(role == "poisoned")
	}
	return playWorker()
}

// playNode is one server of a cluster.
func playNode() error {
	var routes []string
	for port := range strings.FieldsSeq(os.Getenv("ROUTES")) {
		routes = append(routes, "nats://127.0.0.1:"+port)
	}
	s, err := server.NewServer(&server.Options{
		ServerName: os.Getenv("NAME"), Host: "127.0.0.1", Port: number("PORT"), JetStream: true, StoreDir: os.Getenv("DIR"), SyncAlways: true,
		JetStreamMaxMemory: 64 << 20, JetStreamMaxStore: 8 << 30, NoSigs: true,
		Cluster: server.ClusterOpts{Name: "test", Host: "127.0.0.1", Port: number("CLUSTER_PORT")}, Routes: server.RoutesFromStr(strings.Join(routes, ",")),
	})
	if err != nil {
		return err
	}
	s.Start()
	for !s.JetStreamIsCurrent() {
		time.Sleep(10 * time.Millisecond)
	}
	fmt.Println("works")
	s.WaitForShutdown()
	return nil
}

func number(name string) (n int) {
	_, _ = fmt.Sscan(os.Getenv(name), &n)
	return n
}

// slow is work that takes some time, so that a kill can hit it.
func slow(ctx context.Context, input []byte, from, to int) ([]byte, error) {
	select {
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-time.After(8 * time.Millisecond):
		return part(input, from, to), nil
	}
}

// playService is a service with the server inside; it submits its study, which may
// be there already, and ends when that is done.
func playService(poisoned bool) error {
	cfg := queue.Config{Dir: os.Getenv("DIR"), Engine: "e", Work: slow, Workers: 2, AckWait: 300 * time.Millisecond}
	if poisoned {
		cfg.Work = func(ctx context.Context, input []byte, from, to int) ([]byte, error) {
			switch from {
			case 3: // slower than the one that kills, and innocent
				time.Sleep(150 * time.Millisecond)
			case 6:
				time.Sleep(20 * time.Millisecond)
				_ = syscall.Kill(os.Getpid(), syscall.SIGKILL)
			}
			return slow(ctx, input, from, to)
		}
	}
	q, err := queue.Open(context.Background(), cfg)
	if err != nil {
		return err
	}
	defer q.Close()
	s := submission("killed", number("RUNS"), 3)
	if _, err := q.Submit(context.Background(), s); err != nil {
		return err
	}
	for state, err := range q.Watch(context.Background(), s.ID) {
		if err != nil {
			return err
		}
		fmt.Println(state.Done)
	}
	return nil
}

// playWorker works for a cluster until it is killed.
func playWorker() error {
	_, err := queue.Open(context.Background(), queue.Config{URL: os.Getenv("URL"), Engine: "e", Work: slow, Workers: 2, AckWait: time.Second})
	if err != nil {
		return err
	}
	fmt.Println("works")
	select {}
}

// process is one that a test started.
type process struct {
	cmd   *exec.Cmd
	lines *bufio.Scanner // of its output
	ended chan error
}

// start runs this binary in a role.
func start(t *testing.T, role string, env ...string) *process {
	t.Helper()
	p := &process{cmd: exec.Command(os.Args[0]), ended: make(chan error, 1)}
	p.cmd.Env = append(append(os.Environ(), roleVariable+"="+role), env...)
	p.cmd.Stderr = logWriter{t}
	out, err := p.cmd.StdoutPipe()
	require.NoError(t, err)
	_, err = p.cmd.StdinPipe() // closed when this process ends
	require.NoError(t, err)
	require.NoError(t, p.cmd.Start())
	p.lines = bufio.NewScanner(out)
	t.Cleanup(func() { p.kill() })
	return p
}

// kill ends the process at once, and waits for it.
func (p *process) kill() {
	_ = p.cmd.Process.Kill()
	_ = p.cmd.Wait()
}
