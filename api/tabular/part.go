package tabular

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"sync"

	"github.com/klauspost/compress/zstd"
)

// A part is a block as workers hand it over: zstd over a header in JSON, and the
// columns one after the other; numbers as their eight bytes, all first bytes,
// then all second bytes, and so on; texts as length and bytes. The header names the
// columns, so that a part can be read by a program with others.

// mostPartRows is the longest part.
const mostPartRows = 1 << 16

// ErrPart is the error of a part that cannot be read.
var ErrPart = errors.New("tabular: is no part of a table")

type partHeader struct {
	Columns []partColumn `json:"columns"`
	Rows    int          `json:"rows"`
}

type partColumn struct {
	Name string `json:"name"`
	Text bool   `json:"text,omitempty"`
}

var encoder = sync.OnceValue(func() *zstd.Encoder {
	e, err := zstd.NewWriter(nil, zstd.WithEncoderConcurrency(1), zstd.WithEncoderLevel(zstd.SpeedFastest))
	if err != nil {
		panic("tabular: " + err.Error())
	}
	return e
})

// decoder takes no part beyond 64 MiB.
var decoder = sync.OnceValue(func() *zstd.Decoder {
	d, err := zstd.NewReader(nil, zstd.WithDecoderConcurrency(0), zstd.WithDecoderMaxMemory(64<<20))
	if err != nil {
		panic("tabular: " + err.Error())
	}
	return d
})

// EncodePart writes a block. The same block gives the same bytes.
func EncodePart(b *Block) []byte {
	h := partHeader{Rows: b.Rows}
	for _, c := range b.Columns {
		h.Columns = append(h.Columns, partColumn{c.Name, c.Kind == Text})
	}
	head, err := json.Marshal(h)
	if err != nil {
		panic("tabular: header of a part: " + err.Error())
	}
	out := make([]byte, 0, len(head)+8+8*b.Rows*len(b.Columns))
	out = binary.AppendUvarint(out, uint64(len(head)))
	out = append(out, head...)
	for i, c := range b.Columns {
		if c.Kind == Text {
			for _, text := range b.Texts[i] {
				out = binary.AppendUvarint(out, uint64(len(text)))
				out = append(out, text...)
			}
			continue
		}
		for shift := 0; shift < 64; shift += 8 {
			for _, x := range b.Numbers[i] {
				out = append(out, byte(math.Float64bits(x)>>shift))
			}
		}
	}
	return encoder().EncodeAll(out, nil)
}

// DecodePart reads the columns that are asked for, by name, from a part. One that
// the part has not is without values.
func DecodePart(data []byte, columns []Column) (*Block, error) {
	raw, err := decoder().DecodeAll(data, nil)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrPart, err)
	}
	size, n := binary.Uvarint(raw)
	if n <= 0 || size > uint64(len(raw)-n) {
		return nil, ErrPart
	}
	var h partHeader
	if err := json.Unmarshal(raw[n:n+int(size)], &h); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrPart, err)
	}
	raw = raw[n+int(size):]
	if h.Rows < 0 || h.Rows > mostPartRows {
		return nil, ErrPart
	}
	b := New(columns, h.Rows)
	for _, c := range h.Columns {
		i := Find(columns, c.Name)
		if i >= 0 && (columns[i].Kind == Text) != c.Text {
			return nil, ErrPart
		}
		if raw, err = readColumn(raw, b, i, c.Text); err != nil {
			return nil, err
		}
	}
	return b, nil
}

// readColumn reads a column into column i of the block, or passes it over.
func readColumn(raw []byte, b *Block, i int, isText bool) ([]byte, error) {
	if !isText {
		if len(raw) < 8*b.Rows {
			return nil, ErrPart
		}
		if i >= 0 {
			for r := range b.Rows {
				bits := uint64(0)
				for k := 7; k >= 0; k-- {
					bits = bits<<8 | uint64(raw[k*b.Rows+r])
				}
				b.Numbers[i][r] = math.Float64frombits(bits)
			}
		}
		return raw[8*b.Rows:], nil
	}
	for r := range b.Rows {
		size, n := binary.Uvarint(raw)
		if n <= 0 || size > uint64(len(raw)-n) {
			return nil, ErrPart
		}
		if i >= 0 {
			b.Texts[i][r] = string(raw[n : n+int(size)])
		}
		raw = raw[n+int(size):]
	}
	return raw, nil
}
