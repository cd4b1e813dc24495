package api

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"sync"
	"time"
)

// keys remembers which request came with which Idempotency-Key: the same request
// again is answered as before, another one with its key is refused. Kept on disk
// where there is a directory.
type keys struct {
	dir      string // empty: in memory alone
	mu       sync.Mutex
	inFlight map[string]bool
	known    map[string]keyed
}

// keyed is a request that came with a key.
type keyed struct {
	Body  string    `json:"body"` // SHA-256
	Study string    `json:"study"`
	At    time.Time `json:"at"`
}

// openKeys reads what is kept below a directory.
func openKeys(dir string) (*keys, error) {
	k := &keys{inFlight: map[string]bool{}, known: map[string]keyed{}}
	if dir == "" {
		return k, nil
	}
	k.dir = filepath.Join(dir, "keys")
	if err := os.MkdirAll(k.dir, 0o700); err != nil {
		return nil, fmt.Errorf("api: keys: %w", err)
	}
	files, err := os.ReadDir(k.dir)
	if err != nil {
		return nil, fmt.Errorf("api: keys: %w", err)
	}
	for _, f := range files {
		var x keyed
		text, err := os.ReadFile(filepath.Join(k.dir, f.Name()))
		if err == nil && json.Unmarshal(text, &x) == nil {
			k.known[f.Name()] = x
		}
	}
	return k, nil
}

// longestKey is that of a key.
const longestKey = 255

// begin takes up a request with a key. study is the one that the same request made
// before, or "". Without a problem, end must be called.
func (k *keys) begin(key string, body []byte) (study string, end func(study string) error, p *Problem) {
	if key == "" {
		return "", func(string) error { return nil }, nil
	}
	if len(key) > longestKey {
		return "", nil, badParameter.problem(fmt.Sprintf("Idempotency-Key has %d bytes; taken are %d.", len(key), longestKey))
	}
	name, sum := digest([]byte(key)), digest(body)
	k.mu.Lock()
	defer k.mu.Unlock()
	known, seen := k.known[name]
	switch {
	case k.inFlight[name]:
		return "", nil, keyInFlight.problem("Ask again when it has been answered.").with("Retry-After", "1")
	case seen && known.Body != sum:
		return "", nil, keyReused.problem("It came with another body before, which made the study " + known.Study + ".")
	}
	k.inFlight[name] = true
	return known.Study, func(study string) error {
		k.mu.Lock()
		defer k.mu.Unlock()
		delete(k.inFlight, name)
		if study == "" {
			return nil
		}
		k.known[name] = keyed{sum, study, time.Now().UTC()}
		return k.write(name)
	}, nil
}

func digest(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

func (k *keys) write(name string) error {
	if k.dir == "" {
		return nil
	}
	text, err := json.Marshal(k.known[name])
	if err != nil {
		panic("api: key: " + err.Error())
	}
	file := filepath.Join(k.dir, name)
	if err := os.WriteFile(file+".new", text, 0o600); err != nil {
		return fmt.Errorf("api: keys: %w", err)
	}
	return os.Rename(file+".new", file)
}

// expire forgets keys that came before a time.
func (k *keys) expire(before time.Time) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	var errs []error
	for name, x := range k.known {
		if !x.At.Before(before) {
			continue
		}
		delete(k.known, name)
		if k.dir != "" {
			if err := os.Remove(filepath.Join(k.dir, name)); !errors.Is(err, os.ErrNotExist) {
				errs = append(errs, err)
			}
		}
	}
	return errors.Join(errs...)
}

// The kinds of problem that studies have of their own.
var (
	keyInFlight = kindOfProblem{"key-in-flight", "A request with this key is being answered", http.StatusConflict, "Another request with the same Idempotency-Key has not been answered yet."}
	keyReused   = kindOfProblem{"key-reused", "The key came with another request", http.StatusUnprocessableEntity, "An Idempotency-Key belongs to one request: another body needs another key."}
	studiesFull = kindOfProblem{"studies-full", "There is no room for another study", http.StatusServiceUnavailable, "As many studies, runs or results wait or are kept as the service may hold. Retry-After says when to ask again; deleting studies makes room."}
	noStudies   = kindOfProblem{"no-studies", "The service runs no studies", http.StatusServiceUnavailable, "It was started without a directory for them, or another process uses it, or its servers cannot be reached."}
)
