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
	About float64 `json:"about" doc:"Median of the members."`
	Low   float64 `json:"low" doc:"Tenth percentile."`
	High  float64 `json:"high" doc:"Ninetieth percentile."`
}

// BandOf is the band of a figure over members, or of the differences of two
// candidates member by member. It panics on none.
func BandOf(values []float64) Band {
	sorted := slices.Sorted(slices.Values(values))
	return Band{About: quantile(sorted, .5), Low: quantile(sorted, .1), High: quantile(sorted, .9)}
}

// Words writes the band without false decimals: "about 37 h (30–46)", rounded to
// a power of ten that the band holds five to fifty of, to three digits at most;
// "37.2 h" where nothing varies as far as that shows.
func (b Band) Words(unit string) string { return b.words(unit, false) }

// DifferenceWords is Words with a sign: "about −12 h (−20 to −5)".
func (b Band) DifferenceWords(unit string) string { return b.words(unit, true) }

func (b Band) words(unit string, signed bool) string {
	spread := b.High - b.Low
	about := b.About
	exponent := 0
	if most := max(math.Abs(about), math.Abs(b.Low), math.Abs(b.High)); most > 0 {
		exponent = int(math.Floor(math.Log10(most))) - 2
		if spread > 0 {
			exponent = min(exponent, 0)
		}
	}
	if spread > 0 {
		exponent = max(exponent, int(math.Floor(math.Log10(spread/2))))
	}
	say := func(x float64) string { return rounded(x, exponent, signed) }
	if unit != "" {
		unit = " " + unit
	}
	low, high := say(b.Low), say(b.High)
	if low == high {
		return say(about) + unit
	}
	to := "–"
	if signed || b.Low < 0 {
		to = " to "
	}
	return "about " + say(about) + unit + " (" + low + to + high + ")"
}

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
