package weather

import (
	"bytes"
	"strconv"
)

// number reads a decimal number. A comma is taken as the decimal sign when
// there is one and no point. Hexadecimal, infinite and not-a-number texts are
// refused.
func number(text []byte) (float64, bool) {
	if len(text) == 0 || len(text) > 40 {
		return 0, false
	}
	commas, points := 0, 0
	for _, c := range text {
		switch {
		case c >= '0' && c <= '9', c == '+', c == '-', c == 'e', c == 'E':
		case c == '.':
			points++
		case c == ',':
			commas++
		default:
			return 0, false
		}
	}
	if commas > 0 {
		if commas > 1 || points > 0 {
			return 0, false
		}
		text = bytes.Replace(text, []byte{','}, []byte{'.'}, 1)
	}
	x, err := strconv.ParseFloat(string(text), 64)
	return x, err == nil
}

// whole reads an unsigned whole number of at most nine digits, blanks around
// it trimmed.
func whole(text []byte) (int, bool) {
	text = trimmed(text)
	if len(text) == 0 || len(text) > 9 {
		return 0, false
	}
	n := 0
	for _, c := range text {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = n*10 + int(c-'0')
	}
	return n, true
}
