package api

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"io"
	"mime"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"bankyear/api/media"
	"bankyear/api/store"
)

// uploadTime is how long an upload may take to arrive: a gibibyte at 10 Mbit/s.
const uploadTime = 15 * time.Minute

// fileTypes are the media types of files that are looked into to know what they
// are.
var fileTypes = []string{media.CSV, media.Parquet, parquetAlias, media.Plain, "application/octet-stream", "application/gzip", "application/zstd"}

// typeOfUpload is the media type of an upload, JSON or a file, "" when it does
// not say.
func typeOfUpload(r *http.Request, files []string) (string, *Problem) {
	given := r.Header.Get("Content-Type")
	if given == "" {
		return "", nil
	}
	t, _, err := mime.ParseMediaType(given)
	if taken := append([]string{media.JSON}, files...); err != nil || !slices.Contains(taken, t) {
		list := strings.Join(taken, ", ")
		return "", unsupportedMedia.problem("Content-Type is "+strconv.Quote(given)+"; taken are "+list+", or none.").with("Accept", list)
	}
	return t, nil
}

// upload is a file that has arrived whole and waits to be read.
type upload struct {
	file   *store.Spool
	coding string // Content-Encoding
	limit  int64  // bytes once decoded
	held   *held
}

// receive takes the body of a request into a file. Its end must be closed.
func (s *Service) receive(w http.ResponseWriter, r *http.Request) (*upload, *Problem) {
	connection := http.NewResponseController(w)
	until := time.Now().Add(uploadTime)
	for _, set := range []func(time.Time) error{connection.SetReadDeadline, connection.SetWriteDeadline} {
		if err := set(until); err != nil && !errors.Is(err, http.ErrNotSupported) {
			return nil, damagedBody.problem("The connection broke off.")
		}
	}
	u := &upload{coding: field(r, "Content-Encoding"), limit: s.config.MaxUploadBytes, held: s.memory.hold()}
	if !u.held.more(media.HoldsBytes(u.coding) + media.HoldsBytes(media.Zstd) + 128<<10) { // both decoders and two buffers
		return nil, noMemory()
	}
	var err error
	if u.file, err = s.content.disk.Spool(http.MaxBytesReader(w, r.Body, u.limit), u.limit); err != nil {
		u.held.free()
		return nil, s.spoolProblem(r, err)
	}
	return u, nil
}

func (s *Service) spoolProblem(r *http.Request, err error) *Problem {
	var reading store.ReadError
	switch {
	case errors.Is(err, store.ErrTooLong):
		return bodyProblem(r, errTooLarge, s.config.MaxUploadBytes)
	case errors.Is(err, store.ErrFull):
		return storeFull.problem("Delete what is not needed any more.")
	case errors.As(err, &reading):
		return bodyProblem(r, reading.Err, s.config.MaxUploadBytes)
	}
	return s.storeProblem(err)
}

func (u *upload) close() {
	_ = u.file.Close() // else it is swept up later
	u.held.free()
}

// errNested is the error of a file that is compressed more than twice.
var errNested = errors.New("api: compressed more than once")

// open reads the upload from its start without its content coding, and without
// gzip or zstd when the file itself is compressed. What comes out is bounded,
// and ends when the client goes away.
func (u *upload) open(ctx context.Context) (*bufio.Reader, func(), error) {
	if _, err := u.file.Seek(0, io.SeekStart); err != nil {
		return nil, nil, err
	}
	outer, err := media.NewReader(bufio.NewReaderSize(u.file, 64<<10), u.coding)
	if err != nil {
		return nil, nil, err
	}
	wire := bufio.NewReader(outer)
	head, _ := wire.Peek(4)
	inner, err := media.NewReader(wire, media.CodingOf(head))
	if err != nil {
		return nil, nil, errors.Join(err, outer.Close())
	}
	closeBoth := func() { _, _ = inner.Close(), outer.Close() }
	plain := bufio.NewReaderSize(&bounded{ctx: ctx, r: inner, left: u.limit}, 64<<10)
	if head, err = plain.Peek(4); media.CodingOf(head) != media.Identity {
		closeBoth()
		return nil, nil, errNested
	} else if err != nil && !errors.Is(err, io.EOF) {
		closeBoth()
		return nil, nil, err
	}
	return plain, closeBoth, nil
}

// bounded is a reader that gives up when it gave too much, or nobody waits for
// it any more.
type bounded struct {
	ctx  context.Context
	r    io.Reader
	left int64
}

func (b *bounded) Read(p []byte) (int, error) {
	if err := b.ctx.Err(); err != nil {
		return 0, err
	}
	n, err := b.r.Read(p)
	if b.left -= int64(n); b.left < 0 {
		return 0, errTooLarge
	}
	return n, err
}

// looksLikeJSON tells by its beginning whether a file of no stated type is JSON.
func looksLikeJSON(head []byte) bool {
	head = bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xEF\xBB\xBF")), " \t\r\n")
	return bytes.HasPrefix(head, []byte("{"))
}

// openProblem is the problem of an upload that could not be read to its end.
func (s *Service) openProblem(r *http.Request, err error) *Problem {
	if errors.Is(err, errNested) {
		return damagedBody.problem("The file is compressed several times over.")
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return gone()
	}
	return bodyProblem(r, err, s.config.MaxUploadBytes)
}

// storeProblem is the problem of content that could not be read or written.
func (s *Service) storeProblem(err error) *Problem {
	switch {
	case errors.Is(err, store.ErrNotFound):
		return notFound.problem("Nothing is stored under this id.")
	case errors.Is(err, store.ErrDamaged):
		return damagedContent.problem("Upload the content again: it gets the same id.")
	case errors.Is(err, store.ErrFull):
		return storeFull.problem("Delete what is not needed any more.")
	}
	s.log.Error("store", "error", err)
	return internal.problem("The log of the service says more.")
}

// noStore is the problem of a service that was started without a place to keep
// anything, nil for any other.
func (s *Service) noStore() *Problem {
	if s.content == nil {
		return noContent.problem("Start it with --data DIR.")
	}
	return nil
}
