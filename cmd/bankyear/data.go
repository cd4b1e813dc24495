package main

import (
	"errors"
	"log/slog"
	"os"
	"path/filepath"
	"strings"

	"bankyear/api/store"
)

// openStore opens the directory of what is uploaded. Without a stated one it is
// that of the user; where there is none, or it cannot be written, the service
// stores nothing and says so; dir is empty then.
func openStore(stated string, limitBytes int64, log *slog.Logger) (disk *store.Store, dir string, err error) {
	dir = stated
	if dir == "" {
		dir, err = stateDir(os.Getenv)
	}
	if err == nil {
		disk, err = store.Open(dir, limitBytes)
	}
	switch {
	case err == nil:
		log.Info("uploads are kept", "directory", dir)
	case stated == "":
		log.Warn("nothing can be uploaded: there is no directory for it; --data names one", "error", err)
		return nil, "", nil
	}
	return disk, dir, err
}

// stateDir is the directory for the state of this program: what the service
// manager names (systemd.exec(5), StateDirectory=), else that of the XDG Base
// Directory Specification 0.8, $XDG_STATE_HOME or ~/.local/state.
func stateDir(getenv func(string) string) (string, error) {
	if dir, _, _ := strings.Cut(getenv("STATE_DIRECTORY"), ":"); dir != "" {
		return dir, nil
	}
	if dir := getenv("XDG_STATE_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "bankyear"), nil
	}
	if home := getenv("HOME"); filepath.IsAbs(home) {
		return filepath.Join(home, ".local", "state", "bankyear"), nil
	}
	return "", errors.New("no home directory")
}
