package study

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// Band is a figure as a quote should say it: about so much, and within what it
// lies in eight years of ten.
type Band struct {
	About float64 `json:"about" doc:"Median of the members; of whole numbers a whole number."`
	Low   float64 `json:"low" doc:"Tenth percentile; of whole numbers the whole number at or below it."`
	High  float64 `json:"high" doc:"Ninetieth percentile; of whole numbers the whole number at or above it."`
}

// BandOf is the band of a figure over members, or of the differences of two
// candidates member by member. Of whole numbers, which counts are, it is whole and no
// narrower. It panics on none.
func BandOf(values []float64) Band {
	sorted := slices.Sorted(slices.Values(values))
	b := Band{About: quantile(sorted, .5), Low: quantile(sorted, .1), High: quantile(sorted, .9)}
	if !slices.ContainsFunc(values, func(x float64) bool { return !isWhole(x) }) {
		b = Band{About: math.Round(b.About), Low: math.Floor(b.Low), High: math.Ceil(b.High)}
	}
	return b
}

// Words writes the band without false decimals: "about 37 h (30–46)", rounded to
// a power of ten that the band holds five to fifty of, to three digits at most;
// "37.2 h" where the band is narrower than a fiftieth of the figure, and whole
// numbers where all three are.
func (b Band) Words(unit string) string { return b.words(unit, false) }

// DifferenceWords is Words with a sign: "about −12 h (−20 to −5)".
func (b Band) DifferenceWords(unit string) string { return b.words(unit, true) }

// narrow is the width of a band, over the figure, up to which it is not told.
const narrow = 0.02

func (b Band) words(unit string, signed bool) string {
	spread, about := b.High-b.Low, b.About
	most := max(math.Abs(about), math.Abs(b.Low), math.Abs(b.High))
	exponent := 0
	if most > 0 {
		exponent = int(math.Floor(math.Log10(most))) - 2
	}
	tells := spread > narrow*math.Abs(about)
	if tells {
		exponent = max(min(exponent, 0), int(math.Floor(math.Log10(spread/2))))
	}
	if isWhole(about) && isWhole(b.Low) && isWhole(b.High) {
		exponent = max(exponent, 0)
	}
	say := func(x float64) string { return rounded(x, exponent, signed) }
	if unit != "" {
		unit = " " + unit
	}
	low, high := say(b.Low), say(b.High)
	if !tells || low == high {
		return say(about) + unit
	}
	to := "–"
	if signed || b.Low < 0 {
		to = " to "
	}
	return "about " + say(about) + unit + " (" + low + to + high + ")"
}

func isWhole(x float64) bool { return x == math.Trunc(x) }

// rounded writes x to a power of ten, with a true minus sign and, if asked for, a
// plus.
func rounded(x float64, exponent int, signed bool) string {
	step := math.Pow10(exponent)
	text := strconv.FormatFloat(math.Abs(math.Round(x/step)*step), 'f', max(-exponent, 0), 64)
	zero := strings.Trim(text, "0.") == ""
	switch {
	case x < 0 && !zero:
		return "−" + text
	case signed && !zero:
		return "+" + text
	}
	return text
}
