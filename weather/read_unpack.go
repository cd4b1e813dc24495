package weather

import (
	"bufio"
	"bytes"
	"io"

	"github.com/klauspost/compress/gzip"
	"github.com/klauspost/compress/zstd"
)

// source remembers a failure of the reader below a decoder, so that it is not
// taken for damaged data.
type source struct {
	r   io.Reader
	err error
}

func (s *source) Read(b []byte) (int, error) {
	n, err := s.r.Read(b)
	if err != nil && err != io.EOF {
		s.err = err
	}
	return n, err
}

// decoded is what a decoder gives, its errors turned into Problems.
type decoded struct {
	r    io.Reader
	from *source
}

func (d decoded) Read(b []byte) (int, error) {
	n, err := d.r.Read(b)
	if err != nil && err != io.EOF {
		err = d.from.blame(err)
	}
	return n, err
}

func (s *source) blame(err error) error {
	if s.err != nil {
		return s.err
	}
	return Problem{Index: -1, Message: "the compressed data are damaged or end too early (" + err.Error() + ")", Cause: ErrDamaged}
}

// unpack looks at the first bytes of r and undoes gzip or zstd. closeAll
// releases what the decoder holds.
func unpack(r io.Reader) (plain io.Reader, closeAll func(), err error) {
	from := &source{r: r}
	b := bufio.NewReaderSize(from, 64<<10)
	head, err := b.Peek(4)
	if err != nil && err != io.EOF {
		return nil, nil, err
	}
	switch {
	case bytes.HasPrefix(head, []byte{0x1f, 0x8b}):
		z, err := gzip.NewReader(b)
		if err != nil {
			return nil, nil, from.blame(err)
		}
		return decoded{z, from}, func() { z.Close() }, nil
	case bytes.HasPrefix(head, []byte{0x28, 0xb5, 0x2f, 0xfd}):
		// No goroutine, and a window of at most 8 MiB: memory stays bounded.
		z, err := zstd.NewReader(b, zstd.WithDecoderConcurrency(1), zstd.WithDecoderMaxWindow(8<<20))
		if err != nil {
			return nil, nil, from.blame(err)
		}
		return decoded{z, from}, z.Close, nil
	}
	return b, func() {}, nil
}
