package array

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Faiman 2008, Progress in Photovoltaics 16, 307 (from memory): U0 25,
// U1 6.84.
func TestFaimanC(t *testing.T) {
	for _, row := range []struct{ g, wind, want float64 }{
		{1000, 1, 51.41}, {1000, 0, 60.00}, {800, 1, 45.13},
	} {
		assert.InDelta(t, row.want, FaimanC(row.g, 20, row.wind, 25, 6.84), .005, "%g W/m², %g m/s", row.g, row.wind)
	}
}

// NOCT 45 °C, 20 °C air, 1000 W/m²: common practice, no source. At the
// conditions of its definition, 800 W/m² and 20 °C, the cell is at NOCT.
func TestNOCTC(t *testing.T) {
	assert.InDelta(t, 51.25, NOCTC(1000, 20, 45), 1e-9)
	assert.InDelta(t, 47, NOCTC(800, 20, 47), 1e-9)
}
