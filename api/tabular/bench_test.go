package tabular_test

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"bankyear/api/tabular"
)

// drawn is a block of 512 rows with 90 columns of numbers, of which two thirds are
// 0 or few, as in runs, and a hash.
func drawn() *tabular.Block {
	columns := []tabular.Column{{Name: "hash", Kind: tabular.Text}}
	for i := range 90 {
		columns = append(columns, tabular.Column{Name: fmt.Sprintf("figure_%d", i)})
	}
	b := tabular.New(columns, 512)
	draw := rand.New(rand.NewPCG(1, 2))
	for r := range b.Rows {
		b.Texts[0][r] = fmt.Sprintf("%016x%016x%016x%016x", draw.Uint64(), draw.Uint64(), draw.Uint64(), draw.Uint64())
		for i := 1; i < len(columns); i++ {
			switch i % 3 {
			case 0:
				b.Numbers[i][r] = draw.Float64() * 1000
			case 1:
				b.Numbers[i][r] = float64(draw.IntN(20))
			default:
				b.Numbers[i][r] = 0
			}
		}
	}
	return b
}

func perRow(b *testing.B, rows, bytes int) {
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*rows), "ns/row")
	b.ReportMetric(float64(bytes)/float64(rows), "bytes/row")
}

func BenchmarkEncodePart(b *testing.B) {
	block, size := drawn(), 0
	for b.Loop() {
		size = len(tabular.EncodePart(block))
	}
	perRow(b, block.Rows, size)
}

func BenchmarkDecodePart(b *testing.B) {
	block := drawn()
	data := tabular.EncodePart(block)
	for b.Loop() {
		_, err := tabular.DecodePart(data, block.Columns)
		require.NoError(b, err)
	}
	perRow(b, block.Rows, len(data))
}

type writer interface {
	Write(*tabular.Block) error
	Close() error
}

func BenchmarkWrite(b *testing.B) {
	block := drawn()
	for name, open := range map[string]func(io.Writer) writer{
		"csv":     func(w io.Writer) writer { return tabular.NewCSV(w, block.Columns) },
		"parquet": func(w io.Writer) writer { return tabular.NewParquet(w, block.Columns, nil) },
	} {
		b.Run(name, func(b *testing.B) {
			const blocks = 64
			size := 0
			for b.Loop() {
				var out bytes.Buffer
				w := open(&out)
				for range blocks {
					require.NoError(b, w.Write(block))
				}
				require.NoError(b, w.Close())
				size = out.Len()
			}
			perRow(b, blocks*block.Rows, size)
		})
	}
}
