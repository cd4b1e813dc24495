package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strconv"
)

// emptyBytes is the size of the file of a version that was removed.
var emptyBytes = int64(len(seal(nil, nil)))

// PutVersion makes the version of a name that follows version after, which must
// be the last one (0 for a new name). The head must not be empty, and the name
// must be one (IsName), or PutVersion panics. check is asked while nothing can
// come or go; nil asks nobody. Errors: ErrChanged when after is not the last
// version any more, ErrFull, that of check, those of the disk.
func (s *Store) PutVersion(kind, name string, after int, head, body []byte, check func() error) (number int, err error) {
	if !IsName(name) || len(head) == 0 {
		panic("store: not a version: " + strconv.Quote(name))
	}
	first := seal(head, body)
	size := int64(len(first) + len(head) + len(body))
	if err := s.reserve(size); err != nil {
		return 0, err
	}
	defer func() {
		if err != nil {
			s.release(size)
		}
	}()
	if err := os.MkdirAll(s.named(kind, name), 0o700); err != nil {
		return 0, fmt.Errorf("store: %w", err)
	}
	file, err := writeAside(s.tmp(), first, head, body)
	if err != nil {
		return 0, fmt.Errorf("store: %w", err)
	}
	defer os.Remove(file)
	s.mu.Lock()
	defer s.mu.Unlock()
	if check != nil {
		if err := check(); err != nil {
			return 0, err
		}
	}
	return after + 1, s.claim(kind, name, after, file)
}

// claim makes a file the version that follows after. s.mu is held.
func (s *Store) claim(kind, name string, after int, file string) error {
	last, err := s.Last(kind, name)
	if err != nil {
		return err
	}
	if last != after {
		return ErrChanged
	}
	// A link, unlike a rename, replaces nothing: of two processes one succeeds.
	switch err := os.Link(file, s.version(kind, name, after+1)); {
	case errors.Is(err, fs.ErrExist):
		return ErrChanged
	case err != nil:
		return fmt.Errorf("store: %w", err)
	}
	for _, dir := range []string{s.named(kind, name), s.named(kind), s.named("")} {
		if err := syncDir(dir); err != nil {
			return err
		}
	}
	return nil
}

// RemoveName removes all versions of a name, of which after must be the last.
// The number of a removed version is not used again. Errors: ErrNotFound,
// ErrChanged, those of the disk.
func (s *Store) RemoveName(kind, name string, after int) error {
	versions, err := s.Versions(kind, name)
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	file, err := writeAside(s.tmp(), seal(nil, nil))
	if err != nil {
		return fmt.Errorf("store: %w", err)
	}
	err = s.claim(kind, name, after, file)
	if err = errors.Join(err, os.Remove(file)); err != nil {
		return err
	}
	s.used += emptyBytes
	for _, v := range versions {
		file, err := writeAside(s.tmp(), seal(nil, nil))
		if err == nil {
			err = os.Rename(file, s.version(kind, name, v.Number))
		}
		if err != nil {
			return fmt.Errorf("store: %w", err)
		}
		s.used += emptyBytes - v.Bytes
	}
	return syncDir(s.named(kind, name))
}

// namedBytes is what all versions of all names take.
func (s *Store) namedBytes() (bytes int64, err error) {
	err = fs.WalkDir(os.DirFS(s.named("")), ".", func(_ string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		info, err := e.Info()
		if err == nil {
			bytes += info.Size()
		}
		return err
	})
	return bytes, err
}
