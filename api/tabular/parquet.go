package tabular

import (
	"errors"
	"fmt"
	"io"
	"iter"
	"maps"
	"math"
	"slices"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/compress/zstd"
)

// groupRows is how many rows a row group has: what is held while a table is
// written or read.
const groupRows = 8192

// Parquet writes a table as Parquet: numbers as doubles, whole ones as 64-bit
// integers, texts as strings, all of them optional and compressed with zstd. The
// file's metadata hold what the caller gives and, under unit:COLUMN, every unit.
type Parquet struct {
	w       *parquet.GenericWriter[any]
	columns []Column
	rows    *parquet.Buffer
	held    int
	values  []parquet.Value
}

// NewParquet writes to w.
func NewParquet(w io.Writer, columns []Column, metadata map[string]string) *Parquet {
	schema := schemaOf(columns)
	options := []parquet.WriterOption{schema, parquet.CreatedBy("bankyear", "", "")}
	for _, name := range slices.Sorted(maps.Keys(metadata)) {
		options = append(options, parquet.KeyValueMetadata(name, metadata[name]))
	}
	for _, c := range columns {
		if c.Unit != "" {
			options = append(options, parquet.KeyValueMetadata("unit:"+c.Name, c.Unit))
		}
	}
	return &Parquet{w: parquet.NewGenericWriter[any](w, options...), columns: columns, rows: parquet.NewBuffer(schema)}
}

func schemaOf(columns []Column) *parquet.Schema {
	group := Ordered{Group: parquet.Group{}}
	codec := &zstd.Codec{Level: zstd.SpeedFastest}
	for _, c := range columns {
		node := parquet.Leaf(parquet.DoubleType)
		switch c.Kind {
		case Whole:
			node = parquet.Int(64)
		case Text:
			node = parquet.String()
		}
		group.Names = append(group.Names, c.Name)
		group.Group[c.Name] = parquet.Optional(parquet.Compressed(node, codec))
	}
	return parquet.NewSchema("runs", group)
}

// Ordered is a group whose fields keep the order of Names.
type Ordered struct {
	parquet.Group
	Names []string
}

// Fields are the group's, in the order of Names.
func (g Ordered) Fields() []parquet.Field {
	byName := map[string]parquet.Field{}
	for _, f := range g.Group.Fields() {
		byName[f.Name()] = f
	}
	fields := make([]parquet.Field, len(g.Names))
	for i, name := range g.Names {
		fields[i] = byName[name]
	}
	return fields
}

// Write adds a block. How a table is cut into blocks does not show in the file.
func (p *Parquet) Write(b *Block) error {
	for b.Rows > 0 {
		n := min(b.Rows, groupRows-p.held)
		if err := p.add(b.rows(0, n)); err != nil {
			return err
		}
		b = b.From(n)
	}
	return nil
}

// add adds a block that the row group has room for.
func (p *Parquet) add(b *Block) error {
	buffers := p.rows.ColumnBuffers()
	for i, c := range b.Columns {
		p.values = p.values[:0]
		for r := range b.Rows {
			p.values = append(p.values, valueAt(b, i, r, c.Kind).Level(0, 1, i))
			if v := &p.values[r]; v.IsNull() {
				*v = v.Level(0, 0, i)
			}
		}
		if _, err := buffers[i].WriteValues(p.values); err != nil {
			return fmt.Errorf("tabular: parquet: %w", err)
		}
	}
	if p.held += b.Rows; p.held == groupRows {
		return p.flush()
	}
	return nil
}

func valueAt(b *Block, i, r int, kind Kind) parquet.Value {
	if kind == Text {
		if text := b.Texts[i][r]; text != "" {
			return parquet.ByteArrayValue([]byte(text))
		}
		return parquet.NullValue()
	}
	switch x := b.Numbers[i][r]; {
	case math.IsNaN(x):
		return parquet.NullValue()
	case kind == Whole:
		return parquet.Int64Value(int64(x))
	default:
		return parquet.DoubleValue(x)
	}
}

func (p *Parquet) flush() error {
	if p.held == 0 {
		return nil
	}
	if _, err := p.w.WriteRowGroup(p.rows); err != nil {
		return fmt.Errorf("tabular: parquet: %w", err)
	}
	p.rows.Reset()
	p.held = 0
	return nil
}

// Close writes what is held and the file's end.
func (p *Parquet) Close() error {
	if err := p.flush(); err != nil {
		return err
	}
	if err := p.w.Close(); err != nil {
		return fmt.Errorf("tabular: parquet: %w", err)
	}
	return nil
}

// ReadParquet reads the columns that are asked for, by name, from a table that
// Parquet wrote, a row group at a time, from a row on. A column that the file has not
// is without values.
func ReadParquet(r io.ReaderAt, size int64, columns []Column, from int) iter.Seq2[*Block, error] {
	return func(yield func(*Block, error) bool) {
		file, err := parquet.OpenFile(r, size)
		if err != nil {
			yield(nil, fmt.Errorf("tabular: parquet: %w", err))
			return
		}
		for _, group := range file.RowGroups() {
			if n := int(group.NumRows()); n <= from {
				from -= n
				continue
			}
			b, err := readGroup(file.Schema(), group, columns)
			if err == nil && from > 0 {
				b, from = b.From(from), 0
			}
			if !yield(b, err) || err != nil {
				return
			}
		}
	}
}

func readGroup(schema *parquet.Schema, group parquet.RowGroup, columns []Column) (*Block, error) {
	b := New(columns, int(group.NumRows()))
	chunks := group.ColumnChunks()
	for i, c := range columns {
		leaf, ok := schema.Lookup(c.Name)
		if !ok {
			continue
		}
		if err := readChunk(chunks[leaf.ColumnIndex], b, i, c.Kind); err != nil {
			return nil, fmt.Errorf("tabular: parquet: column %s: %w", c.Name, err)
		}
	}
	return b, nil
}

func readChunk(chunk parquet.ColumnChunk, b *Block, i int, kind Kind) error {
	pages := chunk.Pages()
	defer pages.Close()
	values := make([]parquet.Value, 512)
	row := 0
	for {
		page, err := pages.ReadPage()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		for reader := page.Values(); ; {
			n, err := reader.ReadValues(values)
			for _, v := range values[:n] {
				if row == b.Rows {
					return errors.New("has more values than rows")
				}
				switch {
				case v.IsNull():
				case kind == Text:
					b.Texts[i][row] = v.String()
				case v.Kind() == parquet.Int64:
					b.Numbers[i][row] = float64(v.Int64())
				default:
					b.Numbers[i][row] = v.Double()
				}
				row++
			}
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				parquet.Release(page)
				return err
			}
		}
		parquet.Release(page)
	}
}
