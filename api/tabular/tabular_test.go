package tabular_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bankyear/api/tabular"
)

var columns = []tabular.Column{
	{Name: "run", Kind: tabular.Whole}, {Name: "bank.modules", Kind: tabular.Number}, {Name: "bank.operation", Kind: tabular.Text}, {Name: "downtime_h", Unit: "h"},
}

func blocks(t *rapid.T) []*tabular.Block {
	var list []*tabular.Block
	run := 0
	number := rapid.OneOf(rapid.Float64Range(-1e9, 1e9), rapid.Just(math.NaN()))
	for range rapid.IntRange(0, 4).Draw(t, "blocks") {
		b := tabular.New(columns, rapid.IntRange(0, 60).Draw(t, "rows"))
		for r := range b.Rows {
			b.Numbers[0][r] = float64(run)
			run++
			b.Numbers[1][r], b.Numbers[3][r] = number.Draw(t, "x"), number.Draw(t, "y")
			b.Texts[2][r] = rapid.SampledFrom([]string{"", "data_linked", "a, \"b\"\nc <é>"}).Draw(t, "text")
		}
		list = append(list, b)
	}
	return list
}

// join puts blocks together.
func join(list []*tabular.Block) *tabular.Block {
	out := tabular.New(columns, 0)
	for _, b := range list {
		out.Rows += b.Rows
		for i := range columns {
			out.Numbers[i] = append(out.Numbers[i], b.Numbers[i]...)
			out.Texts[i] = append(out.Texts[i], b.Texts[i]...)
		}
	}
	return out
}

func same(t require.TestingT, want, got *tabular.Block) {
	require.Equal(t, want.Rows, got.Rows)
	for i, c := range columns {
		require.Equal(t, append([]string{}, want.Texts[i]...), append([]string{}, got.Texts[i]...), c.Name)
		for r := range want.Numbers[i] {
			a, b := want.Numbers[i][r], got.Numbers[i][r]
			require.True(t, a == b || math.IsNaN(a) && math.IsNaN(b), "%s, row %d: %v, %v", c.Name, r, a, b)
		}
	}
}

func TestPart_RoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for _, b := range blocks(t) {
			data := tabular.EncodePart(b)
			back, err := tabular.DecodePart(data, columns)
			require.NoError(t, err)
			same(t, b, back)
			assert.Equal(t, data, tabular.EncodePart(back))
			short, err := tabular.DecodePart(data, []tabular.Column{columns[3], {Name: "another"}, columns[2]})
			require.NoError(t, err)
			require.Equal(t, b.Texts[2], short.Texts[2])
			for r := range b.Rows {
				assert.True(t, math.IsNaN(short.Numbers[1][r]), "a column that is not there")
			}
		}
	})
}

func FuzzDecodePart(f *testing.F) {
	b := tabular.New(columns, 2)
	b.Texts[2][1] = "x"
	f.Add(tabular.EncodePart(b))
	f.Add([]byte("\x28\xb5\x2f\xfd"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if b, err := tabular.DecodePart(data, columns); err == nil {
			back, err := tabular.DecodePart(tabular.EncodePart(b), columns)
			require.NoError(t, err)
			same(t, b, back)
		}
	})
}

func TestParquet_RoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := blocks(t)
		var out bytes.Buffer
		w := tabular.NewParquet(&out, columns, map[string]string{"engine": "e"})
		for _, b := range list {
			require.NoError(t, w.Write(b))
		}
		require.NoError(t, w.Close())
		whole := join(list)
		from := rapid.IntRange(0, whole.Rows).Draw(t, "from")
		var back []*tabular.Block
		for b, err := range tabular.ReadParquet(bytes.NewReader(out.Bytes()), int64(out.Len()), columns, from) {
			require.NoError(t, err)
			back = append(back, b)
		}
		same(t, whole.From(from), join(back))
	})
}

// What the standard library reads back is what was written.
func TestLines_ReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := blocks(t)
		whole := join(list)
		var asCSV, asLines bytes.Buffer
		c, l := tabular.NewCSV(&asCSV, columns), tabular.NewLines(&asLines)
		for _, b := range list {
			require.NoError(t, c.Write(b))
			require.NoError(t, l.Write(b))
		}
		require.NoError(t, c.Close())
		require.NoError(t, l.Close())
		rows, err := csv.NewReader(&asCSV).ReadAll()
		require.NoError(t, err)
		require.Len(t, rows, 1+whole.Rows)
		require.Equal(t, []string{"run", "bank.modules", "bank.operation", "downtime_h"}, rows[0])
		lines := strings.Split(asLines.String(), "\n")
		require.Len(t, lines, whole.Rows+1)
		for r := range whole.Rows {
			var object map[string]any
			require.NoError(t, json.Unmarshal([]byte(lines[r]), &object))
			for i, name := range rows[0] {
				text := rows[1+r][i]
				if columns[i].Kind == tabular.Text {
					require.Equal(t, whole.Texts[i][r], text)
					require.Equal(t, text != "", object[name] != nil)
					if text != "" {
						require.Equal(t, text, object[name])
					}
					continue
				}
				x := whole.Numbers[i][r]
				require.Equal(t, math.IsNaN(x), text == "")
				if !math.IsNaN(x) {
					var y float64
					require.NoError(t, json.Unmarshal([]byte(text), &y))
					require.Equal(t, x, y)
					require.Equal(t, x, object[name])
				}
			}
		}
	})
}

// Numbers are plain where a person writes them plain: a spreadsheet shows what the file
// says. The texts are those of ECMAScript (ECMA-262, Number::toString).
func TestLines_PlainNumbers(t *testing.T) {
	column := []tabular.Column{{Name: "x"}}
	for x, want := range map[float64]string{
		1200060: "1200060", 1200060.5: "1200060.5", 123456789.125: "123456789.125", -2e6 - .25: "-2000000.25",
		1e15 + .5: "1000000000000000.5", 1e20: "100000000000000000000", 0.00002: "0.00002", 1e-7: "1e-7", 1e21: "1e+21",
	} {
		b := &tabular.Block{Columns: column, Rows: 1, Numbers: [][]float64{{x}}, Texts: [][]string{nil}}
		var asCSV, asLines bytes.Buffer
		require.NoError(t, tabular.NewCSV(&asCSV, column).Write(b))
		require.NoError(t, tabular.NewLines(&asLines).Write(b))
		assert.Equal(t, "x\r\n"+want+"\r\n", asCSV.String())
		assert.Equal(t, `{"x":`+want+"}\n", asLines.String())
	}
}

// The file does not tell how the table came: in one block or in many.
func TestParquet_SameHoweverCut(t *testing.T) {
	const rows = 20_000
	whole := tabular.New(columns, rows)
	for r := range rows {
		whole.Numbers[0][r], whole.Numbers[3][r], whole.Texts[2][r] = float64(r), float64(r%97), "x"
	}
	var files [][]byte
	for _, size := range []int{1 << 20, 777, 8192} {
		var out bytes.Buffer
		w := tabular.NewParquet(&out, columns, nil)
		for rest := whole; rest.Rows > 0; {
			n := min(size, rest.Rows)
			part := *rest
			part.Rows = n
			part.Numbers, part.Texts = make([][]float64, len(columns)), make([][]string, len(columns))
			for i := range columns {
				if rest.Numbers[i] != nil {
					part.Numbers[i] = rest.Numbers[i][:n]
				}
				if rest.Texts[i] != nil {
					part.Texts[i] = rest.Texts[i][:n]
				}
			}
			require.NoError(t, w.Write(&part))
			rest = rest.From(n)
		}
		require.NoError(t, w.Close())
		files = append(files, out.Bytes())
	}
	assert.True(t, bytes.Equal(files[0], files[1]))
	assert.True(t, bytes.Equal(files[0], files[2]))
}
