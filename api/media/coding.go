package media

import (
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"

	kgzip "github.com/klauspost/compress/gzip"
	"github.com/klauspost/compress/zstd"
)

// Content codings.
const (
	Identity = "identity"
	Gzip     = "gzip"
	Zstd     = "zstd"
)

// ErrCoding is the error of a content coding that is not known.
var ErrCoding = errors.New("media: unknown content coding")

// ErrTooLarge is the error of a body that decodes to more than is allowed.
var ErrTooLarge = errors.New("media: body too large")

// ErrDamaged is the error of a body that its coding cannot decode.
var ErrDamaged = errors.New("media: damaged body")

// Codings are all content codings, the ones that the service prefers first.
var Codings = []string{Zstd, Gzip, Identity}

// ChooseCoding picks the offered content coding that the client wants most, the
// first of equals. identity is acceptable unless the field excludes it. ok is
// false when nothing is left.
func ChooseCoding(acceptEncoding string, offers ...string) (coding string, ok bool) {
	list := choices(acceptEncoding)
	best := 0.0
	for _, o := range offers {
		q, named, star := 0.0, false, -1.0
		for _, c := range list {
			switch {
			case c.name == o || o == Gzip && c.name == "x-gzip":
				q, named = c.q, true
			case c.name == "*":
				star = c.q
			}
		}
		switch {
		case named:
		case star >= 0:
			q = star
		case o == Identity:
			q = 1e-6 // acceptable, and behind whatever was asked for
		}
		if q > best {
			best, coding = q, o
		}
	}
	return coding, best > 0
}

var zstdEncoder = sync.OnceValue(func() *zstd.Encoder {
	e, err := zstd.NewWriter(nil, zstd.WithEncoderConcurrency(1), zstd.WithEncoderLevel(zstd.SpeedDefault))
	if err != nil {
		panic("media: " + err.Error())
	}
	return e
})

var gzipWriters = sync.Pool{New: func() any { return kgzip.NewWriter(nil) }}

// Encode codes a body. The same body and coding give the same bytes.
func Encode(body []byte, coding string) []byte {
	switch coding {
	case Zstd:
		return zstdEncoder().EncodeAll(body, make([]byte, 0, len(body)/4))
	case Gzip:
		var out bytes.Buffer
		w := gzipWriters.Get().(*kgzip.Writer)
		defer gzipWriters.Put(w)
		w.Reset(&out)
		_, err := w.Write(body)
		if err = errors.Join(err, w.Close()); err != nil {
			panic("media: gzip into memory: " + err.Error())
		}
		return out.Bytes()
	}
	return body
}

// Decode reads a whole body in a content coding ("" is identity). Errors:
// ErrCoding; ErrTooLarge, for a body of more than limit bytes once decoded;
// ErrDamaged; those of r.
func Decode(r io.Reader, coding string, limit int64) ([]byte, error) {
	switch strings.ToLower(strings.TrimSpace(coding)) {
	case "", Identity:
		return readAll(r, limit)
	case Gzip, "x-gzip":
		z, err := gzip.NewReader(r)
		if err != nil {
			return nil, damaged(err)
		}
		body, err := readAll(z, limit)
		return body, damaged(err)
	case Zstd:
		z, err := zstd.NewReader(r, zstd.WithDecoderConcurrency(1), zstd.WithDecoderMaxWindow(8<<20)) // RFC 9659
		if err != nil {
			return nil, damaged(err)
		}
		defer z.Close()
		body, err := readAll(z, limit)
		return body, damaged(err)
	}
	return nil, fmt.Errorf("%w %q", ErrCoding, coding)
}

func readAll(r io.Reader, limit int64) ([]byte, error) {
	body, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err == nil && int64(len(body)) > limit {
		return nil, ErrTooLarge
	}
	return body, err
}

// damaged marks what a decoder found wrong. Errors of the connection pass
// through a decoder unchanged and keep their own kind.
func damaged(err error) error {
	if err == nil || errors.Is(err, ErrTooLarge) {
		return err
	}
	return fmt.Errorf("%w: %w", ErrDamaged, err)
}
