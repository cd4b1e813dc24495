package api

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"slices"

	"bankyear/api/document"
	"bankyear/api/store"
)

// A bundle is all that the runs of a study need, wherever they are computed: the
// study in canonical JSON, and the stored content that it names. It is a line that
// says so, the length of the study and the study, and of each piece, in the order
// of ids: the lengths of id, head and body, then these.

const bundleMagic = "bankyear study 1\n"

// errBundle is the error of a bundle that cannot be read.
var errBundle = errors.New("api: is no study")

// bundled is stored content that came with a study.
type bundled map[string]piece

type piece struct{ head, body []byte }

func (b bundled) Has(id string) bool { _, ok := b[id]; return ok }

func (b bundled) Head(id string) ([]byte, error) {
	head, _, err := b.Read(id)
	return head, err
}

func (b bundled) Read(id string) (head, body []byte, err error) {
	p, ok := b[id]
	if !ok {
		return nil, nil, store.ErrNotFound
	}
	return p.head, p.body, nil
}

// bundle puts the study together with what it names in from. The same study gives
// the same bytes.
func (s *Study) bundle(from pieces) ([]byte, error) {
	content, err := s.named(from)
	if err != nil {
		return nil, err
	}
	request := *s.request
	request.Name, request.Notes, request.Base = "", "", s.base
	text, err := document.Encode(&request)
	if err != nil {
		return nil, fmt.Errorf("api: study that passed its checks: %w", err)
	}
	out := appendPiece([]byte(bundleMagic), text)
	for _, id := range slices.Sorted(maps.Keys(content)) {
		out = appendPiece(out, []byte(id), content[id].head, content[id].body)
	}
	return out, nil
}

func appendPiece(out []byte, parts ...[]byte) []byte {
	for _, p := range parts {
		out = binary.AppendUvarint(out, uint64(len(p)))
	}
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

// named finds the stored content that the study names, of a set its years too.
func (s *Study) named(from pieces) (bundled, error) {
	found := bundled{}
	if from == nil {
		return found, nil
	}
	var add func(id string) error
	add = func(id string) error {
		if !store.IsID(id) || found.Has(id) {
			return nil
		}
		head, body, err := from.Read(id)
		if errors.Is(err, store.ErrNotFound) {
			return nil // the checks say so where it matters
		}
		if err != nil {
			return fmt.Errorf("api: content %s: %w", id, err)
		}
		found[id] = piece{head, body}
		set, err := readSet(id, head)
		if err != nil {
			return nil // no set
		}
		for _, year := range set.Years {
			if err := add(year.ID); err != nil {
				return err
			}
		}
		return nil
	}
	err := eachText(s.base, add)
	for key, n := range s.nodes {
		err = errors.Join(err, eachText(n, add), add(key.text))
	}
	return found, err
}

// eachText goes through all texts of a document.
func eachText(n *document.Node, see func(text string) error) error {
	if text, ok := n.Text(); ok {
		return see(text)
	}
	for _, m := range n.Members() {
		if err := eachText(m.Value, see); err != nil {
			return err
		}
	}
	return nil
}

// openBundle reads a bundle.
func openBundle(data []byte) (*Study, bundled, error) {
	rest, ok := bytes.CutPrefix(data, []byte(bundleMagic))
	if !ok {
		return nil, nil, errBundle
	}
	text, rest, err := cutPiece(rest, 1)
	if err != nil {
		return nil, nil, err
	}
	s, faults, _ := readStudy(text[0])
	if len(faults) > 0 {
		return nil, nil, fmt.Errorf("%w: %w", errBundle, faults)
	}
	content := bundled{}
	for len(rest) > 0 {
		var parts [][]byte
		if parts, rest, err = cutPiece(rest, 3); err != nil {
			return nil, nil, err
		}
		content[string(parts[0])] = piece{parts[1], parts[2]}
	}
	return s, content, nil
}

func cutPiece(data []byte, n int) (parts [][]byte, rest []byte, err error) {
	sizes := make([]uint64, n)
	for i := range sizes {
		size, used := binary.Uvarint(data)
		if used <= 0 {
			return nil, nil, errBundle
		}
		sizes[i], data = size, data[used:]
	}
	for _, size := range sizes {
		if size > uint64(len(data)) {
			return nil, nil, errBundle
		}
		parts, data = append(parts, data[:size]), data[size:]
	}
	return parts, data, nil
}

// studyID names a study by all that its answer depends on: the bundle, the engine,
// and the figures that it knows.
func studyID(bundle []byte) string {
	h := sha256.New()
	fmt.Fprintln(h, StudyEngine())
	h.Write(bundle)
	return studyKind + "-" + hex.EncodeToString(h.Sum(nil)[:16])
}

// studyKind begins the id of a study.
const studyKind = "s"

// StudyEngine is the identity of what computes studies: the engine, and the
// columns that it computes.
func StudyEngine() string {
	names := []byte{}
	for _, c := range computedColumns() {
		names = append(append(names, c.Name...), '\n')
	}
	for _, name := range furtherNames() {
		names = append(append(names, name...), '\n')
	}
	sum := sha256.Sum256(names)
	return Engine() + "/" + hex.EncodeToString(sum[:4])
}
