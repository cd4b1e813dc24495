package document

import (
	"crypto/sha256"
	"encoding/hex"
	"math"
	"testing"

	gojson "github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/fault"
)

// RFC 8785, appendix B: IEEE 754 bits and their canonical form.
func TestEncode_RFC8785AppendixB(t *testing.T) {
	for bits, want := range map[uint64]string{
		0x0000000000000000: "0",
		0x8000000000000000: "0",
		0x0000000000000001: "5e-324",
		0x8000000000000001: "-5e-324",
		0x7fefffffffffffff: "1.7976931348623157e+308",
		0xffefffffffffffff: "-1.7976931348623157e+308",
		0x4340000000000000: "9007199254740992",
		0xc340000000000000: "-9007199254740992",
		0x4430000000000000: "295147905179352830000",
		0x44b52d02c7e14af5: "9.999999999999997e+22",
		0x44b52d02c7e14af6: "1e+23",
		0x44b52d02c7e14af7: "1.0000000000000001e+23",
		0x444b1ae4d6e2ef4e: "999999999999999700000",
		0x444b1ae4d6e2ef4f: "999999999999999900000",
		0x444b1ae4d6e2ef50: "1e+21",
		0x3eb0c6f7a0b5ed8c: "9.999999999999997e-7",
		0x3eb0c6f7a0b5ed8d: "0.000001",
		0x41b3de4355555553: "333333333.3333332",
		0x41b3de4355555554: "333333333.33333325",
		0x41b3de4355555555: "333333333.3333333",
		0x41b3de4355555556: "333333333.3333334",
		0x41b3de4355555557: "333333333.33333343",
		0xbecbf647612f3696: "-0.0000033333333333333333",
		0x43143ff3c1cb0959: "1424953923781206.2",
	} {
		assert.Equal(t, want, written(t, math.Float64frombits(bits)), "%016x", bits)
	}
	for _, bits := range []uint64{0x7fffffffffffffff, 0x7ff0000000000000, 0xfff0000000000000} {
		_, err := Encode(math.Float64frombits(bits))
		assert.Error(t, err, "%016x", bits)
	}
}

// RFC 8785, sections 3.2.2 (the sample) and 3.2.4 (its bytes).
func TestEncode_RFC8785Section322(t *testing.T) {
	n := parsed(t, `{
     "numbers": [333333333.33333329, 1E30, 4.50,
                 2e-3, 0.000000000000000000000000001],
     "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
     "literals": [null, true, false]
   }`)
	want, err := hex.DecodeString("7b226c69746572616c73223a5b6e756c6c2c747275652c66616c73655d2c226e756d62657273223a" +
		"5b3333333333333333332e333333333333332c31652b33302c342e352c302e3030322c31652d32375d2c22737472696e67223a22e282ac245c753030306" +
		"65c6e4127425c225c5c5c5c5c222f227d")
	require.NoError(t, err)
	assert.Equal(t, string(want), written(t, n))
}

// RFC 8785, section 3.2.3: the order of members by UTF-16 code units.
func TestEncode_RFC8785Section323(t *testing.T) {
	const text = `{
     "\u20ac": "Euro Sign",
     "\r": "Carriage Return",
     "\ufb33": "Hebrew Letter Dalet With Dagesh",
     "1": "One",
     "\ud83d\ude00": "Emoji: Grinning Face",
     "\u0080": "Control",
     "\u00f6": "Latin Small Letter O With Diaeresis"
   }`
	const want = "{\"\\r\":\"Carriage Return\",\"1\":\"One\",\"\u0080\":\"Control\",\"ö\":\"Latin Small Letter O With Diaeresis\"," +
		"\"€\":\"Euro Sign\",\"😀\":\"Emoji: Grinning Face\",\"\ufb33\":\"Hebrew Letter Dalet With Dagesh\"}"
	assert.Equal(t, want, written(t, parsed(t, text)))
	var asMap map[string]string
	require.NoError(t, gojson.Unmarshal([]byte(text), &asMap))
	assert.Equal(t, want, written(t, asMap), "a Go map as well")
}

// A Go value has the canonical form that an independent implementation of
// RFC 8785 gives its JSON.
func TestEncode_AgreesWithLibrary(t *testing.T) {
	var s station
	_, faults := Decode(parsed(t, stationJSON), &s)
	require.Empty(t, faults)
	s.Weather.GHI = []float64{1e21, 1e-7, 5e-324, 0.1, -2.5e300, 123456789012345680}
	s.Bank.Module.Notes = map[string]string{"\ufb33": "a\u2028\x7f\x1f<>&", "😀": "é", "b": ""}
	want, err := gojson.Marshal(s)
	require.NoError(t, err)
	require.NoError(t, (*jsontext.Value)(&want).Canonicalize())
	assert.Equal(t, string(want), written(t, s))
	assert.Equal(t, string(want), written(t, parsed(t, string(want))), "a tree as well")
}

func TestEncode_Refuses(t *testing.T) {
	type list struct {
		Values []float64          `json:"values"`
		ByName map[string]float64 `json:"by_name"`
		Text   string             `json:"text"`
		Seed   uint64             `json:"seed"`
		Change int64              `json:"change"`
	}
	for _, c := range []struct {
		value   any
		pointer string
	}{
		{list{Values: []float64{1, math.NaN()}}, "/values/1"},
		{list{ByName: map[string]float64{"a/b": math.Inf(-1)}}, "/by_name/a~1b"},
		{list{Text: "\xff"}, "/text"},
		{list{Seed: 1 << 53}, "/seed"},
		{list{Change: -1 << 53}, "/change"},
		{&Node{kind: Array, numbers: []float64{math.NaN()}}, "/0"},
	} {
		_, err := Encode(c.value)
		var f fault.Fault
		require.ErrorAs(t, err, &f)
		assert.Equal(t, c.pointer, f.Pointer)
	}
	_, err := Encode(list{Seed: 1<<53 - 1, Change: -(1<<53 - 1)})
	assert.NoError(t, err)
	assert.Panics(t, func() { Encode(make(chan int)) })
	assert.Panics(t, func() { Encode(map[int]string{1: "a"}) })
}

func TestHash(t *testing.T) {
	var s station
	_, faults := Decode(parsed(t, stationJSON), &s)
	require.Empty(t, faults)

	text, err := Identity(s)
	require.NoError(t, err)
	assert.NotContains(t, string(text), "Field station")
	assert.NotContains(t, string(text), "ghi_w_m2")
	sum := sha256.Sum256(text)
	assert.Equal(t, hex.EncodeToString(sum[:]), Hash(s), "the SHA-256 of the identity and nothing else")
	sum = sha256.Sum256([]byte(string(text) + "\n\"w-1\"\n\"\\n\""))
	assert.Equal(t, hex.EncodeToString(sum[:]), Hash(s, "w-1", "\n"))

	renamed := s
	renamed.Name, renamed.Weather = "Another", stationWeather{}
	assert.Equal(t, Hash(s), Hash(renamed), "a name is no part of it")
	more := s
	more.Bank.Modules++
	assert.NotEqual(t, Hash(s), Hash(more))
	assert.NotEqual(t, Hash(s, "a", "b"), Hash(s, "a\"\n\"b"), "parts do not run together")
	assert.NotEqual(t, Hash(s, "a", "b"), Hash(s, "b", "a"))

	s.Controls = &stationControls{Shed: math.NaN()}
	assert.Panics(t, func() { Hash(s) })
}
