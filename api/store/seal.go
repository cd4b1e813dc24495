package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// magic begins every file and names the format.
const magic = "bankyear content 1"

// longestLine is above the length of any first line.
const longestLine = 256

// seal is the beginning of the file of a piece of content,
//
//	bankyear content 1 HEADBYTES HEADSHA256 BODYBYTES BODYSHA256
//
// as a line of text; the head and the body follow.
func seal(head, body []byte) []byte {
	return fmt.Appendf(nil, "%s %d %s %d %s\n", magic, len(head), sumOf(head), len(body), sumOf(body))
}

func sumOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// unseal takes a file apart. The error is ErrDamaged for whatever seal did not
// write; head and body lie in data.
func unseal(data []byte) (head, body []byte, err error) {
	end := bytes.IndexByte(data[:min(len(data), longestLine)], '\n')
	if end < 0 {
		return nil, nil, ErrDamaged
	}
	s, err := parseSeal(string(data[:end]), int64(len(data)))
	if err != nil {
		return nil, nil, err
	}
	head, body = data[end+1:][:s.head], data[end+1:][s.head:]
	if !bytes.Equal(seal(head, body), data[:end+1]) {
		return nil, nil, ErrDamaged
	}
	return head, body, nil
}

// unsealHead reads the head of a file of a known size.
func unsealHead(r io.Reader, size int64) ([]byte, error) {
	start := make([]byte, min(size, longestLine))
	if _, err := io.ReadFull(r, start); err != nil {
		return nil, fmt.Errorf("store: %w", err)
	}
	end := bytes.IndexByte(start, '\n')
	if end < 0 {
		return nil, ErrDamaged
	}
	s, err := parseSeal(string(start[:end]), size)
	if err != nil {
		return nil, err
	}
	head := make([]byte, s.head)
	n := copy(head, start[end+1:])
	if _, err := io.ReadFull(r, head[n:]); err != nil {
		return nil, fmt.Errorf("store: %w", err)
	}
	if sumOf(head) != s.headSum {
		return nil, ErrDamaged
	}
	return head, nil
}

// sealed is what a first line says.
type sealed struct {
	head    int64 // bytes
	headSum string
}

// parseSeal reads a first line of a file of size bytes.
func parseSeal(line string, size int64) (s sealed, err error) {
	text, ok := strings.CutPrefix(line, magic+" ")
	fields := strings.Split(text, " ")
	if !ok || len(fields) != 4 {
		return s, ErrDamaged
	}
	head, err := strconv.ParseUint(fields[0], 10, 62)
	if err != nil || strconv.FormatUint(head, 10) != fields[0] {
		return s, ErrDamaged
	}
	body, err := strconv.ParseUint(fields[2], 10, 62)
	if err != nil || int64(head)+int64(body) != size-int64(len(line))-1 {
		return s, ErrDamaged
	}
	return sealed{int64(head), fields[1]}, nil
}
