package bank

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// IEEE Std 450 and 1188, from memory: a cell kept 10 K above 25 °C lasts half as long.
func TestFloatLifePace(t *testing.T) {
	assert.InDelta(t, 1, FloatLifePace(25), 1e-12)
	assert.InDelta(t, 2, FloatLifePace(35), 1e-12)
	assert.InDelta(t, 4, FloatLifePace(45), 1e-12)
	assert.InDelta(t, 1, FloatLifePace(-20), 1e-12, "no credit for the cold")
}

func TestFloatLifeYears(t *testing.T) {
	assert.Greater(t, FloatLifeYears("lead_acid_vented"), FloatLifeYears("lead_acid_sealed"))
	assert.Zero(t, FloatLifeYears("lfp"))
	assert.Zero(t, FloatLifeYears("nmc"))
}
