//go:build unix

package queue

import (
	"fmt"
	"os"
	"path/filepath"
	"syscall"
)

// dirLock keeps a second process off the files of the server. The system drops it
// with the process, however that ends.
type dirLock struct{ file *os.File }

// lockDir makes the directory, for this user only, and locks it.
func lockDir(dir string) (*dirLock, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("queue: %w", err)
	}
	file, err := os.OpenFile(filepath.Join(dir, "lock"), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return nil, fmt.Errorf("queue: %w", err)
	}
	if err := syscall.Flock(int(file.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		file.Close()
		return nil, fmt.Errorf("queue: %s is in use by another process: %w", dir, err)
	}
	return &dirLock{file}, nil
}

// release unlocks and does not only close: a process that is just being started
// from this one has the file open too, for a moment.
func (l *dirLock) release() {
	_ = syscall.Flock(int(l.file.Fd()), syscall.LOCK_UN)
	l.file.Close()
}
