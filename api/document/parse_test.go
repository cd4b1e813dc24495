package document

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bankyear/sim/fault"
)

// parsed is the tree of a text without faults.
func parsed(t testing.TB, text string) *Node {
	t.Helper()
	n, faults := Parse([]byte(text))
	require.Empty(t, faults, text)
	require.NotNil(t, n)
	return n
}

// written is the canonical form of a tree.
func written(t testing.TB, v any) string {
	t.Helper()
	out, err := Encode(v)
	require.NoError(t, err)
	return string(out)
}

// lines renders faults for comparison, one each.
func lines(faults fault.Faults) []string {
	var out []string
	for _, f := range faults {
		out = append(out, f.Error())
	}
	return out
}

func TestParse_Values(t *testing.T) {
	for text, want := range map[string]string{
		`null`: `null`, ` true `: `true`, "\tfalse\r\n": `false`, `"a"`: `"a"`, `{}`: `{}`, `[]`: `[]`,
		`[1,2.5,-3e2]`:                       `[1,2.5,-300]`,
		`[1,"a",[],null,{"b":[true]}]`:       `[1,"a",[],null,{"b":[true]}]`,
		"\xEF\xBB\xBF{\"a\":1}":              `{"a":1}`,
		`{"":{"/~":1}}`:                      `{"":{"/~":1}}`,
		`"\u00e9\ud83d\ude00\"\\\/\b\f\n\r"`: `"é😀\"\\/\b\f\n\r"`,
	} {
		assert.Equal(t, want, written(t, parsed(t, text)), text)
	}
}

// Each number must be the float64 nearest to its decimal form. The cases are
// those that fast readers are known to get wrong: halfway cases, the largest and
// the smallest numbers (IEEE 754 binary64), and the border of the fast path.
func TestParse_NumbersAreNearest(t *testing.T) {
	for text, want := range map[string]float64{
		"0": 0, "5.1000000000000005": 5.1000000000000005, "0.1": 0.1, "0.3": 0.3,
		"999999999999999": 999999999999999, "0.00000000000001": 1e-14, "123456789.012345": 123456789.012345,
		"9007199254740993": 9007199254740992, "9007199254740991": 9007199254740991, "1e22": 1e22, "1e23": 1e23,
		"1.7976931348623157e308": math.MaxFloat64, "4.9406564584124654e-324": math.SmallestNonzeroFloat64,
		"2.2250738585072011e-308": 2.225073858507201e-308, "2.2250738585072014e-308": 0x1p-1022, "1e-400": 0,
		"8.988465674311582e+307": 8.988465674311582e307, "1E2": 100, "1e+2": 100, "179769313486231580793728e285": 1.7976931348623158e308,
	} {
		x, ok := parsed(t, text).Float()
		assert.True(t, ok)
		assert.Equal(t, want, x, text)
		assert.Equal(t, []float64{want, -want}, parsed(t, "["+text+",-"+text+"]").numbers, text)
	}
}

func TestParse_MinusZeroIsZero(t *testing.T) {
	for _, text := range []string{"-0", "-0.0", "-0e5", "-1e-400"} {
		x, _ := parsed(t, text).Float()
		assert.False(t, math.Signbit(x), text)
		assert.False(t, math.Signbit(parsed(t, "["+text+"]").numbers[0]), text)
	}
}

// RFC 8259 gives the grammar; RFC 7493 (I-JSON) forbids what it leaves open:
// duplicate names (§2.3), strings that are not Unicode (§2.1), numbers beyond
// float64 (§2.2). All must be reported at once, with RFC 6901 pointers.
func TestParse_FaultsThatReadingSurvives(t *testing.T) {
	n, faults := Parse([]byte(`{
		"a/b": {"x": 1, "y": 2, "x": 3},
		"w": [1, NaN, -Infinity, 1e400, 01, +1, .5, 1., "s", 2, nan],
		"t": "\ud800", "u": "` + "\xff" + `",
		"w": 5, "z": Infinity, "` + "\xfe" + `": 1
	}`))
	require.NotNil(t, n)
	assert.Equal(t, []string{
		"/a~1b/x: is given more than once, got 3, allowed each member once",
		"/w/1: is not a number that JSON can carry, got NaN, allowed a finite number",
		"/w/2: is not a number that JSON can carry, got -Infinity, allowed a finite number",
		"/w/3: is too large for a number, got 1e400, allowed a number between -1.7976931348623157e308 and 1.7976931348623157e308",
		"/w/4: is not a number as JSON writes it, got 01, allowed a number such as 12, -0.5 or 6.02e23",
		"/w/5: is not a number as JSON writes it, got +1, allowed a number such as 12, -0.5 or 6.02e23",
		"/w/6: is not a number as JSON writes it, got .5, allowed a number such as 12, -0.5 or 6.02e23",
		"/w/7: is not a number as JSON writes it, got 1., allowed a number such as 12, -0.5 or 6.02e23",
		"/w/10: is not a number that JSON can carry, got nan, allowed a finite number",
		"/t: holds bytes or escapes that are not Unicode, got \uFFFD, allowed Unicode text in UTF-8",
		"/u: holds bytes or escapes that are not Unicode, got \uFFFD, allowed Unicode text in UTF-8",
		"/w: is given more than once, got 5, allowed each member once",
		"/z: is not a number that JSON can carry, got Infinity, allowed a finite number",
		"/\uFFFD: holds bytes or escapes that are not Unicode, got \uFFFD, allowed Unicode text in UTF-8",
	}, lines(faults))
	x, _ := n.Get("a/b").Get("x").Float()
	assert.Equal(t, 1.0, x, "the first of two members is kept")
}

func TestParse_FaultsThatEndIt(t *testing.T) {
	for text, want := range map[string]string{
		``:                         "input: is empty (line 1, column 1), allowed a JSON value",
		"  \n ":                    "input: ends too early (line 2, column 2), allowed a JSON value",
		`{"a":1} {}`:               "input: goes on after its end (line 1, column 9), allowed one JSON value",
		`{"a":1}}`:                 "input: goes on after its end (line 1, column 8), allowed one JSON value",
		"1\x00":                    "input: goes on after its end (line 1, column 2), allowed one JSON value",
		`{"a":{"b":[1,2,}}}`:       "/a/b/2: is not JSON here (line 1, column 16), allowed a value: an object, a list, text in double quotes, a number, true, false or null",
		`{"a":[1 2]}`:              "/a: is not JSON here (line 1, column 9), allowed a comma or ] after an item",
		`{"a":1,}`:                 "input: is not JSON here (line 1, column 8), allowed a member's name in double quotes",
		`{a:1}`:                    "input: is not JSON here (line 1, column 2), allowed a member's name in double quotes",
		`{"a" 1}`:                  "/a: is not JSON here (line 1, column 6), allowed a colon after the member's name",
		`{"a":1 "b":2}`:            "input: is not JSON here (line 1, column 8), allowed a comma or } after a member",
		`{"a":tru}`:                "/a: is not JSON here (line 1, column 6), allowed a value: an object, a list, text in double quotes, a number, true, false or null",
		`{"a":trueish}`:            "/a: is not JSON here (line 1, column 6), allowed a value: an object, a list, text in double quotes, a number, true, false or null",
		`{"a":"x`:                  "/a: has text without a closing quote (line 1, column 6), allowed text that ends with \"",
		`{"a":"x\"}`:               "/a: has text without a closing quote (line 1, column 6), allowed text that ends with \"",
		"{\"é\":\"x\ny\"}":         "/é: holds a control character inside text (line 1, column 8), allowed control characters written as \\n, \\t or \\u00XX",
		`{"a":"x\q"}`:              `/a: has an unknown escape inside text (line 1, column 8), allowed \" \\ \/ \b \f \n \r \t or \u and four hexadecimal digits`,
		`{"a":"\u12g4"}`:           `/a: has an unknown escape inside text (line 1, column 7), allowed \" \\ \/ \b \f \n \r \t or \u and four hexadecimal digits`,
		`{"a":"\u12"}`:             `/a: has an unknown escape inside text (line 1, column 7), allowed \" \\ \/ \b \f \n \r \t or \u and four hexadecimal digits`,
		"{\"a\":\x001}":            "/a: is not JSON here (line 1, column 6), allowed a value: an object, a list, text in double quotes, a number, true, false or null",
		`{"a": 12abc}`:             "input: is not JSON here (line 1, column 9), allowed a comma or } after a member",
		"{'a': 1}":                 "input: is not JSON here (line 1, column 2), allowed a member's name in double quotes",
		`{"a": 1, // note` + "\n}": "input: is not JSON here (line 1, column 10), allowed a member's name in double quotes",
	} {
		n, faults := Parse([]byte(text))
		assert.Nil(t, n, text)
		if assert.Len(t, faults, 1, text) {
			assert.Equal(t, want, faults[0].Error(), text)
		}
	}
}

func TestParse_Depth(t *testing.T) {
	nested := func(n int) string { return strings.Repeat("[", n) + strings.Repeat("]", n) }
	parsed(t, nested(deepest))
	n, faults := Parse([]byte(nested(deepest + 1)))
	assert.Nil(t, n)
	require.Len(t, faults, 1)
	assert.Contains(t, faults[0].Message, "nested too deep")
	assert.Equal(t, "at most 64 levels", faults[0].Allowed)
}

// Names are found, and duplicates seen, in objects of any size.
func TestParse_ManyMembers(t *testing.T) {
	var text strings.Builder
	text.WriteString("{")
	for i := range 5 * manyMembers {
		fmt.Fprintf(&text, `"m%d":%d,`, i, i)
	}
	text.WriteString(`"m0":1,"m79":1}`)
	n, faults := Parse([]byte(text.String()))
	assert.Equal(t, []string{
		"/m0: is given more than once, got 1, allowed each member once",
		"/m79: is given more than once, got 1, allowed each member once",
	}, lines(faults))
	for i := range 5 * manyMembers {
		x, ok := n.Get(fmt.Sprintf("m%d", i)).Float()
		assert.True(t, ok)
		assert.EqualValues(t, i, x)
	}
	assert.Nil(t, n.Get("m80"))
}

func TestParse_InputIsNeitherChangedNorKept(t *testing.T) {
	raw := []byte(`{"name":"abc","list":[1,2],"escaped":"a\nb"}`)
	before := string(raw)
	n := parsed(t, before)
	m, _ := Parse(raw)
	assert.Equal(t, before, string(raw))
	for i := range raw {
		raw[i] = 'x'
	}
	assert.Equal(t, n, m)
}

func TestParse_FaultsAreBounded(t *testing.T) {
	n, faults := Parse([]byte("[" + strings.Repeat("NaN,", 3*mostFaults) + "1]"))
	require.NotNil(t, n)
	require.Len(t, faults, mostFaults)
	assert.Equal(t, "/9998", faults[mostFaults-2].Pointer)
	assert.Equal(t, "/9999: and what follows is not listed: there are too many faults", faults[mostFaults-1].Error())
}
