package document

import (
	"crypto/sha256"
	"encoding/hex"
	"math"
	"reflect"
	"slices"
	"strconv"
	"sync"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/go-json-experiment/json/jsontext"
)

// Hash is the SHA-256, in lower-case hexadecimal, of the Identity of v followed
// by each part on a line of its own as a JSON string. The parts stand for what v
// leaves out: the hash of the weather's columns, of the load's, the engine.
//
// v must have passed its checks: Hash panics on what Encode refuses.
func Hash(v any, parts ...string) string {
	e := encoders.Get().(*encoder)
	defer encoders.Put(e)
	e.out, e.at.tokens = e.out[:0], e.at.tokens[:0]
	e.value(reflect.ValueOf(v))
	for _, part := range parts {
		e.out = append(e.out, '\n') // in no canonical JSON
		e.text(part)
	}
	if len(e.faults) > 0 {
		fault := e.faults[0]
		e.faults = nil
		panic("document: hash of a value that was not checked: " + fault.Error())
	}
	sum := sha256.Sum256(e.out)
	return hex.EncodeToString(sum[:])
}

// encoders are those that hash: a buffer for each that is at work.
var encoders = sync.Pool{New: func() any { return &encoder{identity: true} }}

// AppendNumber writes a finite number as ECMAScript's Number::toString does
// (RFC 8785 §3.2.2.3; ECMA-262 §6.1.6.1.20): the shortest digits that read back
// the same, plain from 1e-6 up to below 1e21, else with an exponent.
func AppendNumber(out []byte, x float64) []byte {
	if whole := int64(x); float64(whole) == x && whole > -largestInteger && whole < largestInteger {
		return strconv.AppendInt(out, whole, 10) // −0 too
	}
	if a := math.Abs(x); a >= 1e-6 && a < 1e21 {
		return strconv.AppendFloat(out, x, 'f', -1, 64)
	}
	out = strconv.AppendFloat(out, x, 'e', -1, 64)
	if n := len(out); out[n-4] == 'e' && out[n-2] == '0' { // strconv writes e-07, ECMAScript e-7
		out[n-2] = out[n-1]
		out = out[:n-1]
	}
	return out
}

// text writes a string with the escapes of RFC 8785 §3.2.2.2.
func (e *encoder) text(s string) {
	if unescaped(s) {
		e.out = append(append(append(e.out, '"'), s...), '"')
		return
	}
	out, err := jsontext.AppendQuote(e.out, s)
	if err != nil {
		e.report(nil, "Unicode text in UTF-8", "", "holds bytes that are not Unicode")
		return
	}
	e.out = out
}

// unescaped is true for printable ASCII that needs no escape.
func unescaped(s string) bool {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c >= utf8.RuneSelf || c == '"' || c == '\\' {
			return false
		}
	}
	return true
}

// quoted is a member's name as canonical JSON.
func quoted(name string) string {
	out, err := jsontext.AppendQuote(nil, name)
	if err != nil {
		panic("document: name of a member: " + err.Error())
	}
	return string(out)
}

// compareUTF16 orders strings by their UTF-16 code units (RFC 8785 §3.2.3). It
// differs from the order of bytes where characters beyond U+FFFF meet those from
// U+E000 to U+FFFF.
func compareUTF16(a, b string) int {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] && a[i] < utf8.RuneSelf && b[i] < utf8.RuneSelf {
			return int(a[i]) - int(b[i])
		}
		if a[i] >= utf8.RuneSelf || b[i] >= utf8.RuneSelf {
			return slices.Compare(utf16.Encode([]rune(a)), utf16.Encode([]rune(b)))
		}
	}
	return len(a) - len(b)
}
