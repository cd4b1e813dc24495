package weather

import (
	"bufio"
	"bytes"
	"errors"
	"io"
)

// Bounds of what a reader takes in. Twenty years at one minute are 10.5
// million rows.
const (
	maxLineBytes = 64 << 10
	maxLines     = 12_000_000
)

var byteOrderMark = []byte("\ufeff")

// lines reads a text file line by line and splits a line into fields. What it
// returns is valid until the next call.
type lines struct {
	r      *bufio.Reader
	number int // of the line last returned, from 1
	fields [][]byte
	plain  []byte // unquoted text of fields that hold doubled quotes
}

func newLines(r *bufio.Reader) *lines { return &lines{r: r} }

// next returns the next line without its line end (LF or CRLF) and without a
// byte order mark. At the end of the file it returns io.EOF.
func (l *lines) next() ([]byte, error) {
	line, err := l.r.ReadSlice('\n')
	if err != nil && !(err == io.EOF && len(line) > 0) {
		if errors.Is(err, bufio.ErrBufferFull) {
			return nil, Problem{Line: l.number + 1, Index: -1, Allowed: "64 KiB a line", Message: "the line is too long", Cause: ErrTooLarge}
		}
		return nil, err
	}
	l.number++
	if l.number > maxLines {
		return nil, Problem{Line: l.number, Index: -1, Allowed: "12 million lines", Message: "the file is too long", Cause: ErrTooLarge}
	}
	line = bytes.TrimSuffix(line, []byte{'\n'})
	line = bytes.TrimSuffix(line, []byte{'\r'})
	if l.number == 1 {
		line = bytes.TrimPrefix(line, byteOrderMark)
	}
	return line, nil
}

// split cuts a line at sep into at most limit fields (what follows is not
// looked at) and trims blanks. A field in double quotes may hold sep and
// doubled quotes (RFC 4180), but no line end. It returns the fields and the
// number, from 1, of a field whose quotes do not close, 0 when all is well.
func (l *lines) split(line []byte, sep byte, limit int) ([][]byte, int) {
	l.fields = l.fields[:0]
	if bytes.IndexByte(line, '"') >= 0 {
		return l.splitQuoted(line, sep, limit)
	}
	from := 0
	for i, c := range line {
		if c == sep {
			l.fields = append(l.fields, trimmed(line[from:i]))
			if len(l.fields) == limit {
				return l.fields, 0
			}
			from = i + 1
		}
	}
	l.fields = append(l.fields, trimmed(line[from:]))
	return l.fields, 0
}

func (l *lines) splitQuoted(line []byte, sep byte, limit int) ([][]byte, int) {
	l.plain = l.plain[:0]
	for len(l.fields) < limit {
		line = bytes.TrimLeft(line, " ")
		if len(line) == 0 || line[0] != '"' {
			end := bytes.IndexByte(line, sep)
			if end < 0 {
				l.fields = append(l.fields, trimmed(line))
				return l.fields, 0
			}
			l.fields = append(l.fields, trimmed(line[:end]))
			line = line[end+1:]
			continue
		}
		start, rest, closed := len(l.plain), line[1:], false
		for i := 0; i < len(rest); i++ {
			if rest[i] == '"' {
				if i+1 == len(rest) || rest[i+1] != '"' {
					rest, closed = rest[i+1:], true
					break
				}
				i++
			}
			l.plain = append(l.plain, rest[i])
		}
		if !closed {
			return l.fields, len(l.fields) + 1
		}
		l.fields = append(l.fields, l.plain[start:len(l.plain):len(l.plain)])
		rest = trimmed(rest)
		if len(rest) == 0 {
			return l.fields, 0
		}
		if rest[0] != sep {
			return l.fields, len(l.fields)
		}
		line = rest[1:]
	}
	return l.fields, 0
}

// trimmed cuts blanks from both ends.
func trimmed(b []byte) []byte {
	for len(b) > 0 && b[0] == ' ' {
		b = b[1:]
	}
	for len(b) > 0 && b[len(b)-1] == ' ' {
		b = b[:len(b)-1]
	}
	return b
}
