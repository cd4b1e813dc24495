package report

import (
	"math"
	"strconv"
	"strings"
)

// Units are those that the reader wants.
type Units string

// Systems of units.
const (
	Metric Units = "metric"
	US     Units = "us"
)

type conversion struct {
	unit          string
	factor, above float64
}

// american has the US unit of each metric one that people there do not use.
var american = map[string]conversion{
	"l":  {"gal", 1 / 3.785411784, 0}, // US liquid gallon, exact (NIST Handbook 44)
	"°C": {"°F", 1.8, 32},
	"m":  {"ft", 1 / 0.3048, 0},
}

// in converts a metric value.
func (u Units) in(x float64, unit string) (float64, string) {
	if c, ok := american[unit]; ok && u == US {
		return x*c.factor + c.above, c.unit
	}
	return x, unit
}

// quantity is a number as it is read, with its unit.
func (u Units) quantity(x float64, unit string) string {
	x, unit = u.in(x, unit)
	return strings.TrimSpace(round(x) + "\u00a0" + unit)
}

// difference is of two quantities: one of temperatures is no temperature.
func (u Units) difference(x float64, unit string) string {
	if c, ok := american[unit]; ok && u == US {
		x, unit = x*c.factor, c.unit
	}
	return strings.TrimSpace(round(x) + "\u00a0" + unit)
}

// round writes no decimals from 10 up, one from 0.1 up, two below: a year on
// thresholds is not known better. Thousands have a comma.
func round(x float64) string {
	decimals := 2
	switch size := math.Abs(x); {
	case size >= 9.95:
		decimals = 0
	case size >= 0.095:
		decimals = 1
	}
	text := strconv.FormatFloat(math.Abs(x), 'f', decimals, 64)
	if decimals > 0 {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	whole, rest, _ := strings.Cut(text, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if rest != "" {
		whole += "." + rest
	}
	if x < 0 && whole != "0" {
		return "−" + whole
	}
	return whole
}

func percent(fraction float64) string { return round(100*fraction) + "\u00a0%" }

// niceStep is the next of 1, 2, 5 times a power of ten.
func niceStep(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, k := range []float64{1, 2, 5} {
		if k*power >= x-1e-9 {
			return k * power
		}
	}
	return 10 * power
}
