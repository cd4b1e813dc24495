package workbook

import (
	"archive/zip"
	"bytes"
	"cmp"
	"slices"
)

// contentTypes is the part that readers look for first (ECMA-376 part 2, 10.1).
const contentTypes = "[Content_Types].xml"

// ordered puts the parts of a package into an order of their names. The library
// writes them as its maps come.
func ordered(packed []byte) ([]byte, error) {
	r, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		return nil, err
	}
	slices.SortFunc(r.File, func(a, b *zip.File) int {
		return cmp.Or(cmp.Compare(later(a.Name), later(b.Name)), cmp.Compare(a.Name, b.Name))
	})
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range r.File {
		if err := w.Copy(f); err != nil { // as it is compressed
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

func later(name string) int {
	if name == contentTypes {
		return 0
	}
	return 1
}
