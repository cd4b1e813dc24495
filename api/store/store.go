// Package store keeps content on disk. A piece of content has an id that is made
// from what it holds, so it is written once and never changed; whoever writes
// the same content again changes nothing.
//
// A store is one directory:
//
//	content/ID           one file a piece, see seal
//	names/KIND/NAME/N    version N of what a name stands for, see named
//	tmp/                 what is being written, and uploads while they are read
//
// Files belong to the user of the process alone (0600, directories 0700). A file
// is written under another name, flushed to the disk and renamed: it is there
// whole or not at all, also when the machine stops in between. A file that no
// longer reads back as it was written is reported as damaged and replaced when
// the same content is written again.
package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"time"
)

// Errors, to be found again with errors.Is.
var (
	ErrNotFound = errors.New("store: no such content")
	ErrDamaged  = errors.New("store: the file does not read back as it was written")
	ErrFull     = errors.New("store: no room")
)

// Store is a directory of content, safe for concurrent use. Several processes
// may share one directory; each counts only what it wrote itself since it was
// opened against the limit.
type Store struct {
	dir   string
	limit int64

	mu   sync.Mutex // held while content comes and goes
	used int64

	lastMu sync.Mutex
	last   map[string]int // highest version that was seen, by directory
}

// forgotten is how old a file in tmp is when nobody can be writing it any more.
const forgotten = 24 * time.Hour

// Open opens the store in a directory, which is made when it is not there.
// limitBytes bounds all of its files together.
func Open(dir string, limitBytes int64) (*Store, error) {
	s := &Store{dir: dir, limit: limitBytes, last: map[string]int{}}
	for _, name := range []string{s.path(), s.named(""), s.tmp()} {
		if err := os.MkdirAll(name, 0o700); err != nil {
			return nil, fmt.Errorf("store: %w", err)
		}
	}
	if err := s.sweep(); err != nil {
		return nil, fmt.Errorf("store: %w", err)
	}
	all, err := s.List("")
	if err != nil {
		return nil, err
	}
	for _, one := range all {
		s.used += one.Bytes
	}
	named, err := s.namedBytes()
	if err != nil {
		return nil, fmt.Errorf("store: %w", err)
	}
	s.used += named
	return s, nil
}

// sweep removes what processes that ended early left in tmp.
func (s *Store) sweep() error {
	left, err := os.ReadDir(s.tmp())
	if err != nil {
		return err
	}
	for _, f := range left {
		if info, err := f.Info(); err == nil && time.Since(info.ModTime()) > forgotten {
			if err := os.Remove(filepath.Join(s.tmp(), f.Name())); err != nil {
				return err
			}
		}
	}
	return nil
}

func (s *Store) tmp() string { return filepath.Join(s.dir, "tmp") }

// path is that of a piece of content. The id must be one (IsID).
func (s *Store) path(id ...string) string {
	return filepath.Join(append([]string{s.dir, "content"}, id...)...)
}

var idForm = regexp.MustCompile(`^[a-z]{1,2}-[0-9a-f]{32}$`)

// IsID tells whether a text has the form of an id: one or two letters that say
// what it is, a hyphen, and 128 bits of a hash in lower-case hexadecimal.
func IsID(id string) bool { return idForm.MatchString(id) }

// Info is what is known of a piece of content without reading it.
type Info struct {
	ID     string
	Bytes  int64     // of its file
	Stored time.Time // when it was written
}

// List lists the content whose ids begin with kind ("" for all), by id.
func (s *Store) List(kind string) ([]Info, error) {
	entries, err := os.ReadDir(s.path())
	if err != nil {
		return nil, fmt.Errorf("store: %w", err)
	}
	var list []Info
	for _, e := range entries {
		if !IsID(e.Name()) || kind != "" && !strings.HasPrefix(e.Name(), kind+"-") {
			continue
		}
		info, err := e.Info()
		if errors.Is(err, fs.ErrNotExist) {
			continue // removed meanwhile
		}
		if err != nil {
			return nil, fmt.Errorf("store: %w", err)
		}
		list = append(list, Info{e.Name(), info.Size(), info.ModTime()})
	}
	return list, nil
}

// Has tells whether there is content with this id.
func (s *Store) Has(id string) bool {
	if !IsID(id) {
		return false
	}
	_, err := os.Stat(s.path(id))
	return err == nil
}

// Read gives a piece of content: the head and the body that it was written
// with. Errors: ErrNotFound, ErrDamaged, those of the disk.
func (s *Store) Read(id string) (head, body []byte, err error) {
	if !IsID(id) {
		return nil, nil, ErrNotFound
	}
	data, err := os.ReadFile(s.path(id))
	if err != nil {
		return nil, nil, notFound(err)
	}
	return unseal(data)
}

// Head gives the head alone, without reading the body. Errors as for Read.
func (s *Store) Head(id string) ([]byte, error) {
	if !IsID(id) {
		return nil, ErrNotFound
	}
	return readHead(s.path(id))
}

func readHead(file string) ([]byte, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, notFound(err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, fmt.Errorf("store: %w", err)
	}
	return unsealHead(f, info.Size())
}

func notFound(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return ErrNotFound
	}
	return fmt.Errorf("store: %w", err)
}

// Remove removes a piece of content. keep is asked first, while nothing can come
// or go; its error is returned and leaves the content where it is. nil asks
// nobody.
func (s *Store) Remove(id string, keep func() error) error {
	if !IsID(id) {
		return ErrNotFound
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	info, err := os.Stat(s.path(id))
	if err != nil {
		return notFound(err)
	}
	if keep != nil {
		if err := keep(); err != nil {
			return err
		}
	}
	if err := os.Remove(s.path(id)); err != nil {
		return notFound(err)
	}
	s.used -= info.Size()
	return syncDir(s.path())
}

// Used is how many bytes are taken, uploads in flight included.
func (s *Store) Used() int64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.used
}

// reserve takes room for n bytes, or is ErrFull.
func (s *Store) reserve(n int64) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.used+n > s.limit {
		return ErrFull
	}
	s.used += n
	return nil
}

func (s *Store) release(n int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.used -= n
}

// syncDir makes renames and removals last. Where a directory cannot be flushed
// the file system does it in its own time.
func syncDir(name string) error {
	d, err := os.Open(name)
	if err != nil {
		return fmt.Errorf("store: %w", err)
	}
	_ = d.Sync()
	return d.Close()
}
