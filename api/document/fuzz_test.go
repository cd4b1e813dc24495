package document

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/fault"
)

func utf16Of(s string) []uint16 { return utf16.Encode([]rune(s)) }

// Every fuzz target has seeds on disk.
func TestFuzzCorpusIsThere(t *testing.T) {
	for _, target := range []string{"FuzzParse", "FuzzMerge", "FuzzDecode", "FuzzSetText"} {
		seeds, err := filepath.Glob(filepath.Join("testdata", "fuzz", target, "*"))
		require.NoError(t, err)
		assert.NotEmpty(t, seeds, target)
		for _, seed := range seeds {
			text, err := os.ReadFile(seed)
			require.NoError(t, err)
			assert.True(t, strings.HasPrefix(string(text), "go test fuzz v1\n"), seed)
		}
	}
}

// FuzzParse: faults, or the text re-encodes and parses to the same tree. What is
// accepted is what an independent reader (RFC 8259 and 7493) accepts, and the
// canonical form is the one it gives.
func FuzzParse(f *testing.F) {
	f.Add([]byte(stationJSON))
	f.Add([]byte(keyed))
	f.Fuzz(func(t *testing.T, raw []byte) {
		given := bytes.Clone(raw)
		n, faults := Parse(raw)
		require.Equal(t, given, raw, "the input is not changed")
		reference := jsontext.Value(bytes.TrimPrefix(raw, []byte("\xEF\xBB\xBF")))
		if len(faults) > 0 {
			if !strings.HasPrefix(faults[len(faults)-1].Message, "is nested too deep") {
				require.Equal(t, reference.IsValid(), onlyTooLarge(faults), "%v", faults)
			}
			return
		}
		require.True(t, reference.IsValid())
		out, err := Encode(n)
		require.NoError(t, err)
		again, faults := Parse(out)
		require.Empty(t, faults)
		require.Equal(t, plain(n), plain(again))
		canonical := reference.Clone()
		require.NoError(t, canonical.Canonicalize())
		require.Equal(t, string(canonical), string(out))
	})
}

// onlyTooLarge is true when a text is JSON, with numbers that a float64 cannot
// hold.
func onlyTooLarge(faults fault.Faults) bool {
	for _, f := range faults {
		if f.Message != "is too large for a number" {
			return false
		}
	}
	return true
}

// FuzzMerge: the rules of RFC 7396 hold for any two documents.
func FuzzMerge(f *testing.F) {
	f.Add([]byte(keyed), []byte(`{"bank":{"module":{"key":"lfp_large"},"modules":null}}`))
	f.Fuzz(func(t *testing.T, rawBase, rawPatch []byte) {
		base, faults := Parse(rawBase)
		patch, more := Parse(rawPatch)
		if len(faults)+len(more) == 0 {
			checkMerge(t, base, patch)
		}
	})
}

// FuzzDecode: faults that say where and what, or a value whose canonical form
// reads back as the same value with the same hash.
func FuzzDecode(f *testing.F) {
	f.Add([]byte(stationJSON))
	f.Add([]byte(keyed))
	root, entries := reflect.TypeFor[station](), catalogue(f)
	f.Fuzz(func(t *testing.T, raw []byte) {
		n, faults := Parse(raw)
		if n == nil {
			require.NotEmpty(t, faults)
			return
		}
		n, _, more := Expand(n, root, entries)
		faults = append(faults, more...)
		var s station
		decoded, more := Decode(n, &s)
		faults = append(faults, more...)
		check := fault.New()
		fault.CheckTags(check, s)
		faults = append(faults, decoded.Beyond(faults, check.Faults())...)
		for _, f := range faults {
			require.NotEmpty(t, f.Message)
			require.True(t, f.Pointer == "" || strings.HasPrefix(f.Pointer, "/"))
		}
		if len(faults) > 0 {
			return
		}
		for _, a := range decoded.Assumed {
			require.NotEmpty(t, a.Basis)
		}
		out, err := Encode(s)
		require.NoError(t, err)
		again, faults := Parse(out)
		require.Empty(t, faults)
		var same station
		decoded, faults = Decode(again, &same)
		require.Empty(t, faults)
		require.Empty(t, decoded.Assumed, "nothing is left to assume")
		require.Equal(t, Hash(s), Hash(same))
		out2, err := Encode(same)
		require.NoError(t, err)
		require.Equal(t, string(out), string(out2))
	})
}

// FuzzSetText: a fault, or a patch that holds the value at its path.
func FuzzSetText(f *testing.F) {
	f.Add("bank.modules", "6")
	f.Add("bank.module.charge_a_by_c", "[[0,0]]")
	f.Fuzz(func(t *testing.T, path, text string) {
		patch, faults := SetText(nil, reflect.TypeFor[station](), path, text)
		if len(faults) > 0 {
			require.Nil(t, patch)
			return
		}
		value, err := Encode(patch)
		require.NoError(t, err)
		require.NotEmpty(t, value)
		for _, name := range strings.Split(path, ".") {
			require.Equal(t, Object, patch.Kind())
			patch = patch.Get(name)
		}
		require.NotNil(t, patch)
	})
}
