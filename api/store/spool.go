package store

import (
	"errors"
	"fmt"
	"io"
	"os"
)

// Spool is a stream that was written to a file, so that a slow sender holds no
// memory and what it sent can be read more than once. It counts against the
// limit of the store until it is closed.
type Spool struct {
	*os.File
	s     *Store
	bytes int64
}

// ErrTooLong is the error of a stream longer than was allowed.
var ErrTooLong = errors.New("store: the stream is too long")

// Spool writes what r gives, at most limitBytes, to a file and returns it at its
// start. Errors: ErrTooLong, ErrFull, those of r (ReadError) and of the disk.
func (s *Store) Spool(r io.Reader, limitBytes int64) (*Spool, error) {
	f, err := os.CreateTemp(s.tmp(), "spool-*")
	if err != nil {
		return nil, fmt.Errorf("store: %w", err)
	}
	p := &Spool{File: f, s: s}
	if err := p.fill(r, limitBytes); err != nil {
		return nil, errors.Join(err, p.Close())
	}
	return p, nil
}

// ReadError is a failure of the stream that was being spooled.
type ReadError struct{ Err error }

func (e ReadError) Error() string { return "store: reading: " + e.Err.Error() }

// Unwrap gives the stream's own error.
func (e ReadError) Unwrap() error { return e.Err }

func (p *Spool) fill(r io.Reader, limit int64) error {
	buffer := make([]byte, 64<<10)
	for {
		n, err := r.Read(buffer)
		if n > 0 {
			if p.bytes+int64(n) > limit {
				return ErrTooLong
			}
			if err := p.s.reserve(int64(n)); err != nil {
				return err
			}
			p.bytes += int64(n)
			if _, err := p.Write(buffer[:n]); err != nil {
				return fmt.Errorf("store: %w", err)
			}
		}
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return ReadError{err}
		}
	}
	if _, err := p.Seek(0, io.SeekStart); err != nil {
		return fmt.Errorf("store: %w", err)
	}
	return nil
}

// Close removes the file.
func (p *Spool) Close() error {
	err := errors.Join(p.File.Close(), os.Remove(p.Name()))
	p.s.release(p.bytes)
	p.bytes = 0
	return err
}
