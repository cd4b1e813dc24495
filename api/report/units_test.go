package report

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestQuantity(t *testing.T) {
	for want, got := range map[string]string{
		"26\u00a0h":     Metric.quantity(25.6, "h"),
		"4.2\u00a0h":    Metric.quantity(4.23, "h"),
		"0.06\u00a0h":   Metric.quantity(0.061, "h"),
		"12,345\u00a0l": Metric.quantity(12345, "l"),
		"100\u00a0gal":  US.quantity(378.5411784, "l"), // NIST Handbook 44: a US liquid gallon is 3.785411784 l
		"−40\u00a0°F":   US.quantity(-40, "°C"),        // the two scales meet there
		"18\u00a0°F":    US.difference(10, "°C"),
		"−0.5":          Metric.quantity(-0.5, ""),
		"0":             Metric.quantity(0, ""),
	} {
		assert.Equal(t, want, got)
	}
}

func TestNiceStep(t *testing.T) {
	for x, want := range map[float64]float64{0.9: 1, 1: 1, 1.1: 2, 2.1: 5, 5.1: 10, 34: 50, 0.03: 0.05} {
		assert.InDelta(t, want, niceStep(x), 1e-12, x)
	}
}
