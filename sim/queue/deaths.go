package queue

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"sync"
)

// deaths counts how often this process, with the server in it, died while a chunk
// was being computed. The server counts deliveries too, but writes that down a
// tenth of a second later: too late for a chunk that kills the process at once,
// which would be delivered as new for ever. A worker therefore leaves the name of
// its chunk in a file before it begins, which outlives the process.
type deaths struct {
	dir   string // empty with servers outside: they live on and count
	mu    sync.Mutex
	count map[string]int // by subject
}

// readDeaths counts what was left by a process that died.
func readDeaths(dir string) (*deaths, error) {
	d := &deaths{dir: filepath.Join(dir, "at"), count: map[string]int{}}
	if err := os.MkdirAll(d.dir, 0o700); err != nil {
		return nil, fmt.Errorf("queue: %w", err)
	}
	if data, err := os.ReadFile(d.total()); err == nil {
		_ = json.Unmarshal(data, &d.count) // a broken file counts from the start
	}
	left, err := filepath.Glob(filepath.Join(d.dir, "worker-*"))
	if err != nil {
		return nil, fmt.Errorf("queue: %w", err)
	}
	for _, file := range left {
		if subject, err := os.ReadFile(file); err == nil && len(subject) > 0 {
			d.count[string(subject)]++
		}
	}
	if err := d.write(); err != nil {
		return nil, err
	}
	for _, file := range left { // after they are counted
		if err := os.Remove(file); err != nil {
			return nil, fmt.Errorf("queue: %w", err)
		}
	}
	return d, nil
}

func (d *deaths) total() string { return filepath.Join(d.dir, "deaths.json") }

func (d *deaths) write() error {
	data, err := json.Marshal(d.count)
	if err != nil {
		return fmt.Errorf("queue: %w", err)
	}
	if err := os.WriteFile(d.total()+".new", data, 0o600); err != nil {
		return fmt.Errorf("queue: %w", err)
	}
	if err := os.Rename(d.total()+".new", d.total()); err != nil {
		return fmt.Errorf("queue: %w", err)
	}
	return nil
}

// keep drops what was counted of lives that are over.
func (d *deaths) keep(alive func(life string) bool) error {
	for subject := range d.count {
		if p, ok := parsePlace(subject); !ok || !alive(p.life) {
			delete(d.count, subject)
		}
	}
	return d.write()
}

// of is how often the process died with a chunk.
func (d *deaths) of(subject string) int {
	if d == nil {
		return 0
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.count[subject]
}

// begin leaves a chunk's name; end takes it back.
func (d *deaths) begin(worker int, subject string) error {
	if d == nil {
		return nil
	}
	return os.WriteFile(d.file(worker), []byte(subject), 0o600)
}

func (d *deaths) end(worker int) error {
	if d == nil {
		return nil
	}
	return os.Truncate(d.file(worker), 0)
}

func (d *deaths) file(worker int) string {
	return filepath.Join(d.dir, "worker-"+strconv.Itoa(worker))
}
