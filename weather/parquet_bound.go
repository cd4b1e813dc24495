package weather

import (
	"encoding/binary"
	"errors"
	"fmt"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/encoding/thrift"
	"github.com/parquet-go/parquet-go/format"
)

// Bounds of a page: what a reader would allocate for it on the word of its
// header alone.
const (
	maxPageBytes  = 64 << 20
	maxPageValues = 16 << 20
)

// boundFooter holds the length of the footer against that of the file.
func boundFooter(data []byte) error {
	const magic = 4
	if len(data) < 2*magic+4 {
		return errors.New("too short")
	}
	footer := binary.LittleEndian.Uint32(data[len(data)-magic-4:])
	if int64(footer) > int64(len(data)-2*magic-4) {
		return errors.New("the footer is longer than the file")
	}
	return nil
}

// boundPages walks the headers of all pages before any is decoded, so that a
// small file cannot make the reader allocate gigabytes.
func boundPages(file *parquet.File, data []byte) error {
	for _, group := range file.Metadata().RowGroups {
		for _, chunk := range group.Columns {
			m := &chunk.MetaData
			at := m.DataPageOffset
			if m.DictionaryPageOffset > 0 && m.DictionaryPageOffset < at {
				at = m.DictionaryPageOffset
			}
			end := at + m.TotalCompressedSize
			if at < 0 || end < at || end > int64(len(data)) {
				return damagedParquet(errors.New("a column lies outside the file"))
			}
			if err := boundChunk(data[at:end], m.NumValues); err != nil {
				return err
			}
		}
	}
	return nil
}

func boundChunk(data []byte, values int64) error {
	var protocol thrift.CompactProtocol
	for seen := int64(0); seen < values && len(data) > 0; {
		r := protocol.NewReaderFromBytes(data)
		var page format.PageHeader
		if err := thrift.NewDecoder(r).Decode(&page); err != nil {
			return damagedParquet(fmt.Errorf("page header: %w", err))
		}
		var n int32
		switch page.Type {
		case format.DataPage:
			n = page.DataPageHeader.V.NumValues
			seen += int64(n)
		case format.DataPageV2:
			n = page.DataPageHeaderV2.V.NumValues
			seen += int64(n)
		case format.DictionaryPage:
			n = page.DictionaryPageHeader.V.NumValues
		}
		next := int64(r.BytesRead()) + int64(page.CompressedPageSize)
		if page.CompressedPageSize < 0 || page.UncompressedPageSize < 0 || n < 0 || next > int64(len(data)) {
			return damagedParquet(errors.New("a page does not fit the file"))
		}
		if page.UncompressedPageSize > maxPageBytes || n > maxPageValues {
			return Problem{Index: -1, Value: fmt.Sprintf("%d bytes, %d values", page.UncompressedPageSize, n), Allowed: "64 MiB and 16 million values a page",
				Message: "a page of the Parquet file is too large", Cause: ErrTooLarge}
		}
		data = data[next:]
	}
	return nil
}
