package store

import (
	"errors"
	"fmt"
	"os"
)

// Batch is content that comes into the store all at once or not at all.
type Batch struct {
	s      *Store
	staged []staged
}

type staged struct {
	id, file string
	bytes    int64
}

// Add begins a batch. It must be ended by Commit or Discard.
func (s *Store) Add() *Batch { return &Batch{s: s} }

// Put writes a piece of content aside. The id must be one (IsID), or Put panics.
// Errors: ErrFull, those of the disk.
func (b *Batch) Put(id string, head, body []byte) error {
	if !IsID(id) {
		panic("store: not an id: " + id)
	}
	first := seal(head, body)
	size := int64(len(first) + len(head) + len(body))
	if err := b.s.reserve(size); err != nil {
		return err
	}
	name, err := writeAside(b.s.tmp(), first, head, body)
	if err != nil {
		b.s.release(size)
		return fmt.Errorf("store: %w", err)
	}
	b.staged = append(b.staged, staged{id, name, size})
	return nil
}

// writeAside writes a file of its own (0600) and flushes it to the disk.
func writeAside(dir string, parts ...[]byte) (name string, err error) {
	f, err := os.CreateTemp(dir, "put-*")
	if err != nil {
		return "", err
	}
	for _, part := range parts {
		if err == nil {
			_, err = f.Write(part)
		}
	}
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return "", errors.Join(err, os.Remove(f.Name()))
	}
	return f.Name(), nil
}

// Commit brings the batch into the store, in the order of Put, and tells what
// was not there before. Sound content with the same id stays as it is; damaged
// content is replaced and counts as new.
func (b *Batch) Commit() (added []string, err error) {
	defer b.Discard()
	b.s.mu.Lock()
	defer b.s.mu.Unlock()
	for len(b.staged) > 0 {
		one := b.staged[0]
		old, sound := int64(0), false
		if info, err := os.Stat(b.s.path(one.id)); err == nil {
			_, _, err = b.s.Read(one.id)
			old, sound = info.Size(), err == nil
		}
		if sound {
			if err := os.Remove(one.file); err != nil {
				return added, fmt.Errorf("store: %w", err)
			}
			b.s.used -= one.bytes
		} else {
			if err := os.Rename(one.file, b.s.path(one.id)); err != nil {
				return added, fmt.Errorf("store: %w", err)
			}
			b.s.used -= old
			added = append(added, one.id)
		}
		b.staged = b.staged[1:]
	}
	return added, syncDir(b.s.path())
}

// Discard removes what was written aside and not committed.
func (b *Batch) Discard() {
	for _, one := range b.staged {
		_ = os.Remove(one.file) // else it is swept up later
		b.s.release(one.bytes)
	}
	b.staged = nil
}
