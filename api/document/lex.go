package document

import (
	"math"
	"strconv"
	"unicode/utf8"

	"github.com/go-json-experiment/json/jsontext"
)

func isDigit(c byte) bool  { return c-'0' <= 9 }
func isLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }

// startsNumber is true for what begins a number, in JSON or written wrongly.
func startsNumber(c byte) bool { return isDigit(c) || c == '-' || c == '+' || c == '.' }

// ten holds the powers of ten that a float64 represents exactly.
var ten = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// number reads a number. One with at most 15 digits and no exponent, as weather
// and load columns hold, is read in one pass: its digits and its power of ten
// are exact in float64, so that one division rounds correctly (Clinger 1990,
// "How to read floating point numbers accurately"). All others go to strconv.
// A column of 8760 takes 0.06 ms this way, 0.33 ms by a scan followed by
// strconv.ParseFloat (BenchmarkNumbers, AMD EPYC, amd64).
func (p *parser) number() float64 {
	raw, i := p.raw, p.pos
	negative := raw[i] == '-'
	if negative {
		i++
	}
	first := i
	var digits uint64
	for i < len(raw) && isDigit(raw[i]) {
		digits = digits*10 + uint64(raw[i]-'0')
		i++
	}
	whole := i - first
	fraction := 0
	if i < len(raw) && raw[i] == '.' {
		i++
		from := i
		for i < len(raw) && isDigit(raw[i]) {
			digits = digits*10 + uint64(raw[i]-'0')
			i++
		}
		fraction = i - from
		if fraction == 0 {
			return p.otherNumber()
		}
	}
	if whole == 0 || whole > 1 && raw[first] == '0' || whole+fraction > 15 || i < len(raw) && continuesNumber(raw[i]) {
		return p.otherNumber()
	}
	p.pos = i
	x := float64(digits) / ten[fraction]
	if negative && x != 0 { // −0 is 0: it has the same canonical form
		x = -x
	}
	return x
}

// continuesNumber is true for what may follow in a number, in JSON or not.
func continuesNumber(c byte) bool { return startsNumber(c) || c == 'e' || c == 'E' }

// otherNumber reads a number in any form, and reports one that JSON does not
// allow or a float64 cannot hold; it is then NaN or infinite.
func (p *parser) otherNumber() float64 {
	start := p.pos
	for p.pos < len(p.raw) && continuesNumber(p.raw[p.pos]) {
		p.pos++
	}
	literal := p.raw[start:p.pos]
	if len(literal) == 1 && (literal[0] == '-' || literal[0] == '+') && p.pos < len(p.raw) && isLetter(p.raw[p.pos]) {
		return p.signedWord(start)
	}
	if !validNumber(literal) {
		p.report(shorten(string(literal)), "a number such as 12, -0.5 or 6.02e23", "", "is not a number as JSON writes it")
		return math.NaN()
	}
	x, err := strconv.ParseFloat(string(literal), 64)
	if err != nil {
		p.report(shorten(string(literal)), "a number between -1.7976931348623157e308 and 1.7976931348623157e308", "", "is too large for a number")
		return x
	}
	return x + 0 // −0 is 0
}

// signedWord reads -Infinity and the like.
func (p *parser) signedWord(start int) float64 {
	for p.pos < len(p.raw) && isLetter(p.raw[p.pos]) {
		p.pos++
	}
	p.report(shorten(string(p.raw[start:p.pos])), "a finite number", "", "is not a number that JSON can carry")
	return math.NaN()
}

// validNumber checks the grammar of RFC 8259 §6.
func validNumber(s []byte) bool {
	digits := func() bool {
		n := 0
		for n < len(s) && isDigit(s[n]) {
			n++
		}
		s = s[n:]
		return n > 0
	}
	if len(s) > 0 && s[0] == '-' {
		s = s[1:]
	}
	if len(s) > 1 && s[0] == '0' && isDigit(s[1]) || !digits() {
		return false
	}
	if len(s) > 0 && s[0] == '.' {
		s = s[1:]
		if !digits() {
			return false
		}
	}
	if len(s) > 0 && (s[0] == 'e' || s[0] == 'E') {
		s = s[1:]
		if len(s) > 0 && (s[0] == '+' || s[0] == '-') {
			s = s[1:]
		}
		if !digits() {
			return false
		}
	}
	return len(s) == 0
}

// text reads a string, whose opening quote is next; false when the text cannot
// be followed. What is not Unicode is reported and read as U+FFFD.
func (p *parser) text() (string, bool) {
	start := p.pos
	escaped, ascii := false, true
	i := start + 1
	for ; i < len(p.raw) && p.raw[i] != '"'; i++ {
		switch c := p.raw[i]; {
		case c == '\\':
			escaped = true
			i++ // whatever it is, it does not end the string
		case c < ' ':
			p.pos = i
			p.syntax("holds a control character inside text", `control characters written as \n, \t or \u00XX`)
			return "", false
		case c >= utf8.RuneSelf:
			ascii = false
		}
	}
	if i >= len(p.raw) {
		p.syntax("has text without a closing quote", `text that ends with "`)
		return "", false
	}
	inside := p.raw[start+1 : i]
	if !escaped && (ascii || utf8.Valid(inside)) {
		p.pos = i + 1
		return string(inside), true
	}
	return p.unquote(start, i+1)
}

// unquote undoes the escapes of the string raw[start:stop].
func (p *parser) unquote(start, stop int) (string, bool) {
	quoted := p.raw[start:stop]
	s, err := jsontext.AppendUnquote(nil, quoted)
	if err == nil {
		p.pos = stop
		return string(s), true
	}
	if i := wrongEscape(quoted); i >= 0 {
		p.pos = start + i
		p.syntax("has an unknown escape inside text", `\" \\ \/ \b \f \n \r \t or \u and four hexadecimal digits`)
		return "", false
	}
	p.pos = stop
	p.report(shorten(string(s)), "Unicode text in UTF-8", "", "holds bytes or escapes that are not Unicode")
	return string(s), true
}

// wrongEscape finds the first escape that JSON does not have, or -1.
func wrongEscape(quoted []byte) int {
	for i := 0; i < len(quoted); i++ {
		if quoted[i] != '\\' {
			continue
		}
		switch quoted[i+1] {
		case '"', '\\', '/', 'b', 'f', 'n', 'r', 't':
		case 'u':
			if i+6 > len(quoted) {
				return i
			}
			if _, err := strconv.ParseUint(string(quoted[i+2:i+6]), 16, 16); err != nil {
				return i
			}
		default:
			return i
		}
		i++
	}
	return -1
}
