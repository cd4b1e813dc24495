package document

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	gojson "github.com/go-json-experiment/json"
	"github.com/stretchr/testify/require"
)

// yearBody is a request with six columns of an hourly year inline.
func yearBody(tb testing.TB) []byte {
	tb.Helper()
	r := rand.New(rand.NewPCG(1, 2))
	column := func(lo, hi float64, decimals int) json.RawMessage {
		var b strings.Builder
		b.WriteByte('[')
		for i := range 8760 {
			if i > 0 {
				b.WriteString(", ")
			}
			b.WriteString(strconv.FormatFloat(lo+(hi-lo)*r.Float64(), 'f', decimals, 64))
		}
		b.WriteByte(']')
		return json.RawMessage(b.String())
	}
	var tree map[string]any
	require.NoError(tb, json.Unmarshal([]byte(stationJSON), &tree))
	tree["weather"] = map[string]json.RawMessage{
		"ghi_w_m2": column(0, 1000, 1), "dni_w_m2": column(0, 1000, 1), "dhi_w_m2": column(0, 500, 1),
		"ambient_c": column(-30, 40, 2), "wind_m_s": column(0, 20, 2), "pressure_pa": column(95000, 103000, 0),
	}
	raw, err := json.Marshal(tree)
	require.NoError(tb, err)
	return raw
}

// BenchmarkParseDecode is the whole way of a request with 6 × 8760 numbers.
func BenchmarkParseDecode(b *testing.B) {
	raw := yearBody(b)
	b.SetBytes(int64(len(raw)))
	b.ReportAllocs()
	for b.Loop() {
		var s station
		n, faults := Parse(raw)
		require.Empty(b, faults)
		_, faults = Decode(n, &s)
		require.Empty(b, faults)
	}
}

func BenchmarkParse(b *testing.B) {
	raw := yearBody(b)
	b.SetBytes(int64(len(raw)))
	b.ReportAllocs()
	for b.Loop() {
		Parse(raw)
	}
}

// BenchmarkLibraryDecode reads the same body with a general JSON library into
// the same type, to compare: no pointers to several faults, no defaults.
func BenchmarkLibraryDecode(b *testing.B) {
	raw := yearBody(b)
	b.SetBytes(int64(len(raw)))
	b.ReportAllocs()
	for b.Loop() {
		var s station
		require.NoError(b, gojson.Unmarshal(raw, &s))
	}
}

// BenchmarkNumbers compares the reading of one column: in one pass, and as a
// scan for the end of each number followed by strconv.ParseFloat.
func BenchmarkNumbers(b *testing.B) {
	r := rand.New(rand.NewPCG(3, 4))
	var column []byte
	for i := range 8760 {
		if i > 0 {
			column = append(column, ',')
		}
		column = strconv.AppendFloat(column, math.Round(r.Float64()*1e4)/10, 'f', -1, 64)
	}
	read := func(number func(*parser) float64) func(*testing.B) {
		return func(b *testing.B) {
			for b.Loop() {
				p := parser{raw: column}
				for {
					number(&p)
					if p.pos == len(column) {
						break
					}
					p.pos++
				}
			}
		}
	}
	b.Run("one_pass", read((*parser).number))
	b.Run("strconv", read((*parser).otherNumber))
}

func BenchmarkHash(b *testing.B) {
	n, _ := Parse([]byte(stationJSON))
	var s station
	Decode(n, &s)
	b.ReportAllocs()
	for b.Loop() {
		Hash(s, "weather", "load")
	}
}
