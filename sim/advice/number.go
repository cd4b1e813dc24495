package advice

import (
	"math"
	"strconv"
	"strings"
)

// fixed writes a number rounded to at most so many decimals.
func fixed(x float64, decimals int) string {
	scale := math.Pow10(decimals)
	r := math.Round(x*scale) / scale
	if r == 0 {
		r = 0 // no negative zero
	}
	return Minus(strconv.FormatFloat(r, 'f', -1, 64))
}

// Minus writes a number that people read with a true minus sign.
func Minus(number string) string {
	if below, isBelow := strings.CutPrefix(number, "-"); isBelow {
		return "−" + below
	}
	return number
}

func volts(x float64) string      { return fixed(x, 2) + " V" }
func amps(x float64) string       { return fixed(x, 1) + " A" }
func watts(x float64) string      { return fixed(x, 0) + " W" }
func celsius(x float64) string    { return fixed(x, 1) + " °C" }
func percent(part float64) string { return fixed(100*part, 1) + " %" }

// inPoints writes a difference of two percentages.
func inPoints(part float64) string {
	text := fixed(100*part, 1)
	if text == "1" {
		return "1 point"
	}
	return text + " points"
}

// cellVolts writes a cell's voltage as sheets of cells do, without its unit.
func cellVolts(x float64) string { return strconv.FormatFloat(x, 'f', 2, 64) }

// duration writes seconds in the largest unit that keeps them a short number.
func duration(s float64) string {
	switch {
	case s >= 7200 || s == 3600:
		return fixed(s/3600, 1) + " h"
	case s >= 120 || s == 60:
		return fixed(s/60, 1) + " min"
	}
	return fixed(s, 1) + " s"
}

// modules counts them in words.
func modules(n int) string {
	if n == 1 {
		return "1 module"
	}
	return strconv.Itoa(n) + " modules"
}

// list joins words as people do: "a, b and c".
func list(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
	return strings.Join(words, "")
}

// sum joins summands.
func sum(parts []string) string { return strings.Join(parts, " + ") }

// capital begins a sentence.
func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
