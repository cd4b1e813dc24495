//go:build !unix

package queue

import (
	"fmt"
	"os"
)

// dirLock does nothing where the system has no such lock.
type dirLock struct{}

func lockDir(dir string) (*dirLock, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("queue: %w", err)
	}
	return &dirLock{}, nil
}

func (l *dirLock) release() {}
