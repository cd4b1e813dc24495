package queue

import (
	"fmt"
	"log/slog"
	"path/filepath"
	"time"

	"github.com/nats-io/nats-server/v2/server"
)

// startServer starts a JetStream server that only this process can reach. Every
// write is synced to disk before it is acknowledged.
func startServer(dir string, b Bounds, log *slog.Logger) (*server.Server, error) {
	s, err := server.NewServer(&server.Options{
		ServerName: "bankyear", DontListen: true, NoSigs: true,
		JetStream: true, StoreDir: filepath.Join(dir, "queue"), SyncAlways: true,
		JetStreamMaxMemory: 16 << 20, JetStreamMaxStore: b.store(),
	})
	if err != nil {
		return nil, fmt.Errorf("queue: server: %w", err)
	}
	s.SetLoggerV2(serverLog{log}, false, false, false)
	s.Start()
	if !s.ReadyForConnections(30*time.Second) || !s.JetStreamEnabled() {
		s.Shutdown()
		return nil, fmt.Errorf("queue: server on %s did not start", dir)
	}
	return s, nil
}

// store is the room that all streams together reserve.
func (b Bounds) store() int64 { return b.ResultBytes + b.InputBytes + b.workBytes() + recordBytes }

// workBytes is room for the waiting chunks, each a short message.
func (b Bounds) workBytes() int64 { return int64(b.Chunks) * 512 }

// recordBytes is room for what is known of each study.
const recordBytes = 64 << 20

// serverLog passes on what the server warns of.
type serverLog struct{ log *slog.Logger }

func (l serverLog) Noticef(string, ...any)         {}
func (l serverLog) Debugf(string, ...any)          {}
func (l serverLog) Tracef(string, ...any)          {}
func (l serverLog) Warnf(format string, v ...any)  { l.log.Warn(fmt.Sprintf(format, v...)) }
func (l serverLog) Errorf(format string, v ...any) { l.log.Error(fmt.Sprintf(format, v...)) }
func (l serverLog) Fatalf(format string, v ...any) { l.log.Error(fmt.Sprintf(format, v...)) }
