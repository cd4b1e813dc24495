package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"time"
)

// ErrChanged is the error of a change to a name that somebody else changed
// meanwhile.
var ErrChanged = errors.New("store: the name has changed")

// Version is one version of what a name stands for.
type Version struct {
	Number int // from 1
	Bytes  int64
	Stored time.Time
}

var nameForm = regexp.MustCompile(`^[a-z0-9_-]{1,64}$`)

// IsName tells whether a text can be a name: 1 to 64 of a to z, 0 to 9, _ and -.
func IsName(name string) bool { return nameForm.MatchString(name) }

// A name of a kind is a directory, names/KIND/NAME, with one sealed file a
// version, called by its number. A file is never changed: the next version is
// the next number, and whoever makes that file first has made it, also among
// several processes. A version that was removed is a file without head, so that
// its number never stands for anything else.
func (s *Store) named(kind string, parts ...string) string {
	return filepath.Join(append([]string{s.dir, "names", kind}, parts...)...)
}

func (s *Store) version(kind, name string, number int) string {
	return s.named(kind, name, strconv.Itoa(number))
}

// Last is the highest number of a name, whether or not that version was removed;
// 0 when there was never one.
func (s *Store) Last(kind, name string) (int, error) {
	if !IsName(name) {
		return 0, nil
	}
	dir := s.named(kind, name)
	s.lastMu.Lock()
	n := s.last[dir]
	s.lastMu.Unlock()
	known := n
	if n == 0 || !exists(s.version(kind, name, n)) {
		numbers, err := s.numbers(kind, name)
		if err != nil || len(numbers) == 0 {
			return 0, err
		}
		n = numbers[len(numbers)-1]
	}
	for exists(s.version(kind, name, n+1)) { // made by another process
		n++
	}
	if n != known {
		s.lastMu.Lock()
		s.last[dir] = n
		s.lastMu.Unlock()
	}
	return n, nil
}

func exists(file string) bool {
	_, err := os.Stat(file)
	return err == nil
}

// numbers are those of a name, removed ones too, in order.
func (s *Store) numbers(kind, name string) ([]int, error) {
	entries, err := os.ReadDir(s.named(kind, name))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("store: %w", err)
	}
	var list []int
	for _, e := range entries {
		if n, err := strconv.Atoi(e.Name()); err == nil && n > 0 && strconv.Itoa(n) == e.Name() {
			list = append(list, n)
		}
	}
	slices.Sort(list)
	return list, nil
}

// Names are those of a kind that stand for something, in order.
func (s *Store) Names(kind string) ([]string, error) {
	entries, err := os.ReadDir(s.named(kind))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("store: %w", err)
	}
	var list []string
	for _, e := range entries {
		last, err := s.Last(kind, e.Name())
		if err != nil {
			return nil, err
		}
		if last == 0 {
			continue
		}
		if _, err := s.VersionHead(kind, e.Name(), last); !errors.Is(err, ErrNotFound) {
			list = append(list, e.Name())
		}
	}
	return list, nil
}

// Versions lists the versions of a name that were not removed, the first one
// first. Errors: ErrNotFound when there is none, those of the disk.
func (s *Store) Versions(kind, name string) ([]Version, error) {
	if !IsName(name) {
		return nil, ErrNotFound
	}
	numbers, err := s.numbers(kind, name)
	if err != nil {
		return nil, err
	}
	var list []Version
	for _, n := range numbers {
		info, err := os.Stat(s.version(kind, name, n))
		if err != nil {
			return nil, fmt.Errorf("store: %w", err)
		}
		if info.Size() != emptyBytes {
			list = append(list, Version{n, info.Size(), info.ModTime()})
		}
	}
	if len(list) == 0 {
		return nil, ErrNotFound
	}
	return list, nil
}

// ReadVersion gives what a version was written with. Errors: ErrNotFound, also
// for a version that was removed, ErrDamaged, those of the disk.
func (s *Store) ReadVersion(kind, name string, number int) (head, body []byte, err error) {
	if !IsName(name) || number < 1 {
		return nil, nil, ErrNotFound
	}
	data, err := os.ReadFile(s.version(kind, name, number))
	if err != nil {
		return nil, nil, notFound(err)
	}
	if head, body, err = unseal(data); err == nil && len(head) == 0 {
		return nil, nil, ErrNotFound
	}
	return head, body, err
}

// HasVersion tells whether there is a version that was not removed.
func (s *Store) HasVersion(kind, name string, number int) bool {
	if !IsName(name) || number < 1 {
		return false
	}
	info, err := os.Stat(s.version(kind, name, number))
	return err == nil && info.Size() != emptyBytes
}

// VersionHead gives the head alone. Errors as for ReadVersion.
func (s *Store) VersionHead(kind, name string, number int) ([]byte, error) {
	if !IsName(name) || number < 1 {
		return nil, ErrNotFound
	}
	head, err := readHead(s.version(kind, name, number))
	if err == nil && len(head) == 0 {
		err = ErrNotFound
	}
	return head, err
}
